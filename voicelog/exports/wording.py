"""Records in the words of the trade, shared by the formats that people read."""

from voicelog.records.content import AnyContent, Cue, Drill, Fault, Note, Trial

HAND = {"voice": "by voice", "key": "by key", "desk": "at the desk"}
"""How an affirmation was given."""


def movement(trial: Trial) -> str:
    """Such as: left ankle dorsiflexion."""
    return _joined(trial.side, trial.joint, trial.motion, by=" ")


def reach(trial: Trial) -> str:
    """The end of the range and where pain starts; empty without."""
    if trial.onset_deg is None:
        return "" if trial.range_deg is None else f"{trial.range_deg}°"
    end = None if trial.range_deg is None else f"end of range {trial.range_deg}°"
    return _joined(f"pain starts at {trial.onset_deg}°", end)


def remarks(trial: Trial) -> str:
    """What has no column of its own: outcome, manner, position, instrument; of the last three,
    whether nobody said them and they are the practice's defaults."""
    measured = f"measured with {trial.instrument}" if trial.instrument else None
    said = {"manner": trial.manner, "position": trial.position, "instrument": measured}
    habits = (marked(trial, slot, text) for slot, text in said.items() if text)
    return _joined(trial.outcome, *habits)


def marked(content: AnyContent, slot: str, text: str) -> str:
    """The words for a slot, marked where nobody said it and it is the practice's default."""
    assumed = isinstance(content, Trial) and slot in content.by_default
    return f"{text} (default)" if assumed else text


def by_default(trial: Trial) -> str:
    """A sentence that names what nobody said of the trial; empty where all was said."""
    assumed = _joined(*(str(getattr(trial, slot)) for slot in trial.by_default))
    return f"By default of the practice, not said: {assumed}." if assumed else ""


def dose(drill: Drill) -> str:
    """Such as: 3 sets of 8, hold 5 s, tempo 3-1-1-0, light band, effort 4/10, with gap."""
    sets = _counted(drill.sets, "set")
    reps = _counted(drill.reps, "rep")
    amount = f"{sets} of {drill.reps}" if sets and reps else sets or reps
    return _joined(
        amount,
        f"hold {drill.hold_s} s" if drill.hold_s is not None else None,
        f"tempo {drill.tempo}" if drill.tempo else None,
        f"{drill.band} band" if drill.band else None,
        f"effort {drill.effort}/10" if drill.effort is not None else None,
        f"{drill.plane} plane" if drill.plane else None,
        f"with {drill.direction}" if drill.direction else None,
    )


def sentence(content: AnyContent) -> str:
    """One record in one line."""
    match content:
        case Trial():
            pain = f"pain {content.pain}/10" if content.pain is not None else None
            feel = f"end feel {content.end_feel}" if content.end_feel else None
            parts = (movement(content), content.phase, reach(content), pain)
            return _joined(*parts, *content.quality, feel, remarks(content))
        case Drill():
            return _joined(_joined(content.name, content.side), dose(content), by=": ")
        case Fault() | Cue():
            return f"{content.kind}: {content.name}"
        case Note():
            return f"note: {content.text}"


def _counted(count: int | None, thing: str) -> str:
    if count is None:
        return ""
    return f"{count} {thing}" if count == 1 else f"{count} {thing}s"


def _joined(*parts: str | None, by: str = ", ") -> str:
    return by.join(part for part in parts if part)
