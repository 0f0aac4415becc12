"""The job sheet: a mechanic's own readings in, a sheet to take to machine, mill and bench out.

``fields`` lists what may be asked, ``job`` reads a job file or a form, ``sheet`` says what the
sheet holds, ``html`` and ``pdf`` put it on paper.
"""
