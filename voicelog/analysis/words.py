"""Every sentence about results, in one place: plain, short, and never more than the numbers say.

Nothing here calls anything safe, cured or free to go, and nothing names an effect of treatment.
"""

from voicelog.analysis.caseload import JointShares
from voicelog.analysis.comparison import Comparison
from voicelog.analysis.direction import Direction, Eased, Missing, NextStep
from voicelog.analysis.doubt_words import caveat_words
from voicelog.analysis.movement import Movement
from voicelog.analysis.pain import PainChange, PainLabel
from voicelog.analysis.progress import Change
from voicelog.analysis.range_error import RangeChange, RangeLabel
from voicelog.analysis.stops import Stop
from voicelog.analysis.tables import Figure, RangeRow, Status
from voicelog.analysis.wilson import Share

COMMON_PRACTICE = "common practice, no source"
SAME_VISIT = "Same-visit change."
BETWEEN_VISITS = "Change between visits."

_STATUS: dict[Status, str] = {
    "seen": "seen",
    "memory": "from memory",
    "inference": "inference",
    "common practice, no source": COMMON_PRACTICE,
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
    Missing.RETEST: "a retest",
}
_NEXT = {
    NextStep.REVIEW_STOP: "stop, reassess, and refer if it does not settle quickly",
    NextStep.TRAIN_GAP: "train the gapped direction below the painful range and retest",
    NextStep.TRAIN_COMPRESSION: "train the compressed direction below the painful range and retest",
    NextStep.TRAIN_EITHER: "train the direction that eased more below the painful range and retest",
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
    """A figure with where it comes from, such as "2 points (CHILDS2005, seen)"."""
    origin = ", ".join(word for word in (figure.source_key, _STATUS[figure.status]) if word)
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
    origin = f"{sure}{formula}{row.source_key}, {_STATUS[row.status]}"
    return (
        f"{numbers}: {_label(change.label, stops)}. Error {error.degrees:.1f} degrees ({origin})."
    )


def comparison_words(comparison: Comparison) -> str:
    """One trial against its baseline, with every caveat, as a short paragraph."""
    parts = [f"{movement_words(comparison.movement)}, {comparison.phase}."]
    if comparison.pain is not None:
        parts.append(pain_words(comparison.pain, comparison.stops))
    if comparison.range is not None:
        parts.append(range_words(comparison.range, comparison.stops))
    parts.extend(f"Stop event {stop.code}: {stop.raised_by}." for stop in comparison.stops)
    parts.extend(caveat_words(caveat) for caveat in comparison.caveats)
    if comparison.pain is not None or comparison.range is not None:
        parts.append(SAME_VISIT)
    return " ".join(parts)


def change_words(change: Change) -> str:
    """A change between two visits, with every caveat."""
    parts = [] if change.pain is None else [pain_words(change.pain)]
    if change.range is not None:
        parts.append(range_words(change.range))
    parts.extend(caveat_words(caveat) for caveat in change.caveats)
    return " ".join([*parts, BETWEEN_VISITS])


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


def range_row_words(row: RangeRow) -> str:
    """One published range with its people, source and status."""
    sex = {"F": "women", "M": "men", "both": "both sexes"}[row.sex]
    ages = "" if row.age_low is None else f", {row.age_low} to {row.age_high} years"
    spread = "" if row.sd_deg is None else f", SD {row.sd_deg:g}"
    if row.ci95_deg is not None:
        spread = f", 95 % interval {row.ci95_deg[0]:g} to {row.ci95_deg[1]:g}"
    recalled = " from memory" if row.spread_recalled else ""
    origin = f"{row.source_key}, {_STATUS[row.status]}"
    return f"Mean {row.mean_deg:g} degrees{spread}{recalled} in {sex}{ages} ({origin})."


def share_words(share: Share) -> str:
    """A share with its count and interval."""
    if share.share is None:
        return "none counted yet"
    return (
        f"{share.count} of {share.total} ({share.share:.0%}, "
        f"95 % interval {share.low:.0%} to {share.high:.0%})"
    )


def caseload_words(shares: JointShares) -> str:
    """How often each direction eased at a joint, beside the rule of thumb."""
    told = ", ".join(f"{eased.value} {share_words(each)}" for eased, each in shares.eased.items())
    return (
        f"{shares.joint.capitalize()}: {told}; not enough to say in {shares.not_enough} of "
        f"{shares.movements}. Of those that eased one way, gap "
        f"{share_words(shares.gap_of_one_way)}; "
        f"rule of thumb {shares.rule_of_thumb.note} ({COMMON_PRACTICE})."
    )


def _label(label: PainLabel | RangeLabel, stops: tuple[Stop, ...]) -> str:
    if label in (PainLabel.NOT_RATED, RangeLabel.NOT_RATED) and stops:
        return f"{label} ({', '.join(dict.fromkeys(stop.code for stop in stops))})"
    return str(label)


def _more(change: int, up: str, down: str) -> str:
    return up if change > 0 else down
