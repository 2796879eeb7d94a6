"""`voicelog review`: put records right in the terminal, with a word or a key and Enter for each."""

import sys
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from functools import partial
from typing import Annotated
from uuid import uuid4

import typer
from rich.console import Console

from voicelog.audio.base import RATE_HZ, Player
from voicelog.audio.clips import from_flac
from voicelog.audio.player import SpeakerPlayer
from voicelog.cli import review_view
from voicelog.cli.options import DataFolder, Practitioner, house
from voicelog.clock import here_and_now
from voicelog.corrections.changes import before_first_affirmation
from voicelog.corrections.look import Look, looks
from voicelog.corrections.proposals import Proposal, pick, proposal, read, read_new, undo
from voicelog.corrections.reasons import kept_reason
from voicelog.corrections.room import Room
from voicelog.errors import VoicelogError
from voicelog.records.content import AnyContent, Note
from voicelog.records.entry import Entry
from voicelog.store.base import Store
from voicelog.store.failures import refuse_missing
from voicelog.visits import find_visit

Keep = Callable[[AnyContent], Entry]
_GOES_ON = ("", "n", "g", "q")
"""What would leave a change behind that nobody decided on yet."""


def review(
    visit: Annotated[
        str, typer.Argument(help='A visit, "last", or a client\'s code for the newest one.')
    ],
    practitioner: Practitioner = None,
    data: DataFolder = None,
) -> None:
    """Go through a visit: play, take another reading, type, affirm, discard, undo.

    Each line is one thing to do; h lists them. Lines can come from a file as well.

    Example: voicelog review last
    """
    built = house(data, practitioner)
    refuse_missing(built.settings.store_file)
    room = Room(built, here_and_now)
    with room.store() as store:
        found = find_visit(store, visit)
        player = SpeakerPlayer(built.settings.speaker)
        Review(room, store, found.visit_id, player, Console(highlight=False)).run(sys.stdin)


@dataclass(frozen=True, slots=True)
class _Waiting:
    """What "a" would do now, and the question that it answers."""

    question: str
    do: Callable[[], Entry]
    said: str


class Review:
    """One visit being gone through. `run` takes lines until "q" or their end."""

    def __init__(
        self, room: Room, store: Store, visit_id: str, player: Player, console: Console
    ) -> None:
        self._room = room
        self._store = store
        self._visit_id = visit_id
        self._player = player
        self._console = console
        self._changes = room.changes(store)
        self._says = room.house.language.texts.tables.review
        self._looks: tuple[Look, ...] = ()
        self._at = 0
        self._waiting: _Waiting | None = None
        self._commands: dict[str, Callable[[str], None]] = {
            "l": self._list, "n": self._next, "g": self._go, "p": self._play, "a": self._affirm,
            "x": self._leave, "d": self._discard, "u": self._undo, "k": self._checked,
            "=": self._text, "r": self._record,
            "h": lambda _: review_view.keys(console, self._says),
        }  # fmt: skip

    def run(self, lines: Iterable[str]) -> None:
        """Do what each line says. What cannot be done is said, and the next line is taken."""
        self._look_again()
        self._list("")
        if not self._looks:
            return
        self._show()
        for line in lines:
            words = line.strip()
            if words == "q" and self._waiting is None:
                return
            try:
                self._do(words)
            except VoicelogError as error:
                self._console.print(str(error), style="bold red", markup=False)
                self._look_again()
                self._ask()
        if self._waiting is not None:
            self._console.print(self._says.ended, style="yellow")

    @property
    def _look(self) -> Look:
        return self._looks[self._at]

    @property
    def _seen(self) -> tuple[str, int]:
        return self._look.shown.entry_id, self._look.history[-1].version

    def _do(self, words: str) -> None:
        name, _, rest = words.partition(" ")
        takes_words = name in ("g", "d", "=", "r")
        if self._waiting is not None and name in _GOES_ON:
            self._console.print(self._says.not_yet, style="yellow")
            self._ask()
        elif not words:
            self._next("")
        elif name in self._commands and (takes_words or not rest):
            self._commands[name](rest.strip())
        elif words.isdigit():
            self._propose(pick(self._room, self._look, words))
        elif isinstance(self._look.shown.content, Note):
            self._console.print(self._says.a_note, markup=False)
        else:
            self._propose(read(self._room, self._look, words))

    def _look_again(self) -> None:
        """Read the visit anew, and stay at the same entry. Each keeps the number that it had."""
        here = self._look.shown.entry_id if self._looks else None
        parcel = self._store.parcel(self._visit_id)
        self._looks = looks(parcel, self._room.house.language, self._looks)
        ids = [look.shown.entry_id for look in self._looks]
        self._at = ids.index(here) if here in ids else 0

    def _show(self) -> None:
        clips = self._store.clips(self._look.shown.entry_id)
        review_view.show(self._console, self._room, self._look, self._at + 1, clips)

    def _list(self, _: str) -> None:
        review_view.listed(self._console, self._looks, self._room.house.language)

    def _next(self, _: str) -> None:
        """The next that needs a look, else the next."""
        following = [*range(self._at + 1, len(self._looks)), *range(self._at + 1)]
        needy = [at for at in following if self._looks[at].waits or self._looks[at].doubtful]
        self._at, self._waiting = (needy or following)[0], None
        self._show()

    def _go(self, number: str) -> None:
        if not number.isdigit() or not 1 <= int(number) <= len(self._looks):
            self._console.print(self._says.go.format(last=len(self._looks)))
            return
        self._at, self._waiting = int(number) - 1, None
        self._show()

    def _play(self, _: str) -> None:
        clips = self._store.clips(self._look.shown.entry_id)
        if not clips:
            self._console.print(self._room.house.language.texts.desk.card.no_sound)
        for clip in clips:
            self._player.play(from_flac(clip.flac), RATE_HZ)

    def _affirm(self, _: str) -> None:
        if self._waiting is not None:
            waiting, self._waiting = self._waiting, None
            self._done(waiting.do(), waiting.said)
        elif self._look.settled:
            self._console.print(self._says.saved_already)
        else:
            self._done(self._changes.affirm(*self._seen), "saved")

    def _leave(self, _: str) -> None:
        self._waiting = None
        self._console.print(self._says.left)

    def _discard(self, why: str) -> None:
        seen = self._seen
        if self._look.waits:
            self._wait("discard", lambda: self._changes.discard(*seen), "discarded")
        elif not why:
            self._console.print(self._says.say_why)
        else:
            self._wait("take out", lambda: self._changes.withdraw(*seen, why), "taken out")

    def _undo(self, _: str) -> None:
        if self._look.shown.status == "dropped":
            self._done(self._changes.take_back_discard(*self._seen), "waits")
        elif before_first_affirmation(self._look.history) is not None:
            seen, fresh_id = self._seen, uuid4().hex
            self._wait("unaffirm", lambda: self._changes.unaffirm(*seen, fresh_id), "waits")
        else:
            self._propose(undo(self._room, self._look))

    def _checked(self, _: str) -> None:
        self._set_note({"checked": True}, "compared", self._says.only_note_compared)

    def _text(self, text: str) -> None:
        self._set_note({"text": text}, "text changed", self._says.only_note_text)

    def _set_note(self, change: dict[str, object], why: str, otherwise: str) -> None:
        content = self._look.shown.content
        if isinstance(content, Note):
            note = content.model_copy(update=change)
            self._propose(proposal(self._room, self._look, note, kept_reason(why)))
        else:
            self._console.print(otherwise)

    def _record(self, line: str) -> None:
        like, found = self._look.shown, read_new(self._room, line)
        begin = partial(self._changes.begin, like, uuid4().hex, why=found.why)
        self._propose(found, begin, "saved anew")

    def _propose(self, it: Proposal, keep: Keep | None = None, said: str = "saved") -> None:
        content = it.content
        keep = keep or partial(self._changes.correct, *self._seen, why=it.why)
        if content is not None:
            self._leave_former()
        review_view.proposed(self._console, it, self._room.house.language)
        if content is None:
            self._ask()
        elif not it.missing:
            self._wait("save", partial(keep, content), said)

    def _wait(self, question: str, do: Callable[[], Entry], said: str) -> None:
        self._leave_former()
        self._waiting = _Waiting(question, do, said)
        self._ask()

    def _leave_former(self) -> None:
        """One thing waits at a time; that the one before waits no more is said."""
        if self._waiting is not None:
            self._waiting = None
            self._console.print(self._says.replaced, style="yellow")

    def _ask(self) -> None:
        if self._waiting is not None:
            self._console.print(self._says.questions[self._waiting.question], style="bold")

    def _done(self, kept: Entry, said: str) -> None:
        self._look_again()
        text = self._says.done[said].format(record=review_view.told(self._room, kept))
        self._console.print(text, style="green", markup=False)
