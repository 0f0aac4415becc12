"""Which modules' examples are tried: not those whose libraries are not installed here."""

import importlib.util
import os

collect_ignore = []
if importlib.util.find_spec("jupyterhub") is None or os.name != "posix":
    collect_ignore += ["coursework/room/hub_login.py", "coursework/desks/hubdoors.py"]
