"""What a practice has set as its default fills what nobody said, and is shown as such."""

from voicelog.dialogue.defaults import Defaults
from voicelog.dialogue.draft import begin, change
from voicelog.grammar.language import LanguageData
from voicelog.grammar.parse import Intent
from voicelog.records.content import Trial

DEFAULTS: Defaults = {
    "all": {"instrument": "goniometer", "manner": "active"},
    "hip": {"manner": "passive"},
}


def trial(language: LanguageData, **slots: str | int) -> Trial:
    made = begin(Intent("record", slots), None, language, DEFAULTS)
    assert isinstance(made, Trial)
    return made


def test_a_default_fills_what_was_not_said_and_says_so(language: LanguageData) -> None:
    made = trial(language, joint="ankle", motion="dorsiflexion", phase="baseline", range_deg=12)
    assert (made.manner, made.instrument) == ("active", "goniometer")
    assert set(made.by_default) == {"manner", "instrument"}


def test_those_of_a_joint_go_before_those_of_all(language: LanguageData) -> None:
    assert trial(language, joint="hip", motion="flexion", phase="baseline").manner == "passive"


def test_an_instrument_counts_only_where_there_is_an_angle(language: LanguageData) -> None:
    made = trial(language, joint="hip", motion="flexion", phase="baseline", pain=4)
    assert made.instrument is None


def test_what_she_says_goes_before_a_default(language: LanguageData) -> None:
    made = trial(language, joint="ankle", motion="dorsiflexion", phase="gap", manner="resisted")
    assert made.manner == "resisted"
    assert "manner" not in made.by_default


def test_correcting_a_default_makes_it_hers(language: LanguageData) -> None:
    made = trial(language, joint="ankle", motion="dorsiflexion", phase="baseline", range_deg=12)
    changed = change(made, {"manner": "passive"}, language, DEFAULTS)
    assert isinstance(changed, Trial)
    assert changed.manner == "passive"
    assert changed.by_default == ("instrument",)
