"""The safety screen in the few lines that stand in a note or under a visit."""

from collections.abc import Iterable

from voicelog.analysis.comparison import VisitComparisons
from voicelog.analysis.findings import Findings, ScreenOfVisit
from voicelog.analysis.safety import ItemState, Screen, ScreenState
from voicelog.analysis.tables import ScreenItem, TrialKind
from voicelog.grammar.language import LanguageData
from voicelog.grammar.screen_texts import QuestionTexts
from voicelog.telling.names import joint_name, named

Place = tuple[TrialKind, str | None]
"""A kind of trial, at every joint (None) or at one."""


def question(item: ScreenItem, language: LanguageData) -> QuestionTexts:
    """The words of a question."""
    return language.texts.screen.questions[item.id]


def screen_lines(screened: ScreenOfVisit, language: LanguageData) -> tuple[str, ...]:
    """Where the screen of a visit stood, a sentence or two to a line."""
    text, screen = language.texts.screen, screened.screen
    if not screen.asked_by:
        return (text.not_on_file, *_left_out(screen, language))
    lines: tuple[str, ...] = () if screened.before else (text.not_before,)
    if screen.state is ScreenState.BLOCKED:
        lines += (text.blocked,)
    raised = tuple(_raised(state, language) for state in screen.items if state.raised)
    lines += raised or (text.no_flag.format(asked=asked(screen, language)),)
    if screen.missing:
        items = ", ".join(item.id for item in screen.missing)
        lines += (text.missing.format(items=items),)
    return lines + _left_out(screen, language)


def asked(screen: Screen, language: LanguageData) -> str:
    """Who asked, and on which days."""
    text = language.texts.screen
    days = sorted({s.answer.asked_at.date().isoformat() for s in screen.items if s.answer})
    told = days[0] if len(days) == 1 else text.days.format(first=days[0], last=days[-1])
    names = language.texts.findings.both.join(screen.asked_by)
    return text.asked.format(names=names, days=told)


def cautions(screen: Screen, language: LanguageData) -> dict[tuple[str, str | None], str]:
    """For each kind of trial that the screen closes, what it says against it."""
    everywhere: list[Place] = [(kind, None) for kind in screen.closed]
    closed = (*everywhere, *screen.closed_at)
    return {place: " ".join(_against(screen, place, language)) for place in closed}


def care_lines(screen: Screen, language: LanguageData) -> tuple[str, ...]:
    """What to keep in mind before the first trial: closed kinds of trial, and precautions."""
    text = language.texts.screen
    closed = (
        (text.against if joint is None else text.against_at).format(
            joint=joint_name(joint, language), why=why
        )
        for (_, joint), why in cautions(screen, language).items()
    )
    precautions = (
        text.precaution.format(item=state.item.id, act=question(state.item, language).act)
        for state in screen.precautions
    )
    return (*closed, *precautions)


def caution_lines(found: Findings, language: LanguageData) -> tuple[str, ...]:
    """Trials that were recorded although the screen of that time spoke against them."""
    text, done = language.texts.screen, _kinds_done(found.compared)
    return tuple(
        (text.recorded if joint is None else text.recorded_at).format(
            trial=named("phase", kind, language), joint=joint_name(joint, language), why=why
        )
        for (kind, joint), why in cautions(found.screened.screen, language).items()
        if (kind, joint) in done
    )


def closed_lines(screen: Screen, language: LanguageData) -> tuple[str, ...]:
    """The trials that are not to be done by what is on file."""
    text = language.texts.screen
    return tuple(
        (text.no_trial if joint is None else text.no_trial_at).format(
            trial=named("phase", kind, language), joint=joint_name(joint, language)
        )
        for kind, joint in cautions(screen, language)
    )


def _left_out(screen: Screen, language: LanguageData) -> tuple[str, ...]:
    text, lines = language.texts.screen, []
    if screen.unknown:
        lines.append(text.unknown.format(items=", ".join(screen.unknown)))
    if screen.others:
        lines.append(text.others.format(count=screen.others))
    return tuple(lines)


def _kinds_done(compared: VisitComparisons) -> set[tuple[str, str | None]]:
    """The kinds of trial that were done, at any joint (None) and at each."""
    return {(c.phase, at) for c in compared.comparisons for at in (None, c.movement.joint)}


def _against(screen: Screen, place: Place, language: LanguageData) -> Iterable[str]:
    kind, joint = place
    closing = (
        state.item
        for state in screen.items
        if state.closes(kind) and (joint in state.joints if joint else not state.joints)
    )
    return dict.fromkeys(question(item, language).act for item in closing)


def _raised(state: ItemState, language: LanguageData) -> str:
    answer, clearance = state.answer, state.clearance
    if answer is None:
        return ""
    text, words = language.texts.screen, question(state.item, language)
    joints = (joint_name(joint, language) for joint in answer.joints)
    told = (text.raised_at if answer.joints else text.raised).format(
        item=state.item.id,
        answer=text.answers[answer.answer],
        joints=language.texts.findings.both.join(joints),
        by=answer.asked_by,
        day=answer.asked_at.date().isoformat(),
    )
    if clearance is None:
        return text.standing.format(raised=told, ask=words.ask, act=words.act)
    return text.lifted.format(
        raised=told,
        ask=words.ask,
        by=clearance.given_by,
        day=clearance.given_on.isoformat(),
        limits=text.limits.format(words=clearance.limits) if clearance.limits else "",
        entered_by=clearance.entered_by,
    )
