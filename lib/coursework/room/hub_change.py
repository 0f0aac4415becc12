"""The hub's page on which somebody changes their own password.

Imported by the hub only.
"""

from __future__ import annotations

import asyncio

from jupyterhub.handlers import BaseHandler
from tornado.web import authenticated

from coursework.room.hub_passwords import require_new_password

__all__ = ["ADDRESS", "ChangePassword"]

ADDRESS = "/auth/change-password"
NOT_RIGHT = "The present password is not right. Type it again."
NOT_TAKEN = (
    "The password was not changed: this computer did not take it. The present one still holds; "
    "ask your instructor."
)


class ChangePassword(BaseHandler):  # type: ignore[misc]
    """The present password once, the new one twice."""

    custom_login_error = ""

    async def _show(self, *, refused: str = "", done: bool = False) -> None:
        user = self.current_user
        page = await self.render_template(
            "change-password.html",
            account=user.name,
            first=bool(self.authenticator.first_password(user.name)),
            refused=refused,
            done=done,
            onward=self.get_next_url(user),
            xsrf=self.xsrf_token.decode("ascii"),
        )
        self.finish(page)

    @authenticated
    async def get(self) -> None:
        """Show the form."""
        await self._show()

    @authenticated
    async def post(self) -> None:
        """Change the password, or say in one sentence why not."""
        account = self.current_user.name
        present, new, again = (
            self.get_body_argument(name, "", strip=False) for name in ("present", "new", "again")
        )
        try:
            require_new_password(new, again, present=present)
        except ValueError as refused:
            await self._show(refused=str(refused))
            return
        typed = {"username": account, "password": present}
        if not await self.authenticator.authenticate(self, typed):
            waits = self.authenticator.must_wait(account)
            await self._show(refused=waits or NOT_RIGHT)
            return
        if not await asyncio.to_thread(self.authenticator.put_password, account, new):
            await self._show(refused=NOT_TAKEN)
            return
        await self._show(done=True)
