"""nbgrader's marking screen on a class folder, for written answers and sign-offs."""

from __future__ import annotations

import os
import webbrowser
from collections.abc import Callable

from coursework.course import exercises_folder
from coursework.mark.address import FILE as GRADEBOOK
from coursework.mark.address import gradebook_address, is_own_file
from coursework.mark.gradebook import database_url, open_gradebook
from coursework.mark.screen import screen_config
from coursework.room.classfolder import ClassFolder
from coursework.room.coursebook import shipped_pages
from coursework.room.launch import SIGN_OFFS, Server, ended_like_ctrl_c, start_server
from coursework.room.signform import PLACE
from coursework.room.standings import in_one_sentence
from taperkey.files import write_whole

__all__ = ["open_marking_screen", "start_marking_screen", "write_screen_config"]

CONFIG = "nbgrader_config.py"


def write_screen_config(class_folder: ClassFolder) -> None:
    """Write what the marking screen needs into the class folder, without any password.

    The gradebook is opened once before: names that lie in it as markup are written again.
    """
    if not is_own_file(class_folder.folder) or (class_folder.folder / GRADEBOOK).is_file():
        with in_one_sentence(), open_gradebook(db_url=database_url(class_folder.folder)):
            pass
    exercises = exercises_folder()
    config = screen_config(
        folder=class_folder.folder,
        class_code=class_folder.code,
        solutions=exercises.parent / "solutions",
        exercises=exercises,
    )
    write_whole(class_folder.folder / CONFIG, config.encode())


def start_marking_screen(
    class_folder: ClassFolder, *, port: int | None = None, by: str = ""
) -> Server:
    """Start the marking screen of a class and return it when it is up.

    Parameters
    ----------
    class_folder : ClassFolder
        The class; its ``nbgrader_config.py`` is written anew.
    port : int, optional
        Port to use; left out, a free one.
    by : str
        The assessor, whose name each mark given there carries.

    Returns
    -------
    Server
        Log in at ``address``, then open ``formgrader``.
    """
    write_screen_config(class_folder)
    if not is_own_file(class_folder.folder):  # the screen's own process has to know it too
        os.environ["TAPERKEY_GRADEBOOK"] = gradebook_address(class_folder.folder)
    os.environ["TAPERKEY_ASSESSOR"] = by
    server = start_server(
        root=class_folder.folder, port=port, open_at="/lab", quiet=False, extensions=(SIGN_OFFS,)
    )
    try:
        server.wait_until_up()
    except BaseException:
        server.stop()
        raise
    return server


def open_marking_screen(
    class_folder: ClassFolder,
    *,
    by: str = "",
    open_browser: bool = True,
    port: int | None = None,
    say: Callable[[str], None] = print,
) -> int:
    """Open the marking screen and stay until Ctrl+C; return 0."""
    if not shipped_pages():
        say("The course pages are not there; install the course again.")
        return 2
    server = start_marking_screen(class_folder, port=port, by=by)
    try:
        with ended_like_ctrl_c():
            address = f"{server.base_url}lab?token={server.token}"
            say(f"The marking screen is open at {address}")
            if by:
                say(f"Every mark given there is kept with the name {by}.")
            say("In the menu choose Nbgrader, then Formgrader, then Manual Grading.")
            if by:
                say(f"Sign-offs, yes or no: {server.base_url}{PLACE}/?token={server.token}")
                say("For a phone at the machine: taperkey class sign CLASSFOLDER --form --network")
            say("When you are done, stop with Ctrl+C and run: taperkey mark CLASSFOLDER")
            if open_browser:
                webbrowser.open(address)
            server.wait_for_its_end()
    except KeyboardInterrupt:
        say("The marking screen is closed. Marks and comments are kept in the gradebook.")
    finally:
        server.stop()
    return 0
