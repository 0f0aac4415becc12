"""The second look at who may do what: it holds also where the first list of doors does not."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pytest
from jupyter_server.auth.identity import User
from tornado.httputil import HTTPHeaders, HTTPServerRequest, RequestStartLine

from coursework.desks.doors import DeskRights, DeskUser
from coursework.desks.joincodes import INSTRUCTOR

ZOE = DeskUser("007", "Zoë", "Zoë", number=7, mark="m")
BOSS = DeskUser("instructor", "Instructor", "Instructor", number=INSTRUCTOR, mark="m")
STRANGER = User("root", "root", "root")


def may(user: Any, method: str, path: str, resource: str, base: str = "/") -> bool:
    line = RequestStartLine(method, path, "HTTP/1.1")
    head, way = HTTPHeaders({"Host": "shop.example"}), SimpleNamespace(context=None)
    request = HTTPServerRequest(start_line=line, headers=head, connection=way)
    handler = SimpleNamespace(request=request, base_url=base)
    return DeskRights().is_authorized(handler, user, "read", resource)


@pytest.mark.parametrize(
    ("user", "method", "path", "resource", "allowed"),
    [
        (ZOE, "GET", "/api/kernels", "kernels", True),
        (ZOE, "GET", "/api/contents/lessons/02-taper.ipynb", "contents", True),
        (STRANGER, "GET", "/api/kernels", "kernels", False),
        (None, "GET", "/api/kernels", "kernels", False),
        (ZOE, "GET", "/class", "", False),
        (ZOE, "POST", "/class/code", "", False),
        (BOSS, "GET", "/class", "", True),
        (BOSS, "POST", "/class/code", "", True),
        # no door: neither for whoever asks nor for the instructor
        (BOSS, "GET", "/api/terminals/1", "terminals", False),
        (BOSS, "DELETE", "/api/contents/lessons/02-taper.ipynb", "contents", False),
        (BOSS, "GET", "/api/status", "terminals", False),
        (BOSS, "GET", "/api/status", "server", False),
        (ZOE, "GET", "/api/contents/lessons/../roster.csv", "contents", False),
        (ZOE, "GET", "/api/contents/%2e%2e/roster.csv", "contents", False),
        (ZOE, "GET", "/lessons" + 300 * "x", "", False),
    ],
)
def test_what_somebody_may_do(
    user: Any, method: str, path: str, resource: str, allowed: bool
) -> None:
    assert may(user, method, path, resource) is allowed


def test_behind_another_address_the_same_holds_there_and_nothing_elsewhere() -> None:
    base = "/services/class/"
    assert may(ZOE, "GET", f"{base}api/kernels", "kernels", base)
    assert not may(ZOE, "GET", "/api/kernels", "kernels", base)
    assert not may(ZOE, "GET", f"{base}class", "", base)
    assert may(BOSS, "GET", f"{base}class", "", base)
