"""From a typed line to what an entry would hold."""

from dataclasses import dataclass

from voicelog.dialogue import draft as drafts
from voicelog.grammar.language import LanguageData
from voicelog.grammar.parse import Intent
from voicelog.records.content import AnyContent, Note, Trial
from voicelog.shorthand.reading import Place, Reading

_NAMED = ("drill", "fault", "cue")


@dataclass(frozen=True, slots=True)
class Typed:
    """A typed line, what was read in it, and the content it leads to.

    `content` is None when the line says nothing that could be kept.
    """

    line: str
    reading: Reading
    content: AnyContent | None

    @property
    def unread(self) -> tuple[str, ...]:
        """The words of which nothing was made."""
        return tuple(self.line[start:end] for start, end in self.reading.unread)

    @property
    def reasons(self) -> tuple[str, ...]:
        """Why something is doubtful; one sentence may be true of several slots."""
        return tuple(dict.fromkeys(doubt.reason for doubt in self.reading.doubts))

    @property
    def pieces(self) -> tuple[tuple[str, str], ...]:
        """The whole line in pieces, each "read", "doubt", "unread" or "" for what is between."""
        marks = [""] * len(self.line)
        for places in self.reading.spans.values():
            _mark(marks, places, "read")
        _mark(marks, tuple(doubt.place for doubt in self.reading.doubts), "doubt")
        _mark(marks, self.reading.unread, "unread")
        pieces: list[tuple[str, str]] = []
        for letter, mark in zip(self.line, marks, strict=True):
            if pieces and pieces[-1][1] == mark:
                pieces[-1] = (pieces[-1][0] + letter, mark)
            else:
                pieces.append((letter, mark))
        return tuple(pieces)


def applied(
    line: str, reading: Reading, content: AnyContent | None, language: LanguageData
) -> Typed:
    """The content with the slots that the line gives; what it does not mention stays.

    A line that names another kind of record than the content is a new one of that kind, with the
    movement carried over.
    """
    return Typed(line, reading, _content(reading, content, language))


def _content(
    reading: Reading, content: AnyContent | None, language: LanguageData
) -> AnyContent | None:
    if reading.kind is None or not reading.slots:
        return None
    if content is not None and reading.kind == content.kind and not isinstance(content, Note):
        return drafts.change(content, reading.slots, language)
    if reading.kind in _NAMED and "name" not in reading.slots:
        return None
    carried = content if isinstance(content, Trial) else None
    return drafts.begin(Intent(reading.kind, reading.slots), carried, language)


def _mark(marks: list[str], places: tuple[Place, ...], mark: str) -> None:
    for start, end in places:
        marks[start:end] = [mark] * (end - start)
