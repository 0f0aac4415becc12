"""What nbgrader's marking screen needs to work in a class folder.

The screen has a button that marks again. As it comes, it would start a page's
code and read full marks from forms that print nothing. The configuration here
puts `JudgeEntries` in its place, so that the button gives the marker's own
marks and runs nothing.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

from nbgrader.preprocessors import NbGraderPreprocessor
from traitlets import Unicode

from coursework.course import PAGES
from coursework.mark.judged import MarkingError, judge_hand_in
from coursework.mark.marker import HAND_IN_NAME
from coursework.mark.pages import rebuild
from coursework.page.handin import read_hand_in

__all__ = ["JudgeEntries", "screen_config"]


class JudgeEntries(NbGraderPreprocessor):  # type: ignore[misc]
    """Stands where nbgrader would run a notebook: judges the hand-in beside it instead."""

    class_code = Unicode("", help="The class, such as QQ-26.").tag(config=True)

    def preprocess(self, nb: Any, resources: Any) -> tuple[Any, Any]:
        """Put marks and written answers into the notebook."""
        about = resources["nbgrader"]
        content = (Path(resources["metadata"]["path"]) / HAND_IN_NAME).read_bytes()
        hand_in = read_hand_in(content)
        number = int(about["student"])
        if (hand_in.class_code, hand_in.number, hand_in.page) != (
            self.class_code,
            number,
            about["assignment"],
        ):
            raise MarkingError(
                f"The hand-in beside {about['assignment']} of {about['student']} is another "
                "one. Mark the class again."
            )
        verdicts = judge_hand_in(hand_in=hand_in, class_code=self.class_code, number=number)
        page = PAGES[hand_in.page]
        return rebuild(page=nb, questions=page, verdicts=verdicts), resources


def screen_config(*, folder: Path, class_code: str, solutions: Path, exercises: Path) -> str:
    """Return the text of ``nbgrader_config.py`` for a class folder.

    Parameters
    ----------
    folder : Path
        The class folder.
    class_code : str
        The class, such as "QQ-26".
    solutions, exercises : Path
        Folders of the masters and of the released pages.
    """
    steps = "nbgrader.preprocessors"
    return f"""import os
from pathlib import Path
from coursework.mark.address import gradebook_address
from coursework.mark.gradebook import put_environment_on_path  # and no name is kept as markup
from coursework.mark.handwatch import watch_hands
put_environment_on_path()
_by = os.environ.get("TAPERKEY_ASSESSOR", "")
if _by:  # every mark saved by hand gets a line in by-hand.csv, with whose it is
    watch_hands(Path({str(folder.resolve())!r}), by=_by)
c = get_config()  # noqa: F821
c.CourseDirectory.db_url = os.environ.get("TAPERKEY_GRADEBOOK") or gradebook_address(
    Path({str(folder.resolve())!r})
)
c.CourseDirectory.root = {str(folder.resolve())!r}
c.CourseDirectory.source_directory = {str(solutions.resolve())!r}
c.CourseDirectory.release_directory = {str(exercises.resolve())!r}
c.Autograde.sanitize_preprocessors = [
    "{steps}.ClearOutput",
    "{steps}.OverwriteKernelspec",
    "{steps}.OverwriteCells",
    "{steps}.CheckCellMetadata",
]
c.Autograde.autograde_preprocessors = [
    "coursework.mark.screen.JudgeEntries",
    "{steps}.SaveAutoGrades",
    "{steps}.CheckCellMetadata",
]
c.JudgeEntries.class_code = {class_code!r}
c.GenerateFeedback.preprocessors = [
    "{steps}.GetGrades",
    "{steps}.ClearMarkScheme",
    "nbconvert.preprocessors.CSSHTMLHeaderPreprocessor",
]
"""
