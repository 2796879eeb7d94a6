"""Own words and settings go with a backup and come back; nothing here is overwritten."""

from pathlib import Path

import pytest

from voicelog.safekeeping.practice_files import beside_backup, bring_back, carry
from voicelog.settings.fields import Settings

WORDS = '[drills]\n"sled drag" = ["sled drag"]\n'


@pytest.fixture
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Settings:
    """A practice with words, settings, and one practitioner with settings of her own."""
    config = tmp_path / "config"
    monkeypatch.setenv("VOICELOG_SETTINGS", str(config / "settings.toml"))
    for file, text in (
        (config / "settings.toml", "# ours\n"),
        (config / "practitioners" / "kim.toml", "# hers\n"),
        (tmp_path / "data" / "words" / "en.toml", WORDS),
    ):
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_text(text, encoding="utf-8")
    return Settings(data_folder=tmp_path / "data")


def test_all_that_the_practice_made_its_own_lies_beside_the_backup(
    here: Settings, tmp_path: Path
) -> None:
    backup = tmp_path / "today.sqlite"
    carried = carry(here, backup)
    names = {str(file.relative_to(beside_backup(backup)).as_posix()) for file in carried}
    assert names == {"settings.toml", "words/en.toml", "practitioners/kim.toml"}
    assert (beside_backup(backup) / "words" / "en.toml").read_text(encoding="utf-8") == WORDS


def test_words_come_back_where_there_are_none_and_settings_are_only_named(
    here: Settings, tmp_path: Path
) -> None:
    backup = tmp_path / "today.sqlite"
    carry(here, backup)
    fresh = Settings(data_folder=tmp_path / "fresh")
    back = bring_back(fresh, backup)
    (file,) = back.words
    assert file == tmp_path / "fresh" / "words" / "en.toml"
    assert file.read_text(encoding="utf-8") == WORDS
    assert [each.name for each in back.settings] == ["settings.toml", "kim.toml"]
    assert list((tmp_path / "fresh").iterdir()) == [file.parent]


def test_words_that_are_here_stay_and_others_are_named(here: Settings, tmp_path: Path) -> None:
    backup = tmp_path / "today.sqlite"
    carry(here, backup)
    assert bring_back(here, backup).other_words == ()
    own = here.data_folder / "words" / "en.toml"
    own.write_text("# newer\n", encoding="utf-8")
    back = bring_back(here, backup)
    assert (back.words, own.read_text(encoding="utf-8")) == ((), "# newer\n")
    assert back.other_words == (beside_backup(backup) / "words" / "en.toml",)


@pytest.mark.parametrize(
    ("content", "told"),
    [
        (b'[drills]\n"sled drag" = ["sled drag"\n', "not valid TOML"),
        (b'[drills]\n"sled drag" = ["sled 2"]\n', "has signs or digits"),
        (b"[drills]\n\xff\xfe\n", "no text in UTF-8"),
        (bytes(64), "not valid TOML"),
    ],
)
@pytest.mark.parametrize("there", [False, True])
def test_words_that_cannot_be_read_take_no_place_and_are_told_of(
    here: Settings, tmp_path: Path, content: bytes, told: str, there: bool
) -> None:
    backup = tmp_path / "today.sqlite"
    carry(here, backup)
    copy = beside_backup(backup) / "words" / "en.toml"
    copy.write_bytes(content)
    settings = here if there else Settings(data_folder=tmp_path / "fresh")
    back = bring_back(settings, backup)
    own = settings.data_folder / "words" / "en.toml"
    assert own.exists() is there
    assert not there or own.read_text(encoding="utf-8") == WORDS
    (error,) = back.unread
    assert told in error.what
    assert f"voicelog words import {copy}" in error.do
    assert (back.words, back.other_words) == ((), ())


def test_a_practice_with_nothing_of_its_own_leaves_no_folder(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("VOICELOG_SETTINGS", str(tmp_path / "none" / "settings.toml"))
    assert carry(Settings(data_folder=tmp_path), tmp_path / "today.sqlite") == ()
    assert bring_back(Settings(data_folder=tmp_path), tmp_path / "today.sqlite").words == ()
    assert list(tmp_path.iterdir()) == []
