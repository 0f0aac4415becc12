"""The taper-key course: measure, make, fit and pull the keys that hold a drive together.

The rooms, left to right; each imports only rooms to its left.

- ``files``: writing that leaves a file whole
- ``units``: the border; text such as "1-3/8 in" to a float in inches, and back
- ``checks``: one wording for bad input
- ``tables``: published tables with their sources, and their reader
- ``formulas``: the math of the job as pure functions
- ``bench``: simulations; the true slot, measuring, fitting, pulling
- ``jobcard``: a drive drawn from class, exercise and apprentice number
- ``figures``: drawings
- ``questions``: what is asked, the right value, the known slips, and the judging
- ``jobsheet``: a mechanic's own readings in, a sheet for machine, mill and bench out
- ``worksheet``: the pages; entries file, forms, live figures, benches by hand, practice
- ``marking``: marks through nbgrader's gradebook without running anything
- ``classroom``: the class folder, hand-in and intake, reports, the course's own screen
- ``cli``: the command
"""

__version__ = "0.1.0"
