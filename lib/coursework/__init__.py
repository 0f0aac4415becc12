"""An engine for courses: questions, job cards, slips, judging, practice, marking, class, report.

It knows nothing of the trade that a course is about. A course says what it is in
``coursework.course.Course`` and is found by the entry point "coursework.course".
"""
