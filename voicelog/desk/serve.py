"""Serving the desk on this machine until somebody closes it."""

import logging
import socket
from threading import Thread
from typing import Any

from flask import Flask
from waitress import wasyncore
from waitress.server import create_server

from voicelog.errors import ConfigurationError

_THREADS = 2


class Server:
    """Serves the app on 127.0.0.1 at a free port, in the background. Raises ConfigurationError."""

    def __init__(self, app: Flask) -> None:
        listening = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
        try:
            listening.bind(("127.0.0.1", 0))
        except OSError as error:
            raise ConfigurationError(
                f"No port could be opened for the desk ({error.strerror})",
                kept="Records are not touched by this",
                do="Close another program, or try again in a moment",
            ) from error
        # A browser asks for several things at once; that they wait a moment is no trouble.
        logging.getLogger("waitress.queue").setLevel(logging.ERROR)
        self.address = f"http://127.0.0.1:{listening.getsockname()[1]}"
        self._channels: dict[int, Any] = {}
        # Its stubs know nothing of the trigger.
        self._server: Any = create_server(
            app, map=self._channels, sockets=[listening], threads=_THREADS, ident=None
        )
        self._thread = Thread(target=self._server.run, daemon=True)
        self._thread.start()

    def close(self) -> None:
        """Finish what is being answered, and stop."""
        self._server.trigger.pull_trigger(self._end)
        self._thread.join()

    def _end(self) -> None:
        self._server.task_dispatcher.shutdown()
        wasyncore.close_all(self._channels)
