"""Settings: each acts, each is explained, and a wrong one is told apart from a right one.

The schema is that of JSON Schema 2020-12, held against the library jsonschema.
"""

import json
import re
import tomllib
from collections.abc import Callable
from pathlib import Path

import jsonschema
import pytest

from voicelog.errors import ConfigurationError
from voicelog.settings.fields import Settings
from voicelog.settings.loading import load_settings
from voicelog.settings.sheet import change, example, shown, write_example
from voicelog.wiring import House

File = Callable[[str], Path]


@pytest.fixture
def file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> File:
    """Writes the settings file that is in force."""
    path = tmp_path / "settings.toml"
    monkeypatch.setenv("VOICELOG_SETTINGS", str(path))
    for name in Settings.model_fields:
        monkeypatch.delenv(f"VOICELOG_{name.upper()}", raising=False)

    def write(text: str) -> Path:
        path.write_text(text, encoding="utf-8")
        return path

    return write


def uncommented(text: str) -> str:
    """The example with every setting of it in force."""
    lines = [line.removeprefix("# ") for line in text.splitlines()]
    return "\n".join(
        line for line in lines if line.startswith("[") or line.split(" = ")[0].isidentifier()
    )


def test_the_example_changes_nothing(file: File) -> None:
    file("")
    before = load_settings()
    file(example())
    assert load_settings() == before


def test_every_setting_of_the_example_can_be_put_in_force(file: File) -> None:
    text = uncommented(example())
    file(text)
    found = load_settings()
    assert set(tomllib.loads(text)) == set(Settings.model_fields)
    assert found.joints == ["shoulder", "hip", "knee", "ankle"]


def test_the_example_is_valid_by_the_schema() -> None:
    schema = Settings.model_json_schema()
    jsonschema.Draft202012Validator.check_schema(schema)
    jsonschema.validate(tomllib.loads(uncommented(example())), schema)


@pytest.mark.parametrize(
    ("line", "expected"),
    [
        ('engine = "magic"', "auto, pocketsphinx, vosk"),
        ("speech_rate_wpm = 20", "80 to 450"),
        ("spoken = 3", "true or false"),
        ('read_back = "some"', "all, doubtful, tones"),
        ('read_back_order = ["weather"]', "end feel"),
        ('foot_switch_does = "dance"', "affirm, negative, pause"),
        ('practitioner = ""', "1 to 40 characters"),
        ("thresholds.pain_error_floor.value = 3", "text of 8 to 160 characters"),
        ("thresholds.luck = { value = 3, why = 'for good luck' }", "pain_error_floor"),
        ("colour = 3", "speech_rate_wpm"),
    ],
)
def test_a_wrong_value_names_file_line_and_what_is_allowed(
    file: File, line: str, expected: str
) -> None:
    path = file(f"# mine\n\n{line}\n")
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(tomllib.loads(line), Settings.model_json_schema())
    with pytest.raises(ConfigurationError) as caught:
        load_settings()
    assert f"{path}, line 3" in str(caught.value)
    assert expected in str(caught.value)


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ('keep_audio = "5x"', 'keep_audio cannot be used: it is "5x". Allowed is text such as'),
        ('spoken = "maybe"', 'spoken cannot be used: it is "maybe". Allowed is true or false'),
        ("spoken = 3", "spoken cannot be used: it is 3."),
        ("practitioner = true", "practitioner cannot be used: it is true."),
        ("practitioner = [1]", "practitioner cannot be used: it is something of another kind."),
        (
            'foot_switch_key = "F99"',
            "foot_switch_key cannot be used: it is neither one character nor",
        ),
        ("thresholds.pain_ceiling.value = 3", "thresholds.pain_ceiling.why cannot be used: it is"),
        ("thresholds.luck = { value = 3, why = 'for good luck' }", "there is no such name"),
    ],
)
def test_what_is_wrong_is_said_in_plain_words(file: File, line: str, said: str) -> None:
    file(f"{line}\n")
    with pytest.raises(ConfigurationError) as caught:
        load_settings()
    assert said in str(caught.value)
    assert not re.search(r"input|string|valid|pattern|field", str(caught.value).lower())


def put_to_use(load: Callable[[], Settings]) -> None:
    house = House(load())
    _ = house.phrases, house.tables


@pytest.mark.parametrize(
    ("line", "expected"),
    [
        ('joints = ["tail"]', "shoulder"),
        ('commands = ["hop"]', "disregard"),
        ("thresholds.pain_error_floor = { value = 30, why = 'a slip of the hand' }", "30 points"),
        ('foot_switch_key = "F19"', "F1"),
    ],
)
def test_a_value_that_the_language_or_the_figures_lack_names_its_line(
    file: File, line: str, expected: str
) -> None:
    path = file(f"\n{line}\n")
    with pytest.raises(ConfigurationError) as caught:
        put_to_use(load_settings)
    assert f"{path}, line 2" in str(caught.value)
    assert expected in str(caught.value)


def test_the_environment_is_blamed_where_it_is_at_fault(
    file: File, monkeypatch: pytest.MonkeyPatch
) -> None:
    file("speech_rate_wpm = 200\n")
    monkeypatch.setenv("VOICELOG_SPEECH_RATE_WPM", "fast")
    with pytest.raises(ConfigurationError, match=r"environment \(VOICELOG_SPEECH_RATE_WPM\)"):
        load_settings()
    monkeypatch.setenv("VOICELOG_SPEECH_RATE_WPM", "210")
    monkeypatch.setenv("VOICELOG_JOINTS", "ankle")
    with pytest.raises(ConfigurationError, match=r"environment \(VOICELOG_JOINTS\)"):
        load_settings()


def test_each_setting_says_where_it_comes_from(file: File, monkeypatch: pytest.MonkeyPatch) -> None:
    text = (
        '# mine\npractitioner = "kim"\n[thresholds.pain_ceiling]\nvalue = 4\nwhy = "our own habit"'
    )
    path = file(text)
    monkeypatch.setenv("VOICELOG_SPOKEN", "false")
    rows = {row.name: row for row in shown(load_settings())}
    assert list(rows) == list(Settings.model_fields)
    assert rows["practitioner"].origin == f"{path}, line 2"
    assert rows["thresholds"].origin == f"{path}, line 3"
    assert rows["spoken"].origin == "the environment (VOICELOG_SPOKEN)"
    assert rows["engine"].origin == "default"
    assert all(row.what and row.choices for row in rows.values())


def test_a_value_is_changed_in_the_file_and_its_comments_stay(file: File) -> None:
    path = file('# mine\nengine = "auto"  # either\n[thresholds.pain_ceiling]\nvalue = 4\n'
                'why = "our own habit"\n')  # fmt: skip
    change({"engine": "pocketsphinx", "practitioner": "kim"})
    text = path.read_text(encoding="utf-8")
    assert "# mine" in text
    assert "# either" in text
    found = load_settings()
    assert (found.engine, found.practitioner) == ("pocketsphinx", "kim")
    assert found.thresholds["pain_ceiling"].value == 4


def test_a_value_that_is_not_allowed_leaves_the_file_as_it_was(file: File) -> None:
    path = file("# mine\n")
    with pytest.raises(ConfigurationError, match="speech_rate_wpm") as caught:
        change({"speech_rate_wpm": 3})
    assert path.read_text(encoding="utf-8") == "# mine\n"
    assert str(caught.value) == (
        "speech_rate_wpm cannot be used: it is 3."
        " Nothing was changed. Allowed is a whole number from 80 to 450."
    )


def test_a_mistake_that_stands_in_the_file_already_keeps_its_line(file: File) -> None:
    file('engine = "none"\n')
    with pytest.raises(ConfigurationError, match=r"settings\.toml, line 1: engine") as caught:
        change({"practitioner": "kim"})
    assert "remove it" in caught.value.do


def test_the_example_never_overwrites_a_file(file: File, tmp_path: Path) -> None:
    assert write_example() == tmp_path / "settings.toml"
    with pytest.raises(ConfigurationError, match="there already"):
        write_example()


def test_the_command_shows_value_origin_and_meaning(
    voicelog_settings: Callable[..., str], file: File
) -> None:
    file('read_back = "tones"\n')
    text = voicelog_settings()
    assert 'read_back = "tones"' in text
    assert "line 1" in text
    assert "CHILDS2005" in text
    assert json.loads(voicelog_settings("--schema")) == Settings.model_json_schema()
    assert voicelog_settings("--example") == example()


@pytest.fixture
def voicelog_settings(capsys: pytest.CaptureFixture[str]) -> Callable[..., str]:
    """Runs `voicelog settings` and gives what it printed."""
    from voicelog.cli.app import app

    def run(*arguments: str) -> str:
        app(["settings", *arguments], standalone_mode=False)
        return capsys.readouterr().out

    return run
