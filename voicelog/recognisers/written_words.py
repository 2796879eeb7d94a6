"""The likeliest words of the language in what the transcriber writes.

It writes piece by piece, and the ways that lead somewhere in the network that the engine searches
are followed side by side, the likeliest few of them (a beam). Ways on which the engine's own
reading lies are followed however unlikely they are, so that both can be compared.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from voicelog.recognisers.networks import Step
from voicelog.recognisers.spelt_network import FIRST, Node, SpeltNetwork, States
from voicelog.recognisers.transcriber import END, START, Floats, Transcriber, most_pieces
from voicelog.recognisers.word_pieces import WordPieces

Words = tuple[str, ...]
AT_ONCE, BEHIND = 4, 10.0
"""So many ways are followed at once, those that are less likely than the best by at most so many
nats. Of 72 dictations of `tune` in three rooms 61 came out right by themselves with 4, 6 or 8."""
A_WORD = 2.0
"""Nats that each word counts for: the network would rather stop too soon. Of 77 dictations of
`tune` in loud rooms 41 came out right by themselves with 1, 49 with 2, 48 with 3."""
A_WORD_MORE = 2.0
"""The same beside `A_WORD` once a text is whole, against what the engine takes from each word: what
was said must not be left out."""
LIKED = {"free": 5.0}
"""Nats by which it writes a word too readily: "pain free" is everyday English, "pain three" is not.
Of 19 times that "pain three" was said (`tune`, three rooms) it took "free" to be likelier in 8, by
5 nats at most; where "free" was said, it led by more than 10."""
_HOPELESS, _HOPELESS_A_WORD = 10.0, 4.0
"""Words that fall short by so many nats, and so many more for each of them, were not dictated: talk
is given up after its first words. Of 236 dictations of `tune` that came out right, in all rooms,
one falls short by more than 6 a word."""
_SAME_MOST = 3
"""A word comes so many times in a row at most, as in "one one one degrees"."""


@dataclass(frozen=True, slots=True)
class Written:
    """Words that were followed to their end, the likeliest first. `nats`: how likely they are, in
    all the ways to write them. `short_of`: by how many nats the likeliest of these ways falls short
    of what the network would rather write there, for each word and the mark behind it, and for the
    end, where it would rather write more."""

    nats: Mapping[Words, float]
    short_of: Mapping[Words, tuple[float, ...]]

    @property
    def best(self) -> Words:
        """The likeliest words; none where no way led to an end."""
        return next(iter(self.nats), ())


@dataclass(frozen=True, slots=True)
class _Way:
    """One text: its last piece, and `of` which text of the step before. `node` is None behind a
    whole word; there it may be `marked`, or `glued` to a hyphen."""

    piece: int = START
    of: int = 0
    words: Words = ()
    states: States = FIRST
    nats: float = 0.0
    short_of: tuple[float, ...] = (0.0,)
    node: Node | None = None
    marked: bool = True
    glued: bool = False

    @property
    def place(self) -> tuple[object, ...]:
        """Ways that agree in this go on alike: the likelier one is enough."""
        return self.words, self.states, id(self.node), self.marked, self.glued

    @property
    def is_hopeless(self) -> bool:
        """Whether it was not dictated, however it goes on."""
        return sum(self.short_of) > _HOPELESS + _HOPELESS_A_WORD * len(self.words)

    def leads(self, to: Words) -> bool:
        """Whether these words can be written this way."""
        count = len(self.words)
        if to[:count] != self.words:
            return False
        return self.node is None or (len(to) > count and to[count] in self.node.words)

    def on(self, piece: int, of: int, row: "_Row", *, mark: bool = False) -> "_Way":
        """With one more piece. What it falls short of counts for its word, that of a mark for the
        word before it."""
        begins = self.node is None and bool(self.words) and not mark
        *before, last = (*self.short_of, 0.0) if begins else self.short_of
        return replace(
            self,
            piece=piece,
            of=of,
            nats=self.nats + row.nats(piece),
            short_of=(*before, last + row.most - row.nats(piece)),
            node=None,
            marked=mark,
            glued=False,
        )


@dataclass(frozen=True, slots=True, eq=False)
class _Row:
    """How likely each piece is to come next, and the likeliest, in nats."""

    scores: Floats
    most: float

    def nats(self, piece: int) -> float:
        """How likely this piece is."""
        return float(self.scores[piece])


class WrittenWords:
    """Searches one network: its last state and its steps, which cost `scale` times how unusual
    they are, in nats."""

    def __init__(
        self, network: tuple[int, Sequence[Step]], pieces: WordPieces, scale: float
    ) -> None:
        self._network = SpeltNetwork(network, pieces, scale)

    def in_sound(
        self,
        transcriber: Transcriber,
        heard: Floats,
        also: Sequence[Words] = (),
        *,
        patient: bool = False,
    ) -> Written:
        """What is written of a sound, and how likely the words of `also` are. One that is not
        `patient` gives up what looks like talk."""
        writing = transcriber.writing(heard, AT_ONCE + len(also))
        ways = [_Way()]
        found = _Found()
        for _ in range(most_pieces(heard)):
            scores = writing.go_on([way.piece for way in ways], [way.of for way in ways])
            rows = [_Row(row, float(row.max())) for row in scores]
            for way, row in zip(ways, rows, strict=True):
                cost = self._end(way)
                if cost is not None:
                    found.add(way, row, cost)
            ways = self._kept(ways, rows, found.best, also)
            if not ways or (not patient and all(way.is_hopeless for way in ways)):
                break
        return found.written()

    def _end(self, way: _Way) -> float | None:
        is_whole = way.node is None and not way.glued and way.words
        return self._network.end(way.states) if is_whole else None

    def _kept(
        self, ways: list[_Way], rows: list[_Row], best: float, also: Sequence[Words]
    ) -> list[_Way]:
        """The likeliest ways to go on, and the likeliest towards each of `also`."""
        nodes = [way.node or self._network.next(way.states, glued=way.glued) for way in ways]
        for way, row, node in zip(ways, rows, nodes, strict=True):
            pieces = [*node.next, *self._marks(way)]
            if pieces:
                best = max(best, way.nats + float(row.scores[pieces].max()))
        found: list[_Way] = []
        for of, (way, row, node) in enumerate(zip(ways, rows, nodes, strict=True)):
            guided = node.towards(_next_words(way, also))
            least = best - BEHIND - way.nats
            for piece, after in node.next.items():
                if piece in guided or row.nats(piece) > least:
                    found += _into(way.on(piece, of, row), way, after)
            for mark in self._marks(way):
                behind = way.on(mark, of, row, mark=True)
                found.append(replace(behind, glued=mark == self._network.hyphen))
        return _first(sorted(found, key=lambda way: -way.nats), best, also)

    def _marks(self, way: _Way) -> list[int]:
        return [] if way.node is not None or way.marked else self._network.marks


class _Found:
    """Texts that came to their end."""

    def __init__(self) -> None:
        self.best = -np.inf
        """How likely the likeliest is, as ways are measured."""
        self._nats: dict[Words, float] = {}
        self._short_of: dict[Words, tuple[float, ...]] = {}

    def add(self, way: _Way, row: _Row, cost: float) -> None:
        """A way that ends here."""
        nats = way.nats + row.nats(END) + cost
        self.best = max(self.best, nats)
        nats += A_WORD_MORE * len(way.words)
        known = self._nats.get(way.words, -np.inf)
        if nats > known:
            self._short_of[way.words] = (*way.short_of, row.most - row.nats(END))
        self._nats[way.words] = float(np.logaddexp(known, nats))

    def written(self) -> Written:
        """All of them."""
        in_order = sorted(self._nats, key=lambda words: -self._nats[words])
        return Written({words: self._nats[words] for words in in_order}, self._short_of)


def _into(on: _Way, before: _Way, node: Node) -> Iterator[_Way]:
    """The ways that one more piece leads to: behind each word that ends with it, or inside one."""
    for word, cost, states in node.ends:
        if before.words[-_SAME_MOST:] != (word,) * _SAME_MOST:
            nats = on.nats + cost + A_WORD - LIKED.get(word, 0.0)
            yield replace(on, words=(*before.words, word), states=states, nats=nats)
    if node.next:
        yield replace(on, node=node)


def _next_words(way: _Way, also: Sequence[Words]) -> set[str]:
    count = len(way.words)
    return {words[count] for words in also if len(words) > count and words[:count] == way.words}


def _first(ways: Sequence[_Way], best: float, also: Sequence[Words]) -> list[_Way]:
    """Of ways in order the likeliest, and the likeliest on the way to each of `also`."""
    kept: list[_Way] = []
    places: set[tuple[object, ...]] = set()
    unmet = set(also)
    for way in ways:
        led_to = {words for words in unmet if way.leads(words)}
        is_likely = len(kept) < AT_ONCE and way.nats > best - BEHIND
        if way.place not in places and (is_likely or led_to):
            unmet -= led_to
            places.add(way.place)
            kept.append(way)
    return kept
