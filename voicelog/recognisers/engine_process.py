"""The other process, in which an engine runs: begun, if need be before anything else is loaded."""

import importlib
import multiprocessing
import os
import signal
import sys
import threading
import weakref
from dataclasses import dataclass
from multiprocessing.connection import Connection
from multiprocessing.process import BaseProcess
from typing import TYPE_CHECKING

from voicelog.errors import VoicelogError, account_of

if TYPE_CHECKING:
    from voicelog.recognisers.base import Recogniser

Begun = tuple[BaseProcess, Connection]
"""A process that waits to be sent what makes its engine, and the way to it."""
_ahead: list[Begun] = []


@dataclass(frozen=True, slots=True)
class Failed:
    """An error of the engine, as it travels to the program."""

    what: str
    kept: str
    do: str


def begin_ahead(*modules: str) -> None:
    """Begin the process of the next engine now, which loads these modules while it waits."""
    process, connection = _begun(modules)
    weakref.finalize(process, process.kill)
    _ahead.append((process, connection))


def taken() -> Begun:
    """The process that was begun ahead, or else a new one."""
    return _ahead.pop() if _ahead else _begun(())


def _begun(modules: tuple[str, ...]) -> Begun:
    context = multiprocessing.get_context("spawn")
    ours, theirs = context.Pipe()
    process = context.Process(target=_serve, args=(theirs, modules), daemon=True)
    process.start()
    theirs.close()
    return process, ours


def _serve(connection: Connection, modules: tuple[str, ...]) -> None:
    """The other process: make the engine, then do as told until nobody is there any more."""
    # The keys and the terminal belong to the program; it ends this process when it ends.
    for name in ("SIGINT", "SIGHUP", "SIGTERM"):
        if hasattr(signal, name):
            signal.signal(getattr(signal, name), signal.SIG_IGN)
    threading.Thread(target=_end_with_parent, daemon=True).start()
    for name in modules:
        importlib.import_module(name)
    try:
        (make,) = connection.recv()
        recogniser: Recogniser = make()
        connection.send((recogniser.engine, recogniser.model))
        _answer_calls(recogniser, connection)
    except VoicelogError as error:
        connection.send(Failed(error.what, error.kept, error.do))
    except (EOFError, OSError):
        return
    except Exception as error:
        sys.stderr.write(f"voicelog: The speech engine broke down\n{account_of(error)}")
        sys.exit(1)


def _end_with_parent() -> None:
    """A program that was killed ends nothing, and an engine that hangs reads no end of file."""
    parent = multiprocessing.parent_process()
    assert parent is not None
    parent.join()
    os._exit(1)


def _answer_calls(recogniser: "Recogniser", connection: Connection) -> None:
    failed: Failed | None = None
    while True:
        name, *values = connection.recv()
        try:
            answer = getattr(recogniser, name)(*values)
        except VoicelogError as error:
            failed = Failed(error.what, error.kept, error.do)
        if name in ("end", "transcribe"):
            connection.send(failed or answer)
            failed = None
