"""What runs a page: the ordinary kernel, which takes all of a page's messages in their order."""

from __future__ import annotations

from typing import Any

from ipykernel.ipkernel import IPythonKernel

__all__ = ["PageKernel"]


class PageKernel(IPythonKernel):
    """Offers no second way in: on one, a press could come before what was typed for it."""

    @property
    def kernel_info(self) -> dict[str, Any]:
        """What a front end is told of this kernel."""
        told: dict[str, Any] = super().kernel_info
        told["supported_features"] = [
            one for one in told.get("supported_features", []) if one != "kernel subshells"
        ]
        return told
