"""What the server loads: a connection without delay, the page's farewell.

Imported by the server's process alone, which has the packages for it.
"""

from __future__ import annotations

from typing import Any

from jupyter_core.utils import ensure_async
from jupyter_server.auth.identity import PasswordIdentityProvider
from jupyter_server.services.kernels.connection.channels import ZMQChannelsWebsocketConnection


class NoDelayConnection(ZMQChannelsWebsocketConnection):
    """Connection between page and kernel that sends every frame at once.

    A stream of small frames otherwise stalls on the browser's delayed acknowledgement, some 40 ms each.
    """

    def connect(self) -> Any:
        """Connect, and switch the delay off."""
        self.websocket_handler.set_nodelay(True)
        return super().connect()


class Identity(PasswordIdentityProvider):
    """Who may see the pages: as usual, but a page also gets what it needs to say farewell.

    A page that is closed asks for its kernel's end, and proves that it is no other site's page by a cookie and a copy
    of it. The server asks for that proof without ever handing out the cookie; so it is handed out here.
    """

    async def get_user(self, handler: Any) -> Any:
        """Return who asks, or None; whoever may see pages has the cookie afterwards."""
        user = await ensure_async(super().get_user(handler))
        if user is not None and handler.request.method == "GET" and not handler.get_cookie("_xsrf"):
            handler.current_user = user
            handler.xsrf_token  # noqa: B018  # sets the cookie
        return user
