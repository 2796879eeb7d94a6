"""Changes made by hand: each becomes new versions of the entry, and nothing is overwritten.

A correction is proposed and affirmed in one go, after a person has seen before and after. `seen`
is the number of the version that she was looking at: when the entry has a newer one by then, she
is told (StaleVersion) and nothing is written.
"""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime

from voicelog.corrections.history import done_words
from voicelog.corrections.reasons import kept_reason
from voicelog.dialogue import prompts
from voicelog.errors import StaleVersion, StoreError
from voicelog.grammar.language import LanguageData
from voicelog.records.content import AnyContent, Note, Trial
from voicelog.records.entry import Affirmation, Entry, standing, waiting
from voicelog.store.base import Store
from voicelog.telling.refusals import refusal
from voicelog.telling.slots import labels

History = tuple[Entry, ...]
_AS_IT_STOOD = kept_reason("affirmed")


@dataclass(frozen=True, slots=True)
class Changes:
    """Changes by one person in one store. Every method keeps what it did before it returns.

    All raise StaleVersion when the entry has changed since it was seen, and StoreError when the
    change is not allowed or cannot be kept.
    """

    store: Store
    language: LanguageData
    who: str
    """Short name of the practitioner, kept with every version."""
    clock: Callable[[], datetime]

    def correct(self, entry_id: str, seen: int, content: AnyContent, why: str) -> Entry:
        """The content replaced and affirmed, for a record or for what was left unconfirmed."""
        history = self._history(entry_id, seen)
        self._check_whole(content)
        self._check_words(_counts(history).content, content)
        text = self.read_back(history, content)
        proposed = _counts(history).change(content, self.clock(), why, by=self.who)
        self.store.append(proposed)
        return self._affirmed(proposed, text, why)

    def affirm(self, entry_id: str, seen: int) -> Entry:
        """What was left unconfirmed becomes a record; a record is affirmed again as it stands."""
        history = self._history(entry_id, seen)
        newest = _counts(history)
        if newest.status == "confirmed":
            why = kept_reason("right as it is")
            return self.correct(entry_id, seen, newest.content, why)
        if newest.status != "unconfirmed":
            raise self._not_possible(newest, "cannot affirm")
        self._check_whole(newest.content)
        return self._affirmed(newest, self.read_back(history, newest.content), _AS_IT_STOOD)

    def discard(self, entry_id: str, seen: int) -> Entry:
        """What was left unconfirmed counts no more, and its sound is deleted. A record that the
        entry held before stays as it was."""
        newest = self._history(entry_id, seen)[-1]
        if newest.status != "unconfirmed":
            raise self._not_possible(newest, "cannot discard")
        return self._keep(newest.drop(self.clock(), kept_reason("discarded"), by=self.who))

    def withdraw(self, entry_id: str, seen: int, why: str) -> Entry:
        """The whole entry counts no more, for good; its history stays."""
        newest = _counts(self._history(entry_id, seen))
        if not why.strip():
            raise refusal(StoreError, "no reason", self.language)
        return self._keep(newest.withdraw(self.clock(), why.strip(), by=self.who))

    def take_back_discard(self, entry_id: str, seen: int) -> Entry:
        """What was discarded waits again to be affirmed. Its sound is gone."""
        newest = self._history(entry_id, seen)[-1]
        if newest.status != "dropped":
            raise self._not_possible(newest, "cannot take back")
        why = kept_reason("discard taken back")
        return self._keep(newest.change(newest.content, self.clock(), why, by=self.who))

    def unaffirm(self, entry_id: str, seen: int, fresh_id: str) -> Entry:
        """Undo the affirmation that made a record of what was left unconfirmed.

        An entry that was a record once cannot wait again, so it is taken out, and what it was
        before waits under `fresh_id` with its words and its sound.
        """
        history = self._history(entry_id, seen)
        earlier = before_first_affirmation(history)
        if earlier is None:
            raise self._not_possible(history[-1], "cannot undo")
        why = kept_reason("affirmation undone")
        waits = self._first(history[-1], fresh_id, earlier.content, why)
        self._keep(_counts(history).withdraw(self.clock(), why, by=self.who))
        return waits

    def begin(self, like: Entry, fresh_id: str, content: AnyContent, why: str) -> Entry:
        """A new record that was found in another entry, with that one's time, words and sound.

        A note is not found in it but typed beside it: what was done after a stop event, say. It
        gets the time alone.
        """
        self._check_whole(content)
        typed = isinstance(content, Note)
        first = self._first(like, fresh_id, content, why, heard=not typed)
        return self._affirmed(first, self.read_back((), content), why)

    def read_back(self, history: History, content: AnyContent) -> str:
        """The sentence that an affirmation would be a yes to."""
        text = prompts.read_back(self.language, content)
        if standing(history) is None:
            return text
        return prompts.say(self.language, "correction", what=text)

    def _history(self, entry_id: str, seen: int) -> History:
        history = self.store.history(entry_id)
        if not history:
            raise refusal(StoreError, "no entry", self.language, entry=entry_id)
        if history[-1].version != seen:
            version = history[-1].version
            raise refusal(StaleVersion, "stale", self.language, version=version)
        return history

    def _first(
        self, like: Entry, fresh_id: str, content: AnyContent, why: str, *, heard: bool = True
    ) -> Entry:
        """The first version of a new entry beside another, with copies of its sound or without."""
        first = Entry(
            entry_id=fresh_id,
            visit_id=like.visit_id,
            client=like.client,
            status="unconfirmed",
            content=content,
            spoken_at=like.spoken_at,
            at=self.clock(),
            by=self.who,
            why=why,
            evidence=like.evidence if heard else (),
        )
        self.store.append(first, self.store.clips(like.entry_id) if heard else ())
        return first

    def _check_whole(self, content: AnyContent) -> None:
        lacking = missing(self.language, content)
        if lacking:
            slots = labels(lacking, self.language)
            raise refusal(StoreError, "not whole", self.language, slots=slots)

    def _check_words(self, before: AnyContent, after: AnyContent) -> None:
        """A note from which nothing could be heard has no words; one that has keeps some."""
        if isinstance(before, Note) and isinstance(after, Note) and before.text and not after.text:
            raise refusal(StoreError, "no words", self.language)

    def _not_possible(self, newest: Entry, name: str) -> StoreError:
        state = done_words(newest, self.language)
        return refusal(StoreError, name, self.language, state=state)

    def _affirmed(self, proposed: Entry, read_back: str, why: str) -> Entry:
        affirmed = Affirmation(read_back=read_back, by="desk")
        return self._keep(proposed.confirm(affirmed, self.clock(), why, by=self.who))

    def _keep(self, entry: Entry) -> Entry:
        self.store.append(entry)
        return entry


def missing(language: LanguageData, content: AnyContent) -> tuple[str, ...]:
    """The slots without which the content cannot be affirmed."""
    return language.missing(content) if isinstance(content, Trial) else ()


def _counts(history: History) -> Entry:
    """What the next version is made from, under the newest number: what waits, else the record,
    which stands as it was after a change to it was discarded."""
    counts = waiting(history) or standing(history) or history[-1]
    return counts.model_copy(update={"version": history[-1].version})


def before_last_change(history: History) -> Entry | None:
    """The version that an undo goes back to: the newest record before with another content.

    None while something waits to be affirmed (that can be discarded), and when nothing differs.
    """
    stands = _counts(history)
    records = [v for v in history if v.status == "confirmed"]
    if stands.status != "confirmed":
        return None
    return next((v for v in reversed(records) if v.content != stands.content), None)


def before_first_affirmation(history: History) -> Entry | None:
    """What was left unconfirmed until the desk made it a record, if that was the last change."""
    records = [v for v in history if v.status == "confirmed"]
    first = records[0] if records else None
    if first is None or before_last_change(history) or _counts(history).status != "confirmed":
        return None
    if first.affirmed is None or first.affirmed.by != "desk" or first.version < 2:
        return None
    earlier = [v for v in history if v.version < first.version]
    if first.why == _AS_IT_STOOD:
        return earlier[-1]
    return earlier[-2] if len(earlier) > 1 else None
