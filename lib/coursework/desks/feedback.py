"""Feedback given out: from the class folder to the desks, when the instructor says so."""

from __future__ import annotations

import contextlib

from coursework.desks.school import School
from coursework.desks.seating import Person
from taperkey.files import write_whole

__all__ = ["give_out", "waiting"]


def _pages(school: School) -> list[tuple[Person, str, bytes]]:
    """Return what is marked and not given out yet, or not as it is now."""
    found = []
    for person in school.people:
        place = school.root(person) / "returned"
        for number in school.class_folder.numbers_of(person.number):
            for path in sorted((school.class_folder.feedback / f"{number:03d}").glob("*.html")):
                given = place / path.name
                with contextlib.suppress(OSError):  # a page is gone where marking takes it back
                    content = path.read_bytes()
                    if not given.is_file() or given.read_bytes() != content:
                        found.append((person, path.name, content))
    return found


def waiting(school: School) -> int:
    """Return how many pages of feedback wait to be given out."""
    return len(_pages(school))


def give_out(school: School) -> int:
    """Give out what waits; return how many pages went."""
    pages = _pages(school)
    for person, name, content in pages:
        write_whole(school.root(person) / "returned" / name, content)
    return len(pages)
