"""Which way a movement eased, in words for the page and in one short sentence for the ear."""

from voicelog.analysis.direction import Direction, Eased, NextStep
from voicelog.analysis.numbering import Names
from voicelog.analysis.tables import COMMON_PRACTICE
from voicelog.grammar.language import LanguageData
from voicelog.telling.doubts import caveat_words
from voicelog.telling.names import movement_words, named


def direction_words(direction: Direction, language: LanguageData) -> str:
    """The direction that eased, what is missing, and the next step of common practice."""
    text = language.texts.findings
    told = text.directions
    movement, eased = movement_words(direction.movement, language), told.eased[direction.eased]
    parts = [told.told.format(movement=movement, eased=eased.lower())]
    if direction.missing:
        missing = ", ".join(told.missing[need] for need in direction.missing)
        parts.append(told.needs.format(missing=missing))
    parts.extend(caveat_words(caveat, language) for caveat in direction.caveats)
    parts.append(text.changes.same_visit)
    step, status = told.steps[direction.next_step], text.figures.statuses[COMMON_PRACTICE]
    parts.append(told.step.format(step=step, status=status))
    return " ".join(parts)


def direction_spoken(direction: Direction, language: LanguageData) -> str:
    """One short sentence for the ear, such as "Gap eased it: pain 6 to 3."."""
    text, said = language.texts.findings.directions, language.texts.findings.remarks
    eased = text.eased[direction.eased]
    if direction.next_step is NextStep.REVIEW_STOP:
        return said.stop_and.format(eased=eased)
    told = direction.compression if direction.eased is Eased.COMPRESSION else direction.gap
    if direction.eased in (Eased.GAP, Eased.COMPRESSION) and told is not None and told.pain:
        return said.eased.format(eased=eased, before=told.pain.before, after=told.pain.after)
    if direction.eased is Eased.NOT_ENOUGH and direction.missing:
        return said.missing.format(eased=eased, missing=text.missing[direction.missing[0]])
    return f"{eased}."


def evidence_words(direction: Direction, names: Names, language: LanguageData) -> str:
    """The trials and retests behind a direction, such as "Stands on gap #2, retest #4."."""
    trials = ", ".join(
        f"{named('phase', each.phase, language)} {names.get(each.trial, each.trial)}"
        for each in (*direction.trials, *direction.retests)
    )
    return language.texts.findings.directions.stands_on.format(trials=trials)
