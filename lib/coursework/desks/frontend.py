"""The front end as our own servers give it: its files, its settings, and the page that begins it.

JupyterLab's front end is used as it was installed; which of its parts are left out stands in
``room/lab``. Nothing of a server is loaded here: whoever wants the files can have them at once.
"""

from __future__ import annotations

import contextlib
import functools
import importlib.util
import json
import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from html import escape
from pathlib import Path
from typing import Any

from coursework.room.coursebook import CourseError
from coursework.room.launch import LAB, shared_folders

__all__ = ["Answer", "FrontEnd"]

LASTS = "public, max-age=31536000, immutable"
ASK_AGAIN = "no-cache"
_KINDS = {
    ".css": "text/css; charset=UTF-8",
    ".ico": "image/x-icon",
    ".js": "text/javascript; charset=UTF-8",
    ".json": "application/json",
    ".png": "image/png",
    ".svg": "image/svg+xml",
    ".ttf": "font/ttf",
    ".woff": "font/woff",
    ".woff2": "font/woff2",
}
_OF_ITS_CONTENT = re.compile(r"(^|\.)[0-9a-f]{16,}\.")  # in a name: the file never becomes another
_PLAIN = re.compile(r"[\w@./+-]+")
_HTML = """<!doctype html><html lang="en"><head><meta charset="utf-8"><title>The course</title>
<meta name="viewport" content="width=device-width,initial-scale=1">
<script id="jupyter-config-data" type="application/json">{told}</script>
<link rel="icon" type="image/x-icon" href="{base}static/favicons/favicon.ico" class="idle favicon">
<link rel="" type="image/x-icon" href="{base}static/favicons/favicon-busy-1.ico"
 class="busy favicon">
<link rel="stylesheet" href="{base}custom/custom.css">
<script defer src="{base}static/lab/{begins}"></script></head>
<body class="jp-ThemedContainer"><script>
/* The word of the address is not left standing in it. */
const there = new URL(location.href);
if (there.searchParams.has('token')) {{
  there.searchParams.delete('token');
  history.replaceState({{}}, '', there);
}}
</script></body></html>
"""


@dataclass(frozen=True)
class Answer:
    """What is sent: the bytes, their kind, and how long a browser may keep them."""

    content: bytes
    kind: str
    keep: str = ASK_AGAIN


@dataclass(frozen=True)
class FrontEnd:
    """The front end of one server.

    Parameters
    ----------
    config : Path
        The server's folder of settings, as `room.launch` writes it.
    base : str
        What every address begins with.
    notices : bool
        Whether a page asks for the class's notices.
    """

    config: Path
    base: str = "/"
    notices: bool = False
    _kept: dict[str, bytes] = field(default_factory=dict)

    def answer(self, path: str) -> Answer | None:
        """Return one of the front end's files, by the path after `base`; None for any other."""
        if not _PLAIN.fullmatch(path) or ".." in path.split("/"):
            return None
        if path == "custom/custom.css":
            return _read(self.config / path)
        for before, root in _roots().items():
            if path.startswith(before):
                return _read(root / path.removeprefix(before))
        return None

    def page(self, page: str, *, token: str = "", workspace: str = "default") -> bytes:
        """Return the page that begins the front end at a page of the course.

        Parameters
        ----------
        page : str
            Path of the course's page.
        token : str
            Word that the front end's requests carry; none where a cookie says who it is.
        workspace : str
            Name that this window's arrangement goes by.
        """
        lab = "lab/api"
        urls = {
            "app": "lab",
            "labextensions": "lab/extensions",
            "licenses": f"{lab}/licenses",
            "listings": f"{lab}/listings",
            "settings": f"{lab}/settings",
            "themes": f"{lab}/themes",
            "translationsApi": f"{lab}/translations",
            "tree": "lab/tree",
            "workspacesApi": f"{lab}/workspaces",
        }
        told: dict[str, Any] = {f"{name}Url": f"/{path}" for name, path in urls.items()}
        for name, path in urls.items():
            told[f"full{name[0].upper()}{name[1:]}Url"] = f"{self.base}{path}"
        told |= {
            "appName": "JupyterLab",
            "appNamespace": "lab",
            "appVersion": _version(_lab() / "static"),
            "baseUrl": self.base,
            "wsUrl": "",
            "buildAvailable": False,
            "buildCheck": False,
            "cacheFiles": False,
            "devMode": False,
            "exposeAppInBrowser": False,
            "disabledExtensions": list(self.left_out),
            "federated_extensions": [_extension(name) for name in _extensions()],
            "fullStaticUrl": f"{self.base}static/lab",
            "ignorePlugins": [],
            "mode": "single-document",
            "notebookStartsKernel": True,
            "pagesForAll": "true",  # no page saves itself
            "preferredPath": "/",
            "store_id": 0,
            "terminalsAvailable": False,
            "token": token,
            "appendToken": "true" if token else "false",  # a websocket carries no other word
            "treePath": page,
            "workspace": workspace,
        }
        if self.notices:
            told["notices"] = "true"
        text = json.dumps(told).replace("<", "\\u003c")
        return _HTML.format(told=text, base=escape(self.base), begins=_begins()).encode()

    @functools.cached_property
    def left_out(self) -> tuple[str, ...]:
        """The front end's parts that are left out."""
        told = json.loads((self.config / "labconfig" / "page_config.json").read_text("utf-8"))
        return tuple(told["disabledExtensions"])

    @functools.cached_property
    def settings(self) -> dict[str, dict[str, Any]]:
        """What each part of the front end is set to, by its name; without what is left out."""
        ours = self.config / "labconfig" / "default_setting_overrides.json"
        others: dict[str, Any] = json.loads(ours.read_text("utf-8"))
        found = {}
        for name, file in sorted(_schemas(), reverse=True):
            if name in self.left_out or name.split(":")[0] in self.left_out:
                continue
            schema = json.loads(file.read_text("utf-8"))
            if name in others:
                _set(schema.setdefault("properties", {}), others[name])
            found[name] = {"id": name, "schema": schema, "version": _version(file.parent)}
            found[name] |= {"raw": "{}", "settings": {}, "warning": None}
            found[name] |= {"last_modified": None, "created": None}
        return found

    def told(self, path: str, *, names_only: bool = False) -> bytes | None:
        """Return what the front end asks any server, as JSON; None where it is nothing of that.

        Parameters
        ----------
        path : str
            The path after `base`: of the settings, the languages or the windows' arrangement.
        names_only : bool
            Of the settings, only what there is to be set.
        """
        key = f"{path} {names_only}"
        if key not in self._kept:
            asked = re.fullmatch(r"lab/api/(settings|translations|workspaces)(?:/(.*))?", path)
            kind, name = (asked.group(1), asked.group(2) or "") if asked else ("", "")
            found: Any = None
            if kind == "settings" and name:
                found = self.settings.get(name)
            elif kind == "settings":
                every = self.settings.values()
                found = {"settings": [{"id": one["id"]} if names_only else one for one in every]}
            elif kind == "translations":  # only the language that it is written in
                english = {"en": {"displayName": "English", "nativeName": "English"}}
                found = {"data": {} if name else english, "message": ""}
            elif kind == "workspaces" and name:  # never kept
                found = {"data": {}, "metadata": {"id": name}}
            elif kind == "workspaces":
                found = {"workspaces": {"ids": [], "values": []}}
            if found is None:
                return None
            self._kept[key] = json.dumps(found).encode()
        return self._kept[key]


def _set(properties: dict[str, Any], wanted: dict[str, Any]) -> None:
    """Write other defaults into a schema; of one that has parts, only the parts that are named."""
    for key, value in wanted.items():
        one = properties.setdefault(key, {})
        if isinstance(one.get("default"), dict) and isinstance(value, dict):
            one["default"] = _with(one["default"], value)
        else:
            one["default"] = value


def _with(before: dict[str, Any], more: dict[str, Any]) -> dict[str, Any]:
    """Return `before` with `more` in its place, part by part."""
    made = dict(before)
    for key, value in more.items():
        inner = made.get(key)
        both = isinstance(inner, dict) and isinstance(value, dict)
        made[key] = _with(inner, value) if both else value  # type: ignore[arg-type]
    return made


def _read(file: Path) -> Answer | None:
    kind = _KINDS.get(file.suffix)
    if kind is None or not file.is_file():
        return None
    lasts = _OF_ITS_CONTENT.search(file.name) is not None
    return Answer(file.read_bytes(), kind, LASTS if lasts else ASK_AGAIN)


@functools.cache
def _extensions() -> tuple[str, ...]:
    """Return the names of the parts that are kept besides JupyterLab's own."""
    return tuple(json.loads((LAB / "quiet.json").read_text("utf-8"))["keep_extensions"])


@functools.cache
def _lab() -> Path:
    """Return the folder of the installed front end."""
    for one in shared_folders("share", "jupyter", "lab"):
        if (one / "static" / "index.html").is_file():
            return one
    raise CourseError("JupyterLab's front end is not where it is installed to. Install it again.")


@functools.cache
def _extension_folder(name: str) -> Path:
    for one in (LAB / "labextensions", *shared_folders("share", "jupyter", "labextensions")):
        if (one / name / "package.json").is_file():
            return one / name
    raise CourseError(f"the front end's part {name} is missing. Install taperkey again.")


@functools.cache
def _roots() -> dict[str, Path]:
    """Return what lies where: the beginning of a path, and the folder that it stands for."""
    found = importlib.util.find_spec("jupyter_server")
    server = Path(str(found and found.origin)).parent
    theme = "@jupyterlab/theme-light-extension"
    return {
        "static/lab/": _lab() / "static",
        "static/favicons/": server / "static" / "favicons",
        f"lab/api/themes/{theme}/": _lab() / "themes" / theme,
        **{f"lab/extensions/{name}/": _extension_folder(name) for name in _extensions()},
    }


def _extension(name: str) -> dict[str, Any]:
    told = json.loads((_extension_folder(name) / "package.json").read_text("utf-8"))
    build = told["jupyterlab"]["_build"]
    return {"name": name, "entrypoints": None} | {
        key: build[key] for key in ("extension", "load", "style") if key in build
    }


@functools.cache
def _begins() -> str:
    """Return the script that the front end's own page begins with."""
    own = (_lab() / "static" / "index.html").read_text("utf-8")
    found = re.search(r"/(main\.[\w.]+\.js)", own)
    if found is None:
        raise CourseError("JupyterLab's front end begins otherwise. Install taperkey again.")
    return found.group(1)


def _version(folder: Path) -> str:
    """Return the version that a part was built with."""
    for name in ("package.json", "package.json.orig"):
        with contextlib.suppress(OSError):
            return str(json.loads((folder / name).read_text("utf-8"))["version"])
    return "N/A"


def _schemas() -> Iterator[tuple[str, Path]]:
    """Give each part of the front end that can be set, with what can be set there."""
    roots = [_lab() / "schemas", *(_extension_folder(one) / "schemas" for one in _extensions())]
    for root in roots:
        for file in root.rglob("*.json"):
            inside = file.relative_to(root)
            yield f"{inside.parent.as_posix()}:{inside.stem}", file
