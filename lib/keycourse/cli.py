"""The command: plain verbs for the apprentice, the instructor and the assessor."""

from __future__ import annotations

import argparse
import os
import sys
import time
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any, NoReturn

from coursework.memory import look_seldom
from keycourse.cli_class import CLASS_WORK, add_class_steps, assessor_at_work, typed
from taperkey import __version__
from taperkey.counts import counted, either

__all__ = ["main"]

Progress = Callable[[int, int], None]


class _Parser(argparse.ArgumentParser):
    """A parser whose refusal is one sentence."""

    def error(self, message: str) -> NoReturn:
        words = message[0].upper() + message[1:].rstrip(".")
        print(f"{words}. See: {self.prog} --help", file=sys.stderr)
        raise SystemExit(2)

    def _check_value(self, action: argparse.Action, value: Any) -> None:
        known = list(action.choices or ())
        if value in known or not isinstance(action, argparse._SubParsersAction):
            super()._check_value(action, value)
            return
        shown = "".join(sign if sign.isprintable() else "?" for sign in str(value)[:40])
        one = f"{self.prog} {shown}"
        self.error(f"“{one}” is not a command; after {self.prog} comes {either(known)}")


def _parser() -> argparse.ArgumentParser:
    parser = _Parser(
        prog="taperkey",
        description="Learn to measure, make, fit and pull taper keys; run a class; mark it.",
        epilog="More about one of them: taperkey mark --help",
    )
    parser.add_argument("--version", action="version", version=f"taperkey {__version__}")
    verbs = parser.add_subparsers(dest="verb", metavar="", title="what to do")

    learn = verbs.add_parser("learn", help="open the course in the browser")
    learn.add_argument("folder", nargs="?", type=Path, metavar="FOLDER", help="course folder")
    learn.add_argument("--no-browser", action="store_true", help="print the address only")
    learn.add_argument("--port", type=int, metavar="N", help="port; left out, a free one is found")
    learn.add_argument(
        "--open", action="store_true", help="with all menus, and the pages opened up to look inside"
    )
    learn.set_defaults(do=_learn)

    demo = verbs.add_parser("demo", help="an invented class of 12, from job cards to report")
    demo.add_argument("folder", type=Path, metavar="FOLDER", help="a new or empty folder")
    demo.set_defaults(do=_demo)

    sheet = verbs.add_parser("sheet", help="a job sheet from your own readings: HTML and PDF")
    sheet.add_argument("file", nargs="?", type=Path, metavar="JOBFILE", help="TOML or JSON")
    sheet.add_argument("--new", type=Path, metavar="FILE", help="write a job file to begin from")
    sheet.add_argument(
        "--blank", action="store_true", help="an empty form to fill in with a pencil: PDF"
    )
    sheet.add_argument("--paper", choices=("A4", "Letter"), default="A4", help="A4 or Letter (A4)")
    sheet.add_argument("--out", type=Path, metavar="FOLDER", help="left out: beside the job file")
    sheet.set_defaults(do=_sheet)

    keep = verbs.add_parser("keep", help="what is to be kept of each lesson, as a booklet: PDF")
    keep.add_argument("folder", type=Path, metavar="FOLDER", help="made if it is not there")
    keep.add_argument("--paper", choices=("A4", "Letter"), help="A4 or Letter; left out, both")
    keep.set_defaults(do=_keep)

    group = verbs.add_parser("class", help="set up a class, print its job cards, see who is where")
    steps = group.add_subparsers(dest="step", metavar="STEP", title="what to do", required=True)
    new = steps.add_parser("new", help="set up a class folder from a class list")
    new.add_argument("folder", type=Path, metavar="FOLDER", help="a new or empty folder")
    new.add_argument(
        "--roster", type=Path, required=True, metavar="FILE", help="CSV file: number and name"
    )
    new.add_argument(
        "--code",
        metavar="CODE",
        help="letters, digits, hyphens; left out, it is asked for, or made new",
    )
    new.add_argument("--title", default="", metavar="TITLE", help="one line for the head of pages")
    new.add_argument(
        "--like", type=Path, metavar="FOLDER", help="a class whose rules the new one takes over"
    )
    new.set_defaults(do=_class_new)
    for name, told, do in (
        ("cards", "write the job cards, one a sheet, to print", _class_cards),
        ("status", "who has handed in what, and what waits", _class_status),
        ("release", "put the worked solutions into the feedback", _class_release),
        ("verify", "trace every mark to its hand-in and work it out again", _class_verify),
    ):
        step = steps.add_parser(name, help=told)
        step.add_argument("folder", type=Path, metavar="FOLDER", help="class folder")
        step.set_defaults(do=do)
    add_class_steps(steps)
    cards = steps.choices["cards"]
    cards.add_argument("--attempt", type=int, default=1, metavar="N", help="2 for a resit")
    cards.add_argument("--person", metavar="NAME", help="name or number; left out, everybody")
    change = steps.add_parser(
        "moderate", help="put another mark in the place of one, with a reason"
    )
    change.add_argument("folder", type=Path, metavar="FOLDER", help="class folder")
    change.add_argument("--number", type=int, required=True, metavar="N", help="apprentice number")
    change.add_argument("--entry", required=True, metavar="ENTRY", help="such as 02-per-foot")
    instead = change.add_mutually_exclusive_group(required=True)
    instead.add_argument("--mark", type=float, metavar="MARK", help="the mark that counts")
    instead.add_argument("--withdraw", action="store_true", help="take the moderation back")
    change.add_argument(
        "--reason", required=True, metavar="TEXT", help="why; it is on the feedback"
    )
    change.add_argument("--by", metavar="NAME", help="who decides; asked for once, then kept")
    change.set_defaults(do=_class_moderate)

    serve = steps.add_parser("serve", help="serve the course to a class on a network")
    serve.add_argument("folder", type=Path, metavar="CLASSFOLDER", help="class folder")
    serve.add_argument("--port", type=int, metavar="N", help="port; left out, 8000")
    serve.add_argument("--proxy", type=Path, metavar="PATH", help="where the proxy was installed")
    serve.add_argument("--gradebook", metavar="URL", help="a PostgreSQL gradebook")
    serve.add_argument(
        "--machine", type=int, metavar="N", help="this is the Nth of the hub's other machines"
    )
    serve.add_argument("--check", action="store_true", help="look whether it could start; no more")
    serve.set_defaults(do=_class_serve)

    for name, told, verb in (
        ("mark", "take in the inbox, mark, write feedback and report", _mark),
        ("report", "write the class report again", _report),
    ):
        one = verbs.add_parser(name, help=told)
        one.add_argument("folder", type=Path, metavar="CLASSFOLDER", help="class folder")
        if name == "mark":
            one.add_argument(
                "--screen",
                action="store_true",
                help="open the marking screen for written answers and sign-offs",
            )
            one.add_argument("--no-browser", action="store_true", help="print the address only")
            one.add_argument("--by", metavar="NAME", help="who marks; asked for once, then kept")
        one.add_argument("--gradebook", metavar="URL", help="a PostgreSQL gradebook")
        one.set_defaults(do=verb)
    return parser


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the command; return 0, or 2 after a refusal of one sentence."""
    # An optional checker of web-address formats takes a second to load and nothing here uses it.
    sys.modules.setdefault("rfc3987_syntax", None)  # type: ignore[arg-type]
    look_seldom()
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")  # a window that cannot show × still gets the rest
    parser = _parser()
    options = parser.parse_args(arguments)
    if options.verb is None:
        parser.print_help()
        return 0
    try:
        if options.do in _CLASS_WORK:
            _before_class_work(options)
        code: int = options.do(options)
    except KeyboardInterrupt:
        print("\nStopped. What was done so far is kept; start it again to go on.", file=sys.stderr)
        return 130
    except BrokenPipeError:
        return 0
    except ValueError as error:  # every refusal of the course is one
        print(" ".join(str(error).split()), file=sys.stderr)
        return 2
    except FileNotFoundError as error:
        print(
            f"{error.filename}: {error.strerror}. Look at its name, then start it again.",
            file=sys.stderr,
        )
        return 2
    except OSError as error:
        where = f"{error.filename}: " if error.filename else ""
        why = error.strerror or "the disk refused"
        print(
            f"{where}{why}. Look at the folder's rights and the room on the disk, then start "
            "it again.",
            file=sys.stderr,
        )
        return 2
    return code


def _progress(what: str) -> Progress:
    """Return a teller: one line that is rewritten on a screen, nothing in a file."""
    begun = time.monotonic()
    told = [0.0]

    def tell(done: int, total: int) -> None:
        now = time.monotonic()
        if not sys.stderr.isatty() or (done < total and now - told[0] < 0.2):
            return
        told[0] = now
        left = (now - begun) / max(done, 1) * (total - done)
        note = f"about {left:.0f} s left" if done < total else f"{now - begun:.0f} s"
        print(f"\r{what}: {done} of {total}, {note}    ", end="", file=sys.stderr, flush=True)
        if done >= total:
            print(file=sys.stderr)

    return tell


def _before_class_work(options: argparse.Namespace) -> None:
    """Name another gradebook."""
    if getattr(options, "gradebook", None):
        from coursework.mark.address import AddressError, use_gradebook

        try:
            use_gradebook(options.folder, options.gradebook)
        except AddressError as error:
            raise ValueError(str(error)) from None


def _class_serve(options: argparse.Namespace) -> int:
    if options.machine is not None:
        from coursework.desks.hubservice import as_machine

        return as_machine(options.folder, options.machine)
    from coursework.room.hub import serve

    return serve(
        options.folder,
        port=options.port,
        proxy=options.proxy,
        gradebook=options.gradebook,
        check_only=options.check,
    )


def _learn(options: argparse.Namespace) -> int:
    from coursework.desks.learning import learn

    return learn(
        options.folder,
        open_browser=not options.no_browser,
        port=options.port,
        with_code=options.open,
    )


def _demo(options: argparse.Namespace) -> int:
    from keycourse.demo import run_demo

    print("An invented class of 12 at Quillmoor Quarry goes through the exercises.")
    report = run_demo(options.folder, progress=_progress("Working"))
    print(f"Open the report: {report}")
    print(f"Job cards:       {report.parents[1] / 'cards' / 'index.html'}")
    print(f"Feedback:        {report.parents[1] / 'feedback'}")
    return 0


def _sheet(options: argparse.Namespace) -> int:
    from datetime import date

    from keycourse.jobsheet.job import JobError, read_job
    from keycourse.jobsheet.onpaper import write_sheet, write_template
    from keycourse.jobsheet.reading_form import write_form

    if (options.new is not None) + (options.file is not None) + options.blank != 1:
        raise ValueError(
            "Give a job file, or --new and a name for a job file to begin from, or --blank for a "
            "form to fill in with a pencil: taperkey sheet --new job.toml"
        )
    if options.blank:
        form = (options.out or Path()) / "reading-form.pdf"
        write_form(path=form, paper=options.paper)
        print(f"To print and fill in: {form}")
        return 0
    if options.new is not None:
        write_template(options.new)
        print(f"Job file to fill in: {options.new}")
        print(f"Then: taperkey sheet {typed(options.new)}")
        return 0
    path: Path = options.file
    try:
        written = write_sheet(
            job=read_job(path),
            folder=options.out or path.parent,
            name=f"{path.stem}-sheet",
            paper=options.paper,
            today=date.today(),
        )
    except JobError as error:
        print(f"No sheet was made from {path.name}:", file=sys.stderr)
        for problem in error.problems:
            print(f"- {' '.join(problem.split())}", file=sys.stderr)
        return 2
    for stop in written.sheet.stops:
        print(f"STOP: {stop}")
    for look in written.sheet.looks:
        print(f"Look again: {look}")
    print(f"To look at: {written.html}")
    print(f"To print:   {written.pdf}")
    return 0


def _keep(options: argparse.Namespace) -> int:
    from keycourse.booklet.pdf import write_booklet

    for paper in (options.paper,) if options.paper else ("A4", "Letter"):
        print(f"To print: {write_booklet(folder=options.folder, paper=paper)}")
    return 0


def _class_new(options: argparse.Namespace) -> int:
    from coursework.room.classfolder import new_class, open_class
    from coursework.room.roster import read_roster

    roster = read_roster(options.roster)
    code = _class_code(options.code)
    title = options.title.strip() or f"Class {code}"
    like = open_class(options.like, any_edition=True) if options.like else None
    made = new_class(options.folder, code=code, title=title, roster=roster, like=like)
    print(f"Class {made.code} with {counted(len(made.roster), 'apprentice')}: {made.folder}")
    print(f"Next, the job cards: taperkey class cards {typed(options.folder)}")
    return 0


def _class_code(given: str | None) -> str:
    """Return the code that was given, else ask where somebody can type, else make one."""
    from coursework.room.classcode import ask_code, make_code, require_own_code

    if given is not None:
        require_own_code(given)
        return given
    if sys.stdin is not None and sys.stdin.isatty():
        return ask_code(ask=input, tell=lambda refused: print(refused, file=sys.stderr))
    return make_code()


def _class_cards(options: argparse.Namespace) -> int:
    from coursework.page.seal import HIGHEST_ATTEMPT
    from coursework.room.cards import write_cards
    from coursework.room.classfolder import open_class
    from coursework.room.trail import find_person

    class_folder = open_class(options.folder)
    if not 1 <= options.attempt <= HIGHEST_ATTEMPT:
        raise ValueError(
            f"attempt is {options.attempt}; it must be from 1 to {HIGHEST_ATTEMPT}. Count from 1."
        )
    path = write_cards(
        class_folder,
        progress=_progress("Drawing job cards"),
        attempt=options.attempt,
        numbers=[find_person(class_folder, options.person)] if options.person else (),
    )
    print(f"Print the job cards from: {path}")
    print(f"When hand-ins lie in inbox: taperkey mark {typed(options.folder)}")
    return 0


def _class_status(options: argparse.Namespace) -> int:
    from coursework.room.classfolder import open_class
    from coursework.room.status import status_lines

    print("\n".join(status_lines(open_class(options.folder))))
    return 0


def _class_release(options: argparse.Namespace) -> int:
    from coursework.room.assessing import release_solutions
    from coursework.room.classfolder import open_class

    count = release_solutions(open_class(options.folder))
    print(f"{counted(count, 'feedback page')} now with worked solutions.")
    print("Hand-ins that come later are still taken in and marked.")
    return 0


def _class_verify(options: argparse.Namespace) -> int:
    from coursework.room.assessing import verify_class
    from coursework.room.classfolder import open_class

    found = verify_class(open_class(options.folder), progress=_progress("Verifying"))
    for one in (*found.differences, *found.notes):
        print(one)
    print(
        f"{counted(found.hand_ins, 'hand-in')}, {counted(found.records, 'record')}, "
        f"{counted(found.marks, 'mark')} worked out again, {found.by_hand} by hand looked up: "
        + (
            counted(len(found.differences), "difference") + "."
            if found.differences
            else "everything agrees."
        )
    )
    if found.differences:
        print(found.next_step(f"taperkey mark {typed(options.folder)}"))
    return 1 if found.differences else 0


def _class_moderate(options: argparse.Namespace) -> int:
    from coursework.room.assessing import moderate_mark
    from coursework.room.classfolder import open_class

    class_folder = open_class(options.folder)
    act = moderate_mark(
        class_folder,
        number=options.number,
        entry=options.entry,
        mark=None if options.withdraw else options.mark,
        reason=options.reason,
        by=assessor_at_work(class_folder.folder, options.by),
    )
    before = "no mark yet" if act.instead_of is None else f"{act.instead_of:g}"
    if act.mark is None:
        print(f"Apprentice {options.number:03d}, {act.entry}: the moderation is withdrawn.")
    else:
        print(f"Apprentice {options.number:03d}, {act.entry}: {act.mark:g} instead of {before}.")
    return 0


def _mark(options: argparse.Namespace) -> int:
    from coursework.room.unchanged import told_before

    folder = Path(os.path.abspath(options.folder.expanduser()))
    told = None if options.screen or options.gradebook else told_before(folder)
    if told is not None:
        report = folder / "report" / "index.html"
        print(f"{counted(0, 'hand-in')} taken in.", *told, f"Report: {report}", sep="\n")
        return 0
    _before_class_work(options)
    from coursework.room.assessing import mark_and_report
    from coursework.room.classfolder import open_class

    class_folder = open_class(options.folder)
    if options.screen:
        from coursework.room.markingscreen import open_marking_screen

        by = assessor_at_work(class_folder.folder, options.by)
        return open_marking_screen(class_folder, by=by, open_browser=not options.no_browser)
    done = mark_and_report(class_folder, progress=_progress("Marking"))
    taken = done.intake
    told = [f"{counted(len(taken.admitted), 'hand-in')} taken in"]
    if taken.repeated:
        told.append(f"{len(taken.repeated)} there before")
    if taken.set_aside:
        told.append(f"{len(taken.set_aside)} set aside")
    print(", ".join(told) + ".")
    for one in taken.set_aside:
        print(f"Set aside: {one.source}: {one.sentence}")
    for one in taken.left:
        print(f"Left in inbox: {one.source}: {one.sentence}")
    for line in done.lines:
        print(line)
    print(f"Report: {done.report}")
    return 0


def _report(options: argparse.Namespace) -> int:
    from coursework.room.assessing import report_again
    from coursework.room.classfolder import open_class

    print(f"Report: {report_again(open_class(options.folder))}")
    return 0


_CLASS_WORK = (
    _report,
    _class_cards,
    _class_status,
    _class_release,
    _class_verify,
    _class_moderate,
    *CLASS_WORK,
)

if __name__ == "__main__":
    raise SystemExit(main())
