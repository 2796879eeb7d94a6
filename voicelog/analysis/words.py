"""The sentences about comparisons: plain, short, and never more than the numbers say.

Nothing here calls anything safe, cured or free to go, and nothing names an effect of treatment.
"""

from voicelog.analysis.comparison import Comparison
from voicelog.analysis.direction import Direction, Eased, Missing, NextStep
from voicelog.analysis.doubt_words import caveat_words
from voicelog.analysis.movement import Movement
from voicelog.analysis.numbering import Names
from voicelog.analysis.pain import PainChange, PainLabel
from voicelog.analysis.range_error import RangeChange, RangeLabel
from voicelog.analysis.stop_events import StopEvent
from voicelog.analysis.stops import Stop
from voicelog.analysis.tables import Figure, Status

COMMON_PRACTICE = "common practice, no source"
SAME_VISIT = "Same-visit change."

STATUS: dict[Status, str] = {
    "seen": "seen",
    "memory": "from memory",
    "inference": "inference",
    "common practice, no source": COMMON_PRACTICE,
    "set by the practice": "set by the practice",
}
_EASED = {
    Eased.GAP: "Gap eased it",
    Eased.COMPRESSION: "Compression eased it",
    Eased.BOTH: "Both gap and compression eased it",
    Eased.NEITHER: "Neither gap nor compression eased it",
    Eased.NOT_ENOUGH: "Not enough to say",
}
_MISSING = {
    Missing.GAP_TRIAL: "a gap trial",
    Missing.COMPRESSION_TRIAL: "a compression trial",
    Missing.GAP_NUMBERS: "numbers of the gap trial that compare with a baseline",
    Missing.COMPRESSION_NUMBERS: "numbers of the compression trial that compare with a baseline",
    Missing.GAP_WITHOUT_STOP: "a gap trial without a stop event",
    Missing.COMPRESSION_WITHOUT_STOP: "a compression trial without a stop event",
    Missing.GAP_POSSIBLE: "a gap trial that could be done",
    Missing.COMPRESSION_POSSIBLE: "a compression trial that could be done",
    Missing.RETEST: "a retest",
}
_NEXT = {
    NextStep.REVIEW_STOP: "stop, reassess, and refer if it does not settle quickly",
    NextStep.TRAIN_GAP: "work in the gapped direction below the painful range, first for one "
    "pain-free repetition, and retest",
    NextStep.TRAIN_COMPRESSION: "work in the compressed direction below the painful range, first "
    "for one pain-free repetition, and retest",
    NextStep.TRAIN_EITHER: "work in the direction that eased more, below the painful range, first "
    "for one pain-free repetition, and retest",
    NextStep.REASSESS: "look again at set-up and movement, and refer when in doubt",
    NextStep.TRY_GAP: "try a gap trial below the painful range, "
    "if nothing in the screen is against it",
    NextStep.TRY_COMPRESSION: "try a compression trial below the painful range, "
    "if nothing in the screen is against it",
    NextStep.TAKE_NUMBERS: "take a baseline with pain and range, then try again",
}


def movement_words(movement: Movement) -> str:
    """Such as "Right shoulder internal rotation"."""
    words = " ".join(word for word in movement if word)
    return words[:1].upper() + words[1:]


def figure_words(figure: Figure) -> str:
    """A figure with where it comes from, such as "2 points (CHILDS2005, seen)"; one that the
    practice set with its reason, beside the published one."""
    if figure.published is not None:
        own = f"set by the practice: {figure.note}; published {figure_words(figure.published)}"
        return f"{figure.value:g} {figure.unit} ({own})"
    origin = ", ".join(word for word in (figure.source_key, STATUS[figure.status]) if word)
    return f"{figure.value:g} {figure.unit} ({origin})"


def pain_words(pain: PainChange, stops: tuple[Stop, ...] = ()) -> str:
    """The change of pain with its label and threshold."""
    percent = "" if pain.percent is None or not pain.change else f", {abs(pain.percent):.0f} %"
    moved = f"{abs(pain.change)} {_more(pain.change, 'higher', 'lower')}" if pain.change else "same"
    rule = figure_words(pain.rule.floor)
    if pain.change < 0:
        rule += f" and {figure_words(pain.rule.important)}"
    label = _label(pain.label, stops)
    return f"Pain {pain.before} to {pain.after} ({moved}{percent}): {label}. Threshold {rule}."


def range_words(change: RangeChange, stops: tuple[Stop, ...] = ()) -> str:
    """The change of an angle with its label and the published error behind it."""
    what = "Pain starts at" if change.onset else "Range"
    sign = _more(change.change, "more", "less")
    moved = f"{abs(change.change)} {sign}" if change.change else "same"
    numbers = f"{what} {change.before} to {change.after} degrees ({moved})"
    if change.label is None or change.error is None:
        return f"{numbers}."
    row, error = change.error.row, change.error
    confidence = 95 if error.from_sem else row.confidence
    sure = f"{confidence} %, " if confidence is not None else ""
    formula = "from SEM, " if error.from_sem else ""
    origin = f"{sure}{formula}{row.source_key}, {STATUS[row.status]}"
    return (
        f"{numbers}: {_label(change.label, stops)}. Error {error.degrees:.1f} degrees ({origin})."
    )


def comparison_words(comparison: Comparison) -> str:
    """One trial against its baseline, with every caveat, as a short paragraph."""
    parts = [f"{movement_words(comparison.movement)}, {comparison.phase}."]
    if comparison.pain is not None:
        parts.append(pain_words(comparison.pain, comparison.stops))
    parts += [range_words(change, comparison.stops) for change in comparison.angles]
    parts.extend(f"Stop event {stop.code}: {stop.raised_by}." for stop in comparison.stops)
    parts.extend(caveat_words(caveat) for caveat in comparison.caveats)
    if comparison.pain is not None or comparison.angles:
        parts.append(SAME_VISIT)
    return " ".join(parts)


def stop_event_words(event: StopEvent, names: Names) -> str:
    """What raised a stop event, and where it stands what was done, or that it does not."""
    raised = ", ".join(stop.raised_by for stop in event.stops)
    told = f"Stop event of {names.get(event.trial, event.trial)} ({raised})"
    if not event.noted:
        return f"{told}: what was done is not on record."
    noted = " and ".join(names.get(note, note) for note in event.noted)
    return f"{told}: what was done stands in the note of {noted}."


def direction_words(direction: Direction) -> str:
    """The direction that eased, what is missing, and the next step of common practice."""
    parts = [f"{movement_words(direction.movement)}: {_EASED[direction.eased].lower()}."]
    if direction.missing:
        parts.append(f"Missing: {', '.join(_MISSING[need] for need in direction.missing)}.")
    parts.extend(caveat_words(caveat) for caveat in direction.caveats)
    parts.append(SAME_VISIT)
    parts.append(
        f"Suggestion for a licensed person to weigh: {_NEXT[direction.next_step]} "
        f"({COMMON_PRACTICE})."
    )
    return " ".join(parts)


def direction_spoken(direction: Direction) -> str:
    """One short sentence for the ear, such as "Gap eased it: pain 6 to 3."."""
    if direction.next_step is NextStep.REVIEW_STOP:
        return f"Stop and review. {_EASED[direction.eased]}."
    told = direction.compression if direction.eased is Eased.COMPRESSION else direction.gap
    if direction.eased in (Eased.GAP, Eased.COMPRESSION) and told is not None and told.pain:
        return f"{_EASED[direction.eased]}: pain {told.pain.before} to {told.pain.after}."
    if direction.eased is Eased.NOT_ENOUGH and direction.missing:
        return f"{_EASED[direction.eased]}: missing {_MISSING[direction.missing[0]]}."
    return f"{_EASED[direction.eased]}."


def _label(label: PainLabel | RangeLabel, stops: tuple[Stop, ...]) -> str:
    if label in (PainLabel.NOT_RATED, RangeLabel.NOT_RATED) and stops:
        return f"{label} ({', '.join(dict.fromkeys(stop.code for stop in stops))})"
    return str(label)


def _more(change: int, up: str, down: str) -> str:
    return up if change > 0 else down
