"""What a language says while records are put right: slots, what happened with them, refusals."""

from typing import Annotated

from voicelog.grammar.finding_texts import Filled, TextSet, for_each_of

SLOTS = (
    "movement", "joint", "motion", "side", "phase", "range_deg", "onset_deg", "pain", "quality",
    "end_feel", "outcome", "manner", "position", "instrument", "by_default", "name", "sets", "reps",
    "sets_reps", "hold_s", "band", "tempo", "plane", "direction", "effort", "text", "checked",
    "kind", "result", "drill", "fault", "cue", "note", "all",
)  # fmt: skip
"""Everything of a record that can be named: its slots, "result" for any of them that is one, and
"all" for the whole."""
KINDS = ("record", "drill", "fault", "cue", "note")
DONE = (
    "proposed", "affirmed", "affirmed by voice", "affirmed by key", "affirmed at the desk",
    "discarded", "taken out",
)  # fmt: skip
"""What can happen with a version of a record."""
REASONS = (
    "dictated", "affirmed", "negative", "disregarded", "right as it is", "discarded",
    "discard taken back", "affirmation undone", "lists", "compared", "text changed",
    "typed at the keyboard", "heard as", "typed", "found in a note", "back to version",
)  # fmt: skip
"""Why it happened, where nobody said it in words of their own."""
REFUSALS = (
    "no reason", "no words", "no entry", "stale", "not whole", "cannot affirm", "cannot discard",
    "cannot take back", "cannot undo", "no alternative", "no change", "not offered",
    "not in limits", "no date", "no word", "too long", "signs", "taken", "shipped", "not own",
)  # fmt: skip
"""What a person asks for and cannot have."""


class Refusal(TextSet):
    """What cannot be done, what was kept, what to do; each without its full stop."""

    what: Filled
    kept: Filled
    do: Filled


class CorrectionTexts(TextSet):
    """Everything that is said of a record while it is put right."""

    slots: Annotated[dict[str, Filled], for_each_of(*SLOTS)]
    """What follows a comma is left out where the value stands beside it."""
    kinds: Annotated[dict[str, Filled], for_each_of(*KINDS)]
    yes: Filled
    no: Filled
    not_said: Filled
    motion_open: Filled
    unusual: Filled
    both: Filled
    """Stands between two angles."""
    done: Annotated[dict[str, Filled], for_each_of(*DONE)]
    reasons: Annotated[dict[str, Filled], for_each_of(*REASONS)]
    refusals: Annotated[dict[str, Refusal], for_each_of(*REFUSALS)]
