"""Serving the desk on this machine until somebody closes it."""

import socket
from threading import Thread

from flask import Flask
from waitress.server import create_server

from voicelog.errors import ConfigurationError


class Server:
    """Serves the app on 127.0.0.1 at a free port, in the background. Raises ConfigurationError."""

    def __init__(self, app: Flask) -> None:
        self._socket = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
        try:
            self._socket.bind(("127.0.0.1", 0))
        except OSError as error:
            raise ConfigurationError(
                f"No port could be opened for the desk ({error.strerror})",
                kept="Records are not touched by this",
                do="Close another program, or try again in a moment",
            ) from error
        self._server = create_server(app, sockets=[self._socket], threads=2, ident=None)
        self._thread = Thread(target=self._server.run, daemon=True)
        self._thread.start()

    @property
    def address(self) -> str:
        """Where it is served."""
        return f"http://127.0.0.1:{self._socket.getsockname()[1]}"

    def close(self) -> None:
        """Stop serving."""
        self._server.close()
        self._thread.join(timeout=2)
