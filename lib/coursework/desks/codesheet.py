"""The sheet of join codes, to print and cut: name, address, code, and a picture a tablet reads."""

from __future__ import annotations

from typing import Any

from markupsafe import Markup

from coursework.desks.joincodes import JoinCodes
from coursework.room.cards import page_template
from coursework.room.classfolder import ClassFolder

__all__ = ["code_sheet"]


def code_sheet(
    class_folder: ClassFolder,
    codes: JoinCodes,
    *,
    address: str,
    fingerprint: str = "",
    once: str = "",
) -> str:
    """Return the sheet as a page.

    Parameters
    ----------
    class_folder : ClassFolder
        The class.
    codes : JoinCodes
        Its codes.
    address : str
        Where the class is open.
    fingerprint : str
        Of the certificate, where it is signed by nobody.
    once : str
        By which a browser knows the page's own style, where a server shows it.
    """
    slips = [
        {
            "number": one.number,
            "name": one.name,
            "code": codes.of(one.number),
            "qr": _qr(f"{address}/login#{codes.of(one.number)}"),
        }
        for one in class_folder.present
    ]
    text: str = page_template("joincodes.html.j2").render(
        title=class_folder.title,
        code=class_folder.code,
        address=address,
        fingerprint=fingerprint,
        slips=slips,
        once=once,
    )
    return text


def _qr(text: str) -> Markup:
    import segno

    drawn: Any = segno.make(text, error="m", micro=False)
    svg = drawn.svg_inline(border=2, svgclass=None, lineclass=None, omitsize=True)
    return Markup(svg.replace("<svg", '<svg role="img" aria-label="Opens the class"', 1))
