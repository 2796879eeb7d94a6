"""Compiled networks kept between runs: compiling takes seconds, reading them back a moment.

They hold nothing but the words of the language. A file that is missing, damaged or of another
version is made anew; a folder that cannot be written is done without.
"""

import hashlib
import json
import os
import pickle
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path

from voicelog.grammar import automaton, joining
from voicelog.grammar.automaton import Automaton

Compile = Callable[[], Automaton]


class NetworkCache:
    """Automata in files of one folder, by the content they were compiled from."""

    def __init__(self, folder: Path | None) -> None:
        self._folder = folder

    def get(self, made_of: object, compile_it: Compile) -> Automaton:
        """The automaton compiled from `made_of`: kept from before, or compiled now and kept."""
        if self._folder is None:
            return compile_it()
        file = self._folder / f"{_key(made_of)}.json"
        kept = _read(file)
        if kept is None:
            kept = compile_it()
            _write(file, kept)
        return kept


def _key(made_of: object) -> str:
    digest = hashlib.sha256()
    for module in (automaton, joining):
        digest.update(Path(str(module.__file__)).read_bytes())
    digest.update(pickle.dumps(made_of, protocol=4))
    return digest.hexdigest()


def _read(file: Path) -> Automaton | None:
    try:
        states, arcs, finals = json.loads(file.read_text(encoding="utf-8"))
        return Automaton(
            int(states),
            tuple((int(a), int(b), str(word), float(usual)) for a, b, word, usual in arcs),
            {int(state): float(usual) for state, usual in finals},
        )
    except (OSError, ValueError, TypeError, OverflowError):  # whatever stands in the file
        return None


def _write(file: Path, network: Automaton) -> None:
    text = json.dumps([network.states, network.arcs, list(network.finals.items())])
    part = file.with_suffix(f".{os.getpid()}.part")
    with suppress(OSError):
        file.parent.mkdir(parents=True, exist_ok=True)
        part.write_text(text, encoding="utf-8")
        part.replace(file)
    with suppress(OSError):
        part.unlink(missing_ok=True)
