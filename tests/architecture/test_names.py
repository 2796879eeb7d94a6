"""Names that have two halves must meet: commands, prompts, settings and their documents."""

import re
import tomllib
from pathlib import Path

from voicelog.data_files.languages import language_folder, load_language
from voicelog.dialogue.commands import COMMANDS
from voicelog.settings.fields import Settings

ROOT = Path(__file__).parents[2]


def test_every_command_has_words_and_a_meaning() -> None:
    words = set(load_language(language_folder()).commands)
    assert words == set(COMMANDS) | {"correction"}


def test_every_setting_is_read_by_something() -> None:
    code = "".join(path.read_text(encoding="utf-8") for path in (ROOT / "voicelog").rglob("*.py"))
    read = set(re.findall(r"\.([a-z_]+)\b", code))
    assert set(Settings.model_fields) <= read


def test_every_prompt_is_used() -> None:
    prompts = tomllib.loads((language_folder() / "prompts.toml").read_text(encoding="utf-8"))
    code = "".join(path.read_text(encoding="utf-8") for path in (ROOT / "voicelog").rglob("*.py"))
    strings = set(re.findall(r'"([a-z_]+)"', code))
    unused = {
        name for name in prompts if name not in strings and not name.startswith(("ask_", "screen_"))
    }
    assert not unused
