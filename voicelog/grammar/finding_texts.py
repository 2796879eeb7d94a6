"""What a language says of comparisons, directions, thresholds and pictures, by what is meant.

A sentence stands under the name of what was found, which is also how the analysis calls it.
"""

from typing import Annotated, TypeVar

from pydantic import AfterValidator, BaseModel, ConfigDict, Field, RootModel

from voicelog.grammar.plurals import Category

Filled = Annotated[str, Field(min_length=1)]


_Said = TypeVar("_Said")


def for_each_of(*names: str) -> AfterValidator:
    """A sentence for each of these, and for nothing else."""

    def check(found: dict[str, _Said]) -> dict[str, _Said]:
        lacking, strange = set(names) - set(found), set(found) - set(names)
        if lacking:
            raise ValueError(f"lacks {', '.join(sorted(lacking))}")
        if strange:
            raise ValueError(f"nothing is called {', '.join(sorted(strange))}")
        return found

    return AfterValidator(check)


EASED = ("gap", "compression", "both", "neither", "not enough to say")
MISSING = (
    "gap trial", "compression trial", "gap numbers", "compression numbers", "gap without stop",
    "compression without stop", "gap possible", "compression possible", "pain to lower", "retest",
)  # fmt: skip
STEPS = (
    "review stop", "train gap", "train compression", "train either", "reassess", "try gap",
    "try compression", "take numbers", "next visit",
)  # fmt: skip
LABELS = (
    "lower, beyond usual error", "lower, within usual error", "no change",
    "higher, within usual error", "higher, beyond usual error - stop and review",
    "not rated: stop event", "more, beyond measurement error", "more, within measurement error",
    "less, within measurement error", "less, beyond measurement error",
)  # fmt: skip
SCALE_LABELS = (
    "higher, beyond error", "higher, within error", "no change", "lower, within error",
    "lower, beyond error",
)  # fmt: skip
STATUSES = ("seen", "memory", "inference", "common practice, no source", "set by the practice")
DOUBTS = (
    "other client", "other visit", "not confirmed", "correction waits", "no movement", "no phase",
    "clock", "impossible pain", "impossible range", "empty visit", "no baseline",
    "baseline after trial", "baseline after retest", "more baselines", "different manner",
    "different position", "unsaid manner", "unsaid position", "baseline stopped", "by default",
    "baseline without pain", "trial without pain", "pain free rep", "no percent", "small start",
    "above ceiling", "baseline without range", "trial without range", "different instrument",
    "unsaid instrument", "no instrument", "different onset", "one angle", "no published error",
    "error between testers", "error broad", "error note", "error spans methods",
    "error for end of range", "unable", "disagreeing trials",
)  # fmt: skip


class Counted(RootModel[dict[Category, Filled]]):
    """A phrase with a count, in each form that the language has."""

    model_config = ConfigDict(frozen=True)


class TextSet(BaseModel):
    """Sentences that belong together; each must be there, and no other."""

    model_config = ConfigDict(frozen=True, extra="forbid", defer_build=True)


class Figures(TextSet):
    """Published figures: their units, where they come from, and how sure that is."""

    units: Annotated[dict[str, Counted], for_each_of("points", "percent", "degrees")]
    statuses: Annotated[dict[str, Filled], for_each_of(*STATUSES)]
    own: Filled
    """A figure that the practice set, beside the published one."""
    sure: Filled
    from_sem: Filled
    pain_line: Filled
    """The thresholds of pain in one line."""
    range_line: Filled


class Changes(TextSet):
    """A change of pain or of an angle, and what it is called."""

    same: Filled
    higher: Filled
    lower: Filled
    more: Filled
    less: Filled
    percent: Filled
    pain: Filled
    both_figures: Filled
    range: Filled
    onset: Filled
    rated: Filled
    unrated: Filled
    labels: Annotated[dict[str, Filled], for_each_of(*LABELS)]
    no_error: Filled
    same_visit: Filled


class Stops(TextSet):
    """What raised a stop event, and what was done then."""

    end_feel: Filled
    pain: Filled
    onset: Filled
    raised: Filled
    event: Filled
    not_done: Filled
    done: Filled


class Directions(TextSet):
    """Which way it eased, what is missing, and what common practice would do next."""

    told: Filled
    eased: Annotated[dict[str, Filled], for_each_of(*EASED)]
    needs: Filled
    missing: Annotated[dict[str, Filled], for_each_of(*MISSING)]
    step: Filled
    steps: Annotated[dict[str, Filled], for_each_of(*STEPS)]
    stands_on: Filled


class Remarks(TextSet):
    """What is said into the ear after a save."""

    pain: Filled
    range: Filled
    onset: Filled
    stop: Filled
    stop_and: Filled
    eased: Filled
    missing: Filled
    action: Filled


class References(TextSet):
    """Published ranges, sides, companion scales and doses."""

    sexes: Annotated[dict[str, Filled], for_each_of("F", "M", "both")]
    ages: Filled
    spread: Filled
    interval: Filled
    recalled: Filled
    range: Filled
    sides: Filled
    scale: Filled
    scale_rated: Filled
    scale_unrated: Filled
    scale_labels: Annotated[dict[str, Filled], for_each_of(*SCALE_LABELS)]
    average: Filled
    reaches: Filled
    below: Filled
    rating: Filled
    no_band: Filled
    given: Filled
    no_dose: Filled


class Pictures(TextSet):
    """What stands in a picture over the visits."""

    name: Filled
    kinds: Annotated[dict[str, Filled], for_each_of("pain", "range", "pain free")]
    ways: Annotated[dict[str, Filled], for_each_of(*EASED[:-1])]
    visits: Counted
    signs: Filled
    eased: Filled
    pain_band: Filled
    range_band: Filled
    one_visit: Filled
    no_band: Filled
    first: Filled
    not_taken: Filled
    last: Filled
    dose_name: Filled
    dose_signs: Filled
    dose: Filled


class FindingTexts(TextSet):
    """Everything that is said of what the numbers of a visit, or of a course, say."""

    both: Filled
    """Two things in one sentence: records, angles."""
    one_other: Filled
    """What was said of one, and of the other."""
    angles: Annotated[dict[str, Filled], for_each_of("range", "onset")]
    doubts: Annotated[dict[str, Filled], for_each_of(*DOUBTS)]
    figures: Figures
    changes: Changes
    stops: Stops
    directions: Directions
    remarks: Remarks
    references: References
    pictures: Pictures
