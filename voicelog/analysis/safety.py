"""What the safety screen on file says. It describes; it never decides that anything is all right.

A yes or unsure to a refer-first question blocks every trial until a clearance for that question is
on file, given on the day of the answer or later; a later no does not lift it. Contraindications
close their own kind of trial in the same way, at every joint unless question or answer names some.
An answer that is not on file is missing, and that is all it is.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum

from voicelog.analysis.tables import ScreenItem, TrialKind
from voicelog.records.screen import Clearance, ScreenAnswer

TRIALS: tuple[TrialKind, ...] = ("gap", "compression")


class ScreenState(StrEnum):
    """blocked: no trial until a clearance is entered. incomplete: answers are missing.
    open: every question has an answer and nothing stands against trials of some kind."""

    BLOCKED = "blocked"
    INCOMPLETE = "incomplete"
    OPEN = "open"


@dataclass(frozen=True, slots=True)
class ItemState:
    """One question with what is on file for it; `answer` is the one that counts.

    `clearance` lifts the answer when it is there. `joints` are those at which a contraindication
    stands; empty for every joint.
    """

    item: ScreenItem
    answer: ScreenAnswer | None
    clearance: Clearance | None
    joints: tuple[str, ...] = ()

    @property
    def raised(self) -> bool:
        """True when the answer that counts is yes or unsure."""
        return self.answer is not None and self.answer.answer != "no"

    @property
    def stands(self) -> bool:
        """True when the answer is yes or unsure and no clearance was entered for it."""
        return self.raised and self.clearance is None

    def closes(self, kind: TrialKind) -> bool:
        """True when it stands against trials of this kind, at some joint or at all."""
        return self.stands and self.item.kind != "precaution" and kind in self.item.trials


@dataclass(frozen=True, slots=True)
class Screen:
    """The whole screen of one client.

    `unknown` are item ids in the answers or clearances that the screen does not know, `others`
    the number of answers and clearances of other clients that were left out. `closed` are the kinds
    of trial that something stands against at every joint.
    """

    state: ScreenState
    items: tuple[ItemState, ...]
    closed: tuple[TrialKind, ...]
    unknown: tuple[str, ...]
    others: int

    @property
    def closed_at(self) -> tuple[tuple[TrialKind, str], ...]:
        """The kinds of trial that something stands against at single joints, with each joint."""
        found = (
            (kind, joint)
            for kind in TRIALS
            for state in self.items
            if state.closes(kind)
            for joint in state.joints
        )
        return tuple(dict.fromkeys(found))

    @property
    def refer_first(self) -> tuple[ItemState, ...]:
        """The refer-first answers that block."""
        return tuple(i for i in self.items if i.stands and i.item.kind == "refer first")

    @property
    def precautions(self) -> tuple[ItemState, ...]:
        """The precautions that were answered with yes or unsure."""
        return tuple(i for i in self.items if i.raised and i.item.kind == "precaution")

    @property
    def missing(self) -> tuple[ScreenItem, ...]:
        """The questions without an answer on file."""
        return tuple(i.item for i in self.items if i.answer is None)

    @property
    def asked_by(self) -> tuple[str, ...]:
        """Who asked, by the answers on file."""
        return tuple(sorted({i.answer.asked_by for i in self.items if i.answer is not None}))


def screen_state(
    client: str,
    items: tuple[ScreenItem, ...],
    answers: Iterable[ScreenAnswer],
    clearances: Iterable[Clearance],
) -> Screen:
    """The screen of one client from everything on file, in any order."""
    answers, clearances = tuple(answers), tuple(clearances)
    own = [answer for answer in answers if answer.client == client]
    given = [clearance for clearance in clearances if clearance.client == client]
    states = tuple(_state(item, own, given) for item in items)
    named = {answer.item for answer in own} | {name for c in given for name in c.items}
    blocked = any(s.stands and s.item.kind == "refer first" for s in states)
    closed = tuple(kind for kind in TRIALS if any(s.closes(kind) and not s.joints for s in states))
    if blocked:
        state = ScreenState.BLOCKED
    elif any(s.answer is None for s in states):
        state = ScreenState.INCOMPLETE
    else:
        state = ScreenState.OPEN
    return Screen(
        state=state,
        items=states,
        closed=closed,
        unknown=tuple(sorted(named - {item.id for item in items})),
        others=len(answers) + len(clearances) - len(own) - len(given),
    )


def _state(item: ScreenItem, answers: list[ScreenAnswer], clearances: list[Clearance]) -> ItemState:
    own = [answer for answer in answers if answer.item == item.id]
    if not own:
        return ItemState(item, None, None)
    raised = [answer for answer in own if answer.answer != "no"]
    counts = max(raised or own, key=lambda answer: (answer.asked_at, answer.answer == "yes"))
    lifting = _lifting(counts, clearances)
    lifts = max(lifting, key=lambda clearance: clearance.entered_at) if raised and lifting else None
    standing = [answer for answer in raised if not _lifting(answer, clearances)]
    return ItemState(item, counts, lifts, _joints(item, standing))


def lifts(clearance: Clearance, answer: ScreenAnswer) -> bool:
    """Whether the clearance is for this answer: nobody can clear what was not yet said.

    Of the day it was given no hour is known, so that of the answer's own day counts.
    """
    return (
        answer.item in clearance.items
        and clearance.entered_at >= answer.asked_at
        and clearance.given_on >= answer.asked_at.date()
    )


def _lifting(answer: ScreenAnswer, clearances: list[Clearance]) -> list[Clearance]:
    return [clearance for clearance in clearances if lifts(clearance, answer)]


def _joints(item: ScreenItem, standing: list[ScreenAnswer]) -> tuple[str, ...]:
    """Where it stands: at all joints that were named, and everywhere if an answer names none."""
    if item.kind == "refer first" or not standing:
        return ()
    if any(not answer.joints for answer in standing):
        return item.joints
    return tuple(dict.fromkeys(joint for answer in standing for joint in answer.joints))
