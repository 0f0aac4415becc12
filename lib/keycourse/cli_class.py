"""The steps of ``taperkey class`` for the assessor and for running a term."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import Any

from taperkey.counts import counted

__all__ = ["CLASS_WORK", "add_class_steps", "assessor_at_work", "typed"]


def add_class_steps(steps: Any) -> None:
    """Add the steps to the parser of ``class``."""
    doors = steps.add_parser("open", help="open the course to a class, with a join code each")
    doors.add_argument("folder", type=Path, metavar="CLASSFOLDER", help="class folder")
    doors.add_argument("--port", type=int, metavar="N", help="port; left out, a free one from 8000")
    doors.add_argument("--listen", default="0.0.0.0", metavar="ADDRESS", help="on this one only")
    doors.add_argument("--address", default="", metavar="NAME", help="name that tablets use")
    doors.add_argument("--https", action="store_true", help="with a certificate of its own")
    doors.add_argument("--by", metavar="NAME", help="who signs off at the bench meanwhile")
    doors.add_argument(
        "--as",
        dest="account",
        metavar="ACCOUNT",
        help="run the servers under this account (root only): it cannot read marks or card key",
    )
    doors.add_argument(
        "--processes", type=int, default=1, metavar="N", help="share the class among N servers"
    )
    doors.set_defaults(do=_class_open)
    sheets = steps.add_parser("sheets", help="write the sign-off sheets, a page a task, to print")
    sheets.add_argument("folder", type=Path, metavar="FOLDER", help="class folder")
    sheets.set_defaults(do=_class_sheets)
    sign = steps.add_parser("sign", help="enter practical sign-offs, on a form or from a CSV file")
    sign.add_argument("folder", type=Path, metavar="FOLDER", help="class folder")
    entered = sign.add_mutually_exclusive_group(required=True)
    entered.add_argument("--from", dest="source", type=Path, metavar="FILE", help="CSV filled in")
    entered.add_argument("--blank", type=Path, metavar="FILE", help="write a CSV to fill in")
    entered.add_argument("--form", action="store_true", help="a form in the browser, yes or no")
    sign.add_argument(
        "--network", action="store_true", help="with --form: for a phone in the same network"
    )
    sign.add_argument("--port", type=int, metavar="N", help="with --form: left out, a free one")
    sign.add_argument("--no-browser", action="store_true", help="print the address only")
    sign.add_argument("--by", metavar="NAME", help="the assessor; asked for once, then kept")
    sign.set_defaults(do=_class_sign)
    second = steps.add_parser(
        "second", help="draw answers for a second mark, enter it, see agreement"
    )
    second.add_argument("folder", type=Path, metavar="FOLDER", help="class folder")
    second.add_argument("--share", default="10%", metavar="SHARE", help="of the answers (10%%)")
    second.add_argument("--from", dest="source", type=Path, metavar="FILE", help="CSV filled in")
    second.add_argument("--by", metavar="NAME", help="the second assessor")
    second.set_defaults(do=_class_second)
    trail = steps.add_parser(
        "audit", help="one apprentice from hand-in to record, every hand named"
    )
    trail.add_argument("folder", type=Path, metavar="FOLDER", help="class folder")
    trail.add_argument("--person", required=True, metavar="NAME", help="name or number")
    trail.set_defaults(do=_class_audit)
    person = steps.add_parser("person", help="renumber, withdraw, extend or move one apprentice")
    person.add_argument("folder", type=Path, metavar="FOLDER", help="class folder")
    person.add_argument("--person", required=True, metavar="NAME", help="name or number")
    act = person.add_mutually_exclusive_group(required=True)
    act.add_argument("--renumber", type=int, metavar="N", help="give another number")
    act.add_argument("--withdraw", action="store_true", help="take out of the report; keep all")
    act.add_argument("--back", action="store_true", help="take back who had withdrawn")
    act.add_argument("--extend", metavar="EXERCISE", help="a later due date, with --until")
    act.add_argument("--move", type=Path, metavar="FOLDER", help="to another class, with --as")
    person.add_argument("--until", metavar="DAY", help="such as 2026-11-30")
    person.add_argument("--as", dest="number", type=int, metavar="N", help="number over there")
    person.add_argument("--reason", required=True, metavar="TEXT", help="why; it is kept")
    person.add_argument("--by", metavar="NAME", help="who decides; asked for once, then kept")
    person.set_defaults(do=_class_person)
    export = steps.add_parser("export", help="marks with the columns that a list wants")
    export.add_argument("folder", type=Path, metavar="FOLDER", help="class folder")
    export.add_argument(
        "--columns",
        default="number,name,total marks,total out of,percent",
        metavar="NAMES",
        help="with commas between; left out, number, name, totals and percent",
    )
    export.add_argument("--to", type=Path, metavar="FILE", help="left out, it is printed")
    export.set_defaults(do=_class_export)


def _class_open(options: argparse.Namespace) -> int:
    from coursework.desks.opening import open_doors

    return open_doors(
        options.folder,
        port=options.port,
        listen=options.listen,
        named=options.address,
        https=options.https,
        by=options.by,
        processes=options.processes,
        account=options.account,
    )


def _class_person(options: argparse.Namespace) -> int:
    from coursework.room import registrar
    from coursework.room.assessing import report_again
    from coursework.room.classfolder import open_class
    from coursework.room.trail import find_person

    class_folder = open_class(options.folder)
    number = find_person(class_folder, options.person)
    name = class_folder.names[number]
    common: dict[str, Any] = {
        "number": number,
        "reason": options.reason,
        "by": assessor_at_work(class_folder.folder, options.by),
    }
    if options.renumber is not None:
        changed = registrar.renumber(class_folder, to=options.renumber, **common)
        told = f"{name} is number {options.renumber} now. Print the card: class cards --person."
    elif options.withdraw:
        changed = registrar.withdraw(class_folder, **common)
        told = f"{name} ({number}) is out of the report; everything is kept."
        told += " Where a hub serves the class, the account is let in no more; files stay."
    elif options.back:
        changed = registrar.back(class_folder, **common)
        told = f"{name} ({number}) is back in the report, and let in where a hub serves the class."
    elif options.extend is not None:
        if not options.until:
            raise ValueError("Say until when: --until 2026-11-30")
        changed = registrar.extend(
            class_folder, exercise=options.extend, until=options.until, **common
        )
        told = f"{name} ({number}) may hand in {options.extend} until {options.until}."
    else:
        if options.number is None:
            raise ValueError("Say which number it will be over there: --as N")
        other = open_class(options.move)
        report_again(registrar.move(class_folder, other, to=options.number, **common))
        changed = open_class(options.folder)
        told = f"{name} is number {options.number} in class {other.code}, with a copy of the marks."
    print(told)
    print(f"Report: {report_again(changed)}")
    return 0


def _class_export(options: argparse.Namespace) -> int:
    from coursework.room.classfolder import open_class
    from coursework.room.marks import chosen_columns, marks_csv
    from coursework.room.standings import gather
    from taperkey.files import write_whole

    columns = [one.strip() for one in options.columns.split(",") if one.strip()]
    content = chosen_columns(marks_csv(gather(open_class(options.folder))), columns)
    if options.to is None:
        print(content.decode("utf-8-sig").replace("\r\n", "\n"), end="")
    else:
        write_whole(options.to, content)
        print(f"Marks: {options.to}")
    return 0


def _class_sheets(options: argparse.Namespace) -> int:
    from coursework.room.classfolder import open_class
    from coursework.room.signing import write_sheets

    print(f"Print the sign-off sheets from: {write_sheets(open_class(options.folder))}")
    print(f"Then: taperkey class sign {typed(options.folder)} --blank FILE")
    return 0


def _class_sign(options: argparse.Namespace) -> int:
    from coursework.room.assessing import report_again
    from coursework.room.classfolder import open_class
    from coursework.room.signing import blank_lines, enter_from_file
    from taperkey.files import write_whole

    class_folder = open_class(options.folder)
    if options.blank is not None:
        if options.blank.exists():
            raise ValueError(f"{options.blank} is there already. Name a new file.")
        write_whole(options.blank, blank_lines(class_folder))
        print(f"Fill in yes or no for each item: {options.blank}")
        return 0
    by = assessor_at_work(class_folder.folder, options.by)
    if options.form:
        from coursework.room.signserver import serve_sign_offs

        count = serve_sign_offs(
            class_folder,
            by=by,
            network=options.network,
            port=options.port,
            open_browser=not options.no_browser,
        )
        print(f"{counted(count, 'sign-off')} entered by {by}.")
        if count:
            print(f"Report: {report_again(class_folder)}")
        return 0
    found = enter_from_file(class_folder, options.source, by=by)
    for one in found:
        if not one.passed:
            name = class_folder.names[one.number]
            places = ", ".join(map(str, one.failed))
            print(f"{name} ({one.number}), {one.task}: not yet competent, item {places}.")
    print(f"{counted(len(found), 'sign-off')} entered by {by}.")
    print(f"Report: {report_again(class_folder)}")
    return 0


def _class_second(options: argparse.Namespace) -> int:
    from coursework.room.classfolder import open_class
    from coursework.room.seconding import (
        agreement_lines,
        enter_second_marks,
        read_share,
        write_sample,
    )

    class_folder = open_class(options.folder)
    if options.source is not None:
        by = assessor_at_work(class_folder.folder, options.by)
        found = enter_second_marks(class_folder, options.source, by=by)
        print(f"{counted(len(found), 'second mark')} entered by {by}.")
    else:
        page, marks, count = write_sample(class_folder, read_share(options.share))
        print(f"{counted(count, 'answer')} to mark, without names or first marks: {page}")
        print(f"Enter the marks here: {marks}")
    print("\n".join(agreement_lines(class_folder)))
    return 0


def _class_audit(options: argparse.Namespace) -> int:
    from coursework.room.classfolder import open_class
    from coursework.room.trail import find_person, write_trail

    class_folder = open_class(options.folder)
    path = write_trail(class_folder, find_person(class_folder, options.person))
    print(f"From hand-in to record: {path}")
    return 0


def assessor_at_work(folder: Path, given: str | None) -> str:
    """Return who is at work; where nobody was named yet, ask whoever sits there, once."""
    from coursework.room.assessors import ASSESSORS, name_of_assessor

    asked = given is None and not (folder / ASSESSORS).exists()
    if asked and sys.stdin and sys.stdin.isatty():
        given = input("Your name, as it stands on marks and sign-offs: ")
    return name_of_assessor(folder, given)


def typed(path: Path) -> str:
    """Return a path as one types it."""
    text = str(path)
    return f'"{text}"' if " " in text else text


CLASS_WORK = (
    _class_sheets,
    _class_sign,
    _class_second,
    _class_audit,
    _class_person,
    _class_export,
)
