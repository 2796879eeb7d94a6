"""The likeliest row of words in sound that was heard word by word, among all that may be said.

A network says for each row of sound how likely each word is to be spoken just there, or none. A
word takes one or more rows, with or without rows of none before the next (connectionist temporal
classification: Graves and others 2006, from memory); here such words must be a way through the
network that the engine searches too, and the best is found by dynamic programming (Viterbi 1967,
from memory).
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from voicelog.recognisers.networks import Step
from voicelog.recognisers.speech_embedding import Floats

NONE = 0
"""The place of no word, in a row of scores."""
_NEVER = -1e9
_NO_WORD = -1
_LEAST = -12.0
"""Words that are nowhere likelier than this, in nats, are not looked for."""
_Scores = NDArray[np.float64]
_Places = NDArray[np.int64]


class _Best:
    """The best of the steps that lead into each state; `into` names their states, in order."""

    def __init__(self, into: _Places, states: int) -> None:
        self._states, self._into = states, into
        self._first = np.flatnonzero(np.diff(into, prepend=-1))
        self._sizes = np.diff(np.append(self._first, len(into)))

    def of(self, values: _Scores) -> tuple[_Scores, _Places]:
        """For each state the best value and whose it is; `_NEVER` and 0 where no step leads."""
        best, which = np.full(self._states, _NEVER), np.zeros(self._states, np.int64)
        if len(values):
            highest = np.maximum.reduceat(values, self._first)
            hits = np.flatnonzero(values == np.repeat(highest, self._sizes))
            best[self._into[self._first]] = highest
            which[self._into[hits]] = hits
        return best, which


class WordPaths:
    """Searches one network: its last state and its steps. `places` are those of the words in a row
    of scores; a step with a word that has none is never taken. What a step costs is `scale` times
    how unusual it is, in nats."""

    def __init__(
        self, network: tuple[int, Sequence[Step]], places: Mapping[str, int], scale: float
    ) -> None:
        self._last, steps = network
        into = sorted(steps, key=lambda step: step[1])
        spoken = [step for step in into if len(step) == 4 and step[3] in places]
        silent = [step for step in into if len(step) == 3]
        self._spoken = np.array(
            [(s[0], s[1], places[s[3]]) for s in spoken if len(s) == 4], np.int64
        ).reshape(-1, 3)
        self._costs = scale * np.log([step[2] for step in spoken])
        self._silent_from = np.array([step[0] for step in silent], np.int64)
        self._silent_costs = scale * np.log([step[2] for step in silent])
        self._silent_into = _Best(np.array([step[1] for step in silent], np.int64), self._last + 1)

    def best(self, scores: Floats) -> tuple[int, ...]:
        """The places of the words that are likeliest in rows of log-probabilities; empty where no
        way through the network fits."""
        likely = scores.max(axis=0)[self._spoken[:, 2]] > _LEAST
        if not likely.any():
            return ()
        search = _Search(self._spoken[likely], self._costs[likely], self._last, self.on)
        for row in scores:
            search.hear(row)
        return search.words()

    def on(self, ways: "_Ways") -> "_Ways":
        """Each state's best way after silent steps, of which one at most is taken."""
        if not len(self._silent_from):
            return ways
        best, which = self._silent_into.of(ways.scores[self._silent_from] + self._silent_costs)
        return ways.or_better(_Ways(best, ways.last[self._silent_from[which]]))


@dataclass(frozen=True, slots=True)
class _Ways:
    """The best way to each state: its score, and its last word, by number, or `_NO_WORD`."""

    scores: _Scores
    last: _Places

    def or_better(self, others: "_Ways") -> "_Ways":
        """The better of two ways to each state."""
        better = others.scores > self.scores
        last = np.where(better, others.last, self.last)
        return _Ways(np.maximum(others.scores, self.scores), last)


class _Search:
    """One search: row by row the best way to each state behind a row of no word, and to each step
    inside its word. A word that was heard has a number, from its row and its step."""

    def __init__(
        self, spoken: _Places, costs: _Scores, last: int, on: Callable[[_Ways], _Ways]
    ) -> None:
        (self._from, into, self._said), self._costs = spoken.T, costs
        self._last, self._on = last, on
        self._into = _Best(into, last + 1)
        self._inside = _Ways(np.full(len(costs), _NEVER), np.full(len(costs), _NO_WORD))
        at_start = np.where(np.arange(last + 1) == 0, 0.0, _NEVER)
        self._behind = on(_Ways(at_start, np.full(last + 1, _NO_WORD)))
        self._before: list[_Places] = []

    def hear(self, row: Floats) -> None:
        """One row more."""
        ended = self._ended()
        # The same word once more begins only behind a row of none. Where the likeliest word before
        # is the same, the next likeliest is not tried.
        last = np.where(ended.last == _NO_WORD, NONE, self._said[ended.last % len(self._said)])
        again = last[self._from] == self._said
        at_once = _Ways(np.where(again, _NEVER, ended.scores[self._from]), ended.last[self._from])
        begun = _Ways(self._behind.scores[self._from], self._behind.last[self._from])
        begun = begun.or_better(at_once)
        numbers = len(self._before) * len(self._said) + np.arange(len(self._said))
        self._before.append(begun.last)
        inside = self._inside.or_better(_Ways(begun.scores + self._costs, numbers))
        self._inside = _Ways(inside.scores + row[self._said], inside.last)
        behind = self._behind.or_better(ended)
        self._behind = _Ways(behind.scores + row[NONE], behind.last)

    def words(self) -> tuple[int, ...]:
        """Those of the best way to the last state."""
        number = int(self._behind.or_better(self._ended()).last[self._last])
        found: list[int] = []
        while number != _NO_WORD:
            row, step = divmod(number, len(self._said))
            found.append(int(self._said[step]))
            number = int(self._before[row][step])
        return tuple(reversed(found))

    def _ended(self) -> _Ways:
        """The best way to each state whose last row is of a word."""
        best, which = self._into.of(self._inside.scores)
        last = np.where(best > _NEVER, self._inside.last[which], _NO_WORD)
        return self._on(_Ways(best, last))
