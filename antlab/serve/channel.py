"""The server's side of the line between a page and its kernel."""

from jupyter_server.services.kernels.connection.channels import ZMQChannelsWebsocketConnection


class PromptConnection(ZMQChannelsWebsocketConnection):
    """Sends each small message at once (TCP_NODELAY): the pictures of a slider in the kernel don't wait."""

    def connect(self):
        """Open the line as usual, after telling the socket not to gather small messages."""
        self.websocket_handler.set_nodelay(True)
        return super().connect()
