"""One version of one dictated entry, and the rules by which versions follow each other.

An entry is never changed: each change is a new version with its time, hand and reason. The first
version of a spoken entry is always `unconfirmed`; only an affirmation to exactly the values read
back makes it `confirmed`. `check_follows` is the second lock behind the dialogue: every store
calls it before it writes.
"""

from datetime import datetime
from typing import Annotated, Literal

from pydantic import AwareDatetime, BaseModel, ConfigDict, Field, model_validator

from voicelog.errors import StaleVersion, StoreError
from voicelog.records.content import AnyContent

Status = Literal["unconfirmed", "confirmed", "dropped", "withdrawn"]
"""unconfirmed: read back, not (yet) affirmed. confirmed: affirmed as read back. dropped: the
unconfirmed version before it counts no more. withdrawn: the whole entry counts no more."""

Confidence = Annotated[float, Field(ge=0.0, le=1.0)]


class _Frozen(BaseModel):
    model_config = ConfigDict(strict=True, frozen=True, extra="forbid")


class Evidence(_Frozen):
    """What was heard, by which engine, and how sure it was. Stays with the version it led to."""

    text: str
    """The words heard, as the engine gave them."""
    confidence: Confidence
    slot_confidence: dict[str, Confidence] = Field(default_factory=dict)
    alternatives: tuple[str, ...] = ()
    """Other readings of the same sound, best first."""
    engine: str
    model: str
    grammar_version: str


class Affirmation(_Frozen):
    """A yes to what was read back: the words read back, and how the yes was given."""

    read_back: str
    by: Literal["voice", "key", "desk"]


class Entry(_Frozen):
    """One version of an entry.

    `spoken_at` is when the dictation was heard, the same in all versions; `at` is when this
    version came to be. Both carry their time zone.
    """

    entry_id: str
    visit_id: str
    client: str
    version: Annotated[int, Field(ge=1)] = 1
    status: Status
    content: AnyContent
    spoken_at: AwareDatetime
    at: AwareDatetime
    by: str
    """Who made this version: the practitioner's short name."""
    why: str = ""
    evidence: tuple[Evidence, ...] = ()
    """One for each utterance that shaped the content: the dictation, answers, corrections."""
    affirmed: Affirmation | None = None

    @model_validator(mode="after")
    def _affirmed_exactly_when_confirmed(self) -> "Entry":
        if (self.status == "confirmed") != (self.affirmed is not None):
            raise ValueError("a confirmed version carries an affirmation, and no other does")
        return self

    # Each makes the next version; `by` is whose hand it was, the same as before unless it is named.

    def confirm(
        self, affirmed: Affirmation, at: datetime, why: str = "affirmed", by: str | None = None
    ) -> "Entry":
        """The same content, affirmed."""
        return self._next(by, status="confirmed", affirmed=affirmed, at=at, why=why)

    def drop(self, at: datetime, why: str, by: str | None = None) -> "Entry":
        """This unconfirmed version counts no more."""
        return self._next(by, status="dropped", affirmed=None, at=at, why=why)

    def withdraw(self, at: datetime, why: str, by: str | None = None) -> "Entry":
        """The whole entry counts no more. Its history stays."""
        return self._next(by, status="withdrawn", affirmed=None, at=at, why=why)

    def change(self, content: AnyContent, at: datetime, why: str, by: str | None = None) -> "Entry":
        """The content as a person has it, waiting for its affirmation."""
        return self._next(by, status="unconfirmed", affirmed=None, content=content, at=at, why=why)

    def propose(self, content: AnyContent, heard: Evidence, at: datetime, newest: int) -> "Entry":
        """Changed content as it was heard, waiting for its affirmation.

        `newest` is the number of the newest version of this entry that was kept; it may be higher
        than this one's, when a later proposal was dropped.
        """
        return self._next(
            None,
            status="unconfirmed",
            affirmed=None,
            content=content,
            at=at,
            why=heard.text,
            evidence=(*self.evidence, heard),
            version=newest + 1,
        )

    def _next(self, by: str | None, **changes: object) -> "Entry":
        fields = {name: getattr(self, name) for name in type(self).model_fields}
        hand = {"version": self.version + 1, "by": self.by if by is None else by}
        return Entry(**{**fields, **hand, **changes})


def check_follows(before: Entry | None, after: Entry) -> None:
    """Refuse a version that may not follow `before` (the newest version kept, or None).

    Raises StaleVersion when `after` was made from an older version, StoreError when the step
    itself is not allowed: above all, a confirmed version whose content is not exactly the
    unconfirmed one before it.
    """
    if before is None:
        if after.version != 1 or after.status != "unconfirmed":
            raise _refused("A new entry must start as an unconfirmed version 1")
        return
    if after.version != before.version + 1:
        raise StaleVersion(
            f"Entry {after.entry_id} has changed in the meantime",
            kept=f"Version {before.version} was kept and nothing was overwritten",
            do="Look at the newer version and make the change again",
        )
    same = ("entry_id", "visit_id", "client", "spoken_at")
    if any(getattr(before, name) != getattr(after, name) for name in same):
        raise _refused("A version may not change whose entry it is or when it was spoken")
    if before.status == "withdrawn":
        raise _refused("A withdrawn entry takes no further versions")
    if after.status == "confirmed" and (
        before.status != "unconfirmed" or before.content != after.content
    ):
        raise _refused("Only the very values that were read back can be confirmed")
    if after.status == "dropped" and before.status != "unconfirmed":
        raise _refused("Only an unconfirmed version can be dropped")


def _refused(what: str) -> StoreError:
    return StoreError(
        what,
        kept="Nothing was written, and what was saved before is still there",
        do="Look at the entry as it stands now, and start from there",
    )


def standing(versions: tuple[Entry, ...]) -> Entry | None:
    """The version that counts as the record: the newest confirmed one, unless withdrawn.

    `versions` are all of one entry, oldest first. None when nothing was ever confirmed.
    """
    if not versions or versions[-1].status == "withdrawn":
        return None
    return next((v for v in reversed(versions) if v.status == "confirmed"), None)


def waiting(versions: tuple[Entry, ...]) -> Entry | None:
    """The version that still waits for a yes or a no, if the newest one does."""
    return versions[-1] if versions and versions[-1].status == "unconfirmed" else None
