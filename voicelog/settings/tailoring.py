"""What the settings change of the language and of the published figures.

Records are read back and shown with the whole language; only what is listened for gets narrower.
"""

from collections.abc import Mapping

from voicelog.analysis.own_figures import with_own
from voicelog.analysis.tables import Tables
from voicelog.dialogue.defaults import EVERY_JOINT, HABITS, Defaults
from voicelog.grammar.language import LanguageData
from voicelog.settings.fields import Settings
from voicelog.settings.loading import refusal

ALWAYS_ON = ("affirm", "negative")
"""Commands that are always listened for: without them a read-back could not be answered."""
_PAUSE, _GO_ON = "stand by", "go ahead"


def ordered(language: LanguageData, settings: Settings) -> LanguageData:
    """The language with the practice's own order of read-back."""
    first = list(dict.fromkeys(settings.read_back_order))
    rest = [part for part in language.read_back_order if part not in first]
    return language.model_copy(update={"read_back_order": [*first, *rest]})


def listened_for(language: LanguageData, settings: Settings) -> LanguageData:
    """The language with only the joints and commands in use. Raises ConfigurationError."""
    changes: dict[str, object] = {}
    if settings.joints:
        changes["joints"] = _chosen("joints", settings.joints, language.joints)
    if settings.commands:
        wanted = [*ALWAYS_ON, *settings.commands]
        if _PAUSE in wanted:
            wanted.append(_GO_ON)
        changes["commands"] = _chosen("commands", wanted, language.commands)
    return language.model_copy(update=changes)


def own_defaults(language: LanguageData, settings: Settings) -> Defaults:
    """What the practice has set for manner, position and instrument. Raises ConfigurationError."""
    joints = (EVERY_JOINT, *language.joints)
    for joint, chosen in settings.defaults.items():
        if joint not in joints:
            what = f'the language has no joint "{joint}"'
            raise refusal("defaults", what, f"a table for any of {', '.join(joints)}")
        for slot in HABITS:
            value, known = getattr(chosen, slot), getattr(language.slots, slot)
            if value and value not in known:
                what = f'the language has no {slot} "{value}"'
                raise refusal("defaults", what, f"for {slot}, any of {', '.join(known)}")
    return {joint: {s: getattr(d, s) for s in HABITS if s in d.model_fields_set}
            for joint, d in settings.defaults.items()}  # fmt: skip


def own_tables(tables: Tables, settings: Settings) -> Tables:
    """The published figures, with the practice's own in their place. Raises ConfigurationError."""
    own: dict[str, tuple[float, str]] = {
        name: (figure.value, figure.why) for name, figure in settings.thresholds.items()
    }
    try:
        return with_own(tables, own)
    except ValueError as error:
        raise refusal("thresholds", str(error), "a value that its unit can have") from error


def _chosen(setting: str, wanted: list[str], known: Mapping[str, object]) -> dict[str, object]:
    for name in wanted:
        if name not in known:
            what = f'the language has no "{name}"'
            raise refusal(setting, what, f"any of {', '.join(known)}")
    return {name: value for name, value in known.items() if name in wanted}
