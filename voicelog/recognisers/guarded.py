"""A speech engine in a process of its own, watched: one that hangs or dies is started anew.

An engine is foreign code that computes for a second at a time. Here it can neither take the program
down with it, nor keep the microphone's thread waiting: PocketSphinx holds Python's lock while it
decodes, and what is heard meanwhile would be lost.
"""

import copyreg
import threading
import weakref
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass
from multiprocessing.connection import Connection
from queue import SimpleQueue
from types import MappingProxyType
from typing import Any, cast

from voicelog.audio.base import RATE_HZ, Samples
from voicelog.errors import RecogniserError
from voicelog.grammar.hypothesis import Expect, Hypothesis
from voicelog.recognisers import engine_process
from voicelog.recognisers.base import Recogniser
from voicelog.recognisers.engine_process import Failed


def _read_only(items: dict[Any, Any]) -> MappingProxyType[Any, Any]:
    return MappingProxyType(items)


# What an engine is made from holds some, and they cannot be sent to another process as they are.
copyreg.pickle(MappingProxyType, lambda proxy: (_read_only, (dict(proxy),)))

KEPT = "What was confirmed is saved, and what was read back is kept"


@dataclass(frozen=True, slots=True)
class Patience:
    """How long to wait before an engine counts as hung, in seconds: to be ready, and to answer,
    where each second of sound adds `each_second_s`."""

    start_s: float = 90.0
    answer_s: float = 8.0
    each_second_s: float = 1.0


class GuardedRecogniser:
    """Starts another process at once, makes an engine there with `load`, and hands everything on.

    Raises RecogniserError when the engine fails, or has hung or died; then a new one is there
    already, and the next utterance can be begun. When no new one can be had, every call raises it.
    """

    engine = ""
    model = ""

    def __init__(self, patience: Patience | None = None) -> None:
        self._patience = patience or Patience()
        self._spoken_s = 0.0
        self._closed = False
        self._start()

    def load(self, make: Callable[[], Recogniser]) -> None:
        """Make the engine; `make` must be something that can be sent to another process."""
        self.load_ahead(make)
        self.ready()

    def load_ahead(self, make: Callable[[], Recogniser]) -> None:
        """The same without waiting; `ready` must be called before anything is heard."""
        self._make = make
        with suppress(OSError):  # it has ended already, as `ready` will find
            self._connection.send((make,))

    def ready(self) -> "GuardedRecogniser":
        """This one, once the engine is made."""
        try:
            came = self._connection.poll(self._patience.start_s)
            answer = self._connection.recv() if came else None
        except (EOFError, OSError):
            answer = None
        if isinstance(answer, tuple):
            self.engine, self.model = answer
            return self
        self._end_process()
        failed = answer if isinstance(answer, Failed) else None
        raise RecogniserError(
            failed.what if failed else "The speech engine does not start",
            kept=failed.kept if failed else KEPT,
            do=(failed.do if failed else "") or "Run `voicelog check`",
        )

    def begin(self, expect: Expect) -> None:
        """An utterance starts."""
        self._spoken_s = 0.0
        self._calls.put(("begin", expect))

    def hear(self, samples: Samples) -> None:
        """More of its sound."""
        self._spoken_s += len(samples) / RATE_HZ
        self._calls.put(("hear", samples))

    def pause(self) -> None:
        """It may be over: time to work ahead."""
        self._calls.put(("pause",))

    def end(self, cleaned: bool = False) -> Hypothesis:
        """It is over: what was heard."""
        return cast(Hypothesis, self._ask("end", cleaned))

    def transcribe(self, samples: Samples) -> str:
        """Free words, as well as the engine can."""
        self._spoken_s = len(samples) / RATE_HZ
        return cast(str, self._ask("transcribe", samples))

    def close(self) -> None:
        """End the process; what is asked afterwards raises RecogniserError."""
        self._closed = True
        self._end_process()

    def _end_process(self) -> None:
        self._end_at_exit()
        self._process.join()
        self._calls.put(None)
        self._connection.close()

    def _ask(self, name: str, *values: object) -> object:
        patience = self._patience
        self._calls.put((name, *values))
        answer = self._answer(patience.answer_s + patience.each_second_s * self._spoken_s)
        if isinstance(answer, Failed):
            raise RecogniserError(answer.what, kept=answer.kept, do=answer.do)
        return answer

    def _answer(self, within_s: float) -> object:
        """The next answer; an engine that gives none is replaced."""
        try:
            if self._connection.poll(within_s):
                return self._connection.recv()
            trouble = f"The speech engine has not answered for {within_s:.0f} seconds"
        except (EOFError, OSError):
            trouble = "The speech engine has stopped by itself"
        if self._closed:
            do = "Start listening again"
            raise RecogniserError("The speech engine is closed already", kept=KEPT, do=do)
        self._end_process()
        self._start()
        self.load(self._make)
        raise RecogniserError(f"{trouble} and was started anew", kept=KEPT, do="Say it again")

    def _start(self) -> None:
        self._process, self._connection = engine_process.taken()
        # It heeds no request to end, which may come to both at once when the machine is shut down.
        self._end_at_exit = weakref.finalize(self, self._process.kill)
        self._calls: SimpleQueue[tuple[Any, ...] | None] = SimpleQueue()
        # Sound is sent by a thread, as a hung engine reads none and would hold up the sender too.
        threading.Thread(target=_send_on, args=(self._calls, self._connection), daemon=True).start()


def _send_on(calls: "SimpleQueue[tuple[Any, ...] | None]", connection: Connection) -> None:
    try:
        while (call := calls.get()) is not None:
            connection.send(call)
    except (OSError, ValueError):
        return  # the engine is gone; whoever waits for its answer finds out
