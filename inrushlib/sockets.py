"""The workbook's kernel connection, without the wait for more data to send.

A stream of small frames otherwise stalls on the browser's delayed acknowledgement, some 40 ms each.
"""

from __future__ import annotations

from typing import Any

from jupyter_server.services.kernels.connection.channels import ZMQChannelsWebsocketConnection


class NoDelayConnection(ZMQChannelsWebsocketConnection):
    """Connection between page and kernel that sends every frame at once."""

    def connect(self) -> Any:
        """Connect, and switch the delay off."""
        self.websocket_handler.set_nodelay(True)
        return super().connect()
