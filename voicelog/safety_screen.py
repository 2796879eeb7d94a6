"""The safety screen of a client: keeping its answers and clearances, and what has to come first.

Nothing here clears anybody. A clearance is one that a doctor gave elsewhere, put on file.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime

from voicelog.analysis.findings import OnFile
from voicelog.analysis.safety import Screen, ScreenState, lifts, screen_state
from voicelog.analysis.tables import ScreenItem
from voicelog.dialogue.safety_screen import Answer
from voicelog.errors import SafetyError
from voicelog.grammar.language import LanguageData
from voicelog.records.screen import Clearance, ScreenAnswer
from voicelog.store.base import Store
from voicelog.telling.screen import question


def on_file(store: Store, items: tuple[ScreenItem, ...], client: str) -> OnFile:
    """Everything on file of the client's screen. Raises StoreError."""
    return OnFile(items, store.facts(client, ScreenAnswer), store.facts(client, Clearance))


def screen_now(store: Store, items: tuple[ScreenItem, ...], client: str) -> Screen:
    """The client's screen from all that is on file. Raises StoreError."""
    found = on_file(store, items, client)
    return screen_state(client, items, found.answers, found.clearances)


@dataclass(frozen=True, slots=True)
class Answers:
    """Answers by question id, and for some the joints that they are limited to."""

    given: Mapping[str, Answer]
    joints: Mapping[str, tuple[str, ...]] = field(default_factory=dict)


def keep_answers(store: Store, client: str, answers: Answers, by: str, at: datetime) -> None:
    """Put answers to questions on file. Raises StoreError; then none is kept."""
    store.add_facts(
        *(
            ScreenAnswer(
                client=client,
                item=item,
                answer=answer,
                asked_by=by,
                asked_at=at,
                joints=answers.joints.get(item, ()),
            )
            for item, answer in answers.given.items()
        )
    )


@dataclass(frozen=True, slots=True)
class Given:
    """A clearance as somebody outside gave it: by whom, when, and in what words."""

    by: str
    on: date
    words: str
    items: tuple[str, ...] = ()
    """The questions it is for; empty for all that stand."""


def clearance(screen: Screen, client: str, given: Given, by: str, at: datetime) -> Clearance:
    """A clearance for questions that stand, entered by somebody at a time, ready to be kept.

    Raises SafetyError when no question waits for it, or it was given before an answer that it is
    for, or lies in the future.
    """
    answers = {s.item.id: s.answer for s in screen.items if s.stands and s.answer is not None}
    standing = tuple(answers)
    if not standing:
        raise SafetyError(
            f"No answer of {client} waits for a clearance",
            kept="Nothing was written",
            do="Ask the screen first, or look at it with --show",
        )
    strange = [item for item in given.items if item not in standing]
    if strange:
        raise SafetyError(
            f"No clearance is asked for {', '.join(strange)}",
            kept="Nothing was written",
            do=f"Name one of {', '.join(standing)}",
        )
    if given.on > at.date():
        raise SafetyError(
            f"A clearance of {given.on.isoformat()} has not been given yet",
            kept="Nothing was written",
            do="Give the day on which it was given",
        )
    entered = Clearance(
        client=client,
        items=given.items or standing,
        given_by=given.by,
        given_on=given.on,
        entered_by=by,
        entered_at=at,
        limits=given.words,
    )
    _check_not_before(entered, [answers[item] for item in entered.items])
    return entered


def _check_not_before(entered: Clearance, answers: list[ScreenAnswer]) -> None:
    early = [answer for answer in answers if not lifts(entered, answer)]
    if early:
        items = ", ".join(answer.item for answer in early)
        asked_on = max(answer.asked_at for answer in early).date()
        raise SafetyError(
            f"A clearance of {entered.given_on.isoformat()} cannot be for {items}, answered on"
            f" {asked_on.isoformat()}: nobody can clear what was not yet said",
            kept="Nothing was written",
            do="Show the answer to whoever gave it, and enter the day on which it is cleared now;"
            " --item names the questions of an earlier one",
        )


def check_before_trials(
    screen: Screen, client: str, language: LanguageData, *, later: bool
) -> None:
    """Raise SafetyError unless trials of this client may be recorded.

    A refer-first answer without a clearance always stands in the way. Questions that nobody asked
    do too, unless the practitioner puts them off (`later`).
    """
    text, ask = language.texts.screen.before_trials, f"voicelog screen {client}"
    if screen.state is ScreenState.BLOCKED:
        reasons = "; ".join(
            f"{state.item.id}: {question(state.item, language).act.rstrip('.')}"
            for state in screen.refer_first
        )
        raise SafetyError(
            text.refer.format(client=client, reasons=reasons),
            kept=text.kept,
            do=text.put_on_file.format(command=f"{ask} --clearance … --by … --on …"),
        )
    if screen.missing and not later:
        lacking = text.not_answered if screen.asked_by else text.not_on_file
        raise SafetyError(
            lacking.format(client=client, count=len(screen.missing)),
            kept=text.kept,
            do=text.ask.format(command=ask, option="--screen-later"),
        )
