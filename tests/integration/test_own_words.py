"""`voicelog words`: added, tried, refused, changed, removed, taken to another computer."""

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
import soundfile
import soxr
from typer.testing import CliRunner, Result

from tests.rendered import rendered
from voicelog.audio.base import RATE_HZ
from voicelog.cli.app import app
from voicelog.errors import (
    ConfigurationError,
    ExportError,
    GrammarError,
    SpeechError,
    VoicelogError,
)
from voicelog.grammar.own_words import OwnWords
from voicelog.recognisers.lexicon import PHONES
from voicelog.settings.fields import Settings
from voicelog.speech.arpabet import propose_phones
from voicelog.wiring import House
from voicelog.words.adding import propose, unheard
from voicelog.words.file import load_own_words, save_own_words

Words = Callable[..., Result]


@pytest.fixture
def words(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Words:
    """Run `voicelog words` with settings and data of its own."""
    monkeypatch.setenv("VOICELOG_SETTINGS", str(tmp_path / "settings.toml"))
    monkeypatch.setenv("VOICELOG_DATA_FOLDER", str(tmp_path / "data"))
    monkeypatch.setenv("COLUMNS", "200")

    def run(*arguments: str) -> Result:
        done = CliRunner().invoke(app, ["words", *arguments])
        if isinstance(done.exception, VoicelogError):
            raise done.exception
        return done

    return run


@pytest.fixture
def file(tmp_path: Path) -> Path:
    return tmp_path / "data" / "words" / "en.toml"


def said(text: str, path: Path) -> Path:
    """A recording of the text by the read-back voice, between two silences."""
    sound, rate_hz = rendered(text, voice="en-us+f2", rate_wpm=130)
    speech = soxr.resample(sound.astype(np.float32), rate_hz, RATE_HZ).clip(-32768, 32767)
    quiet = np.random.default_rng(2).normal(0, 4, RATE_HZ)
    soundfile.write(path, np.concatenate([quiet, speech, quiet]).astype(np.int16), RATE_HZ)
    return path


def test_an_added_drill_is_heard_at_once(words: Words, file: Path, tmp_path: Path) -> None:
    recording = str(said("drill sled push", tmp_path / "said.wav"))
    done = words("add", "drill", "sled push", "--audio", recording, "--silent")
    assert done.exit_code == 0
    assert 'Heard: "drill sled push"' in done.output
    assert load_own_words(file).drills == {"sled push": ["sled push"]}
    assert "sled push" in words("list").output
    assert House(Settings()).language.drills["sled push"] == ["sled push"]


def test_what_is_heard_as_something_else_is_not_added(
    words: Words, file: Path, tmp_path: Path
) -> None:
    recording = str(said("drill heel raise", tmp_path / "said.wav"))
    with pytest.raises(ConfigurationError, match='heard "drill heel raise"'):
        words("add", "drill", "sled push", "--audio", recording, "--silent")
    assert not file.exists()


def test_what_could_be_mistaken_is_added_only_when_asked_twice(words: Words, file: Path) -> None:
    with pytest.raises(ConfigurationError, match="could be mistaken"):
        words("add", "drill", "wall slides", "--silent")
    assert not file.exists()
    assert words("add", "drill", "wall slides", "--silent", "--anyway").exit_code == 0
    assert "wall slides" in load_own_words(file).drills


@pytest.mark.parametrize(
    ("name", "told"),
    [
        ("affirm", '"affirm" means something already where it is heard alone'),
        ("save record", '"save record" means something already where it is heard alone'),
        ("press trial", '"press trial" means something already'),
        ("no pain", '"no pain" means something already'),
        ("six", '"six" means something already'),
        ("heel raise three sets", '"drill heel raise three sets" means something already'),
        ("a firm", '"a firm" sounds like "affirm"'),
    ],
)
def test_what_would_be_a_command_or_a_result_without_the_word_before_it_is_warned_of(
    words: Words, file: Path, name: str, told: str
) -> None:
    with pytest.raises(ConfigurationError, match="could be mistaken"):
        words("add", "drill", name, "--silent")
    assert not file.exists()
    assert told in words("add", "drill", name, "--silent", "--anyway").output


def test_a_file_that_holds_no_words_leaves_those_that_are_there(
    words: Words, file: Path, tmp_path: Path
) -> None:
    words("add", "drill", "sled push", "--silent")
    letter = tmp_path / "letter.md"
    letter.write_text("# A letter\n\nDear colleague,\n", encoding="utf-8")
    with pytest.raises(GrammarError, match="is not valid TOML") as caught:
        words("import", str(letter))
    assert "your own words stay as they were" in caught.value.do
    assert "sled push" in words("list").output


def test_a_word_that_no_dictionary_has_gets_a_proposed_sound(words: Words, file: Path) -> None:
    done = words("add", "fault", "scapulothoracic hiking", "--silent", "--anyway")
    assert "(proposed)" in done.output
    (phones,) = load_own_words(file).pronunciations["scapulothoracic"]
    assert set(phones.split()) <= set(PHONES)


def test_a_sound_of_her_own_goes_before_that_of_the_dictionary(words: Words, file: Path) -> None:
    assert (
        words("add", "word", "scapula", "--phones", "S K AA P UW L AH", "--silent").exit_code == 0
    )
    first, *others = load_own_words(file).pronunciations["scapula"]
    assert first == "S K AA P UW L AH"
    assert others
    assert House(Settings()).pronunciations["scapula"][0] == first
    with pytest.raises(ConfigurationError, match="QQ is no phone"):
        words("add", "word", "scapula", "--phones", "S K QQ", "--silent")


def test_words_are_changed_and_removed(words: Words, file: Path) -> None:
    words("add", "cue", "melt into the floor", "--silent")
    words("edit", "cue", "melt into the floor", "--also", "let it melt", "--silent")
    assert load_own_words(file).cues == {
        "melt into the floor": ["melt into the floor", "let it melt"]
    }
    words("edit", "cue", "melt into the floor", "--name", "melt down", "--silent")
    assert load_own_words(file).cues == {"melt down": ["melt down", "let it melt"]}
    words("remove", "cue", "melt down")
    assert load_own_words(file).is_empty


def test_words_that_are_there_and_those_of_the_language_are_told_apart(words: Words) -> None:
    words("add", "drill", "sled push", "--silent")
    with pytest.raises(ConfigurationError, match="is there already"):
        words("add", "drill", "sled push", "--silent")
    with pytest.raises(ConfigurationError, match='already a way to say the drill "heel raise"'):
        words("add", "drill", "calf lift", "--also", "heel raise", "--silent")
    with pytest.raises(ConfigurationError, match="comes with voicelog and stays"):
        words("remove", "drill", "heel raise")
    with pytest.raises(ConfigurationError, match="among your own words"):
        words("remove", "drill", "no such thing")
    assert words("add", "sport", "sled push").exit_code == 2


def test_words_go_to_another_computer(
    words: Words, file: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    words("add", "drill", "sled push", "--silent")
    done = words("export", str(tmp_path / "words.toml"))
    assert "1 name and 0 pronunciations written" in done.output
    before = load_own_words(file)
    monkeypatch.setenv("VOICELOG_DATA_FOLDER", str(tmp_path / "other"))
    words("import", str(tmp_path / "words.toml"))
    assert load_own_words(tmp_path / "other" / "words" / "en.toml") == before
    with pytest.raises(ConfigurationError, match="is there already"):
        words("export", str(tmp_path / "words.toml"))


def test_a_file_of_words_takes_the_place_of_another_and_of_no_other_file(
    words: Words, tmp_path: Path
) -> None:
    words("add", "drill", "sled push", "--silent")
    there = tmp_path / "words.toml"
    there.write_text('[drills]\n"calf lift" = ["calf lift"]\n', encoding="utf-8")
    words("export", str(there), "--over")
    assert load_own_words(there).drills == {"sled push": ["sled push"]}
    for content in (b'language = "ko"\n', bytes(range(256))):
        there.write_bytes(content)
        with pytest.raises(GrammarError, match=r"words\.toml"):
            words("export", str(there), "--over")
        assert there.read_bytes() == content
    stick = tmp_path / "stick"
    with pytest.raises(ExportError, match="There is no folder"):
        words("export", str(stick / "words.toml"))
    assert not stick.exists()


def test_letters_of_another_width_or_in_two_parts_are_the_same_words(
    words: Words, file: Path
) -> None:
    words("add", "drill", "ｓｌｅｄ  push", "--silent")
    words("add", "drill", "cafe\N{COMBINING ACUTE ACCENT} walk", "--silent")
    assert list(load_own_words(file).drills) == ["sled push", "café walk"]


def test_letters_that_the_voice_would_spell_out_get_no_proposed_sound(
    words: Words, file: Path
) -> None:
    with pytest.raises(SpeechError, match="No pronunciation was found") as caught:
        words("add", "drill", "слад", "--silent")
    assert "--phones" in caught.value.do
    assert not file.exists()


def test_words_from_a_file_are_checked_as_those_that_are_added(
    words: Words, file: Path, tmp_path: Path
) -> None:
    theirs = tmp_path / "theirs.toml"
    theirs.write_text('[drills]\n"wall slides" = ["wall slides"]\n', encoding="utf-8")
    with pytest.raises(ConfigurationError, match="could be mistaken"):
        words("import", str(theirs))
    assert not file.exists()
    told = words("import", str(theirs), "--anyway").output
    assert '"slide" sounds like "slides"' in told
    assert load_own_words(file).drills == {"wall slides": ["wall slides"]}
    theirs.write_text('[drills]\n"calf lift" = ["calf lift", "heel raise"]\n', encoding="utf-8")
    with pytest.raises(ConfigurationError, match='already a way to say the drill "heel raise"'):
        words("import", str(theirs), "--anyway")


# Phones as the CMU Pronouncing Dictionary has the other word.
@pytest.mark.parametrize(
    ("word", "phones", "other"),
    [
        ("affirm", "N EH G AH T IH V", "negative"),
        ("left", "R AY T", "right"),
        ("gap", "K AH M P R EH SH AH N", "compression"),
    ],
)
def test_a_word_is_not_given_the_sound_of_another(
    words: Words, file: Path, tmp_path: Path, word: str, phones: str, other: str
) -> None:
    with pytest.raises(ConfigurationError, match="could be mistaken"):
        words("add", "word", word, "--phones", phones, "--silent")
    with pytest.raises(ConfigurationError, match="could be mistaken"):
        words("add", "drill", f"{word} sled", "--phones", f"{word} {phones}", "--silent")
    theirs = tmp_path / "theirs.toml"
    theirs.write_text(f'[pronunciations]\n{word} = ["{phones}"]\n', encoding="utf-8")
    with pytest.raises(ConfigurationError, match="could be mistaken"):
        words("import", str(theirs))
    assert not file.exists()
    told = words("import", str(theirs), "--anyway").output
    assert f'"{word}" sounds like "{other}" (0 apart)' in told


def test_a_file_of_words_may_come_from_any_editor(words: Words, file: Path, tmp_path: Path) -> None:
    theirs = tmp_path / "theirs.toml"
    text = '[drills]\r\n"sled push" = ["sled push"]\r\n'
    theirs.write_bytes(text.encode("utf-16"))
    with pytest.raises(GrammarError, match="is no text in UTF-8") as caught:
        words("import", str(theirs))
    assert "your own words stay as they were" in caught.value.do
    theirs.write_bytes(text.encode("utf-8-sig"))
    words("import", str(theirs))
    assert load_own_words(file).drills == {"sled push": ["sled push"]}


def test_no_loudspeaker_is_no_obstacle(
    words: Words, file: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def no_voice(house: House) -> None:
        raise VoicelogError("There is no loudspeaker")

    monkeypatch.setattr(House, "voice", no_voice)
    done = words("add", "drill", "sled push")
    assert done.exit_code == 0
    assert "could not be said aloud" in done.output
    assert "sled push" in load_own_words(file).drills


def test_comments_written_by_hand_stay(tmp_path: Path) -> None:
    file = tmp_path / "en.toml"
    file.write_text('# mine\n[drills]\n"sled push" = ["sled push"] # with the heavy one\n')
    own = load_own_words(file)
    save_own_words(file, own.with_names("cue", {"melt down": ["melt down"]}))
    text = file.read_text()
    assert "# mine" in text
    assert "# with the heavy one" in text
    assert load_own_words(file).cues == {"melt down": ["melt down"]}


@pytest.mark.parametrize(
    ("text", "line"),
    [
        ('[drills]\n"step 2" = ["step two"]\n', 2),
        ('[drills]\n\n"sled push" = "sled push"\n', 3),
        ('[exercises]\n"sled push" = ["sled push"]\n', 1),
        ('[drills]\n"sled push" = ["sled\n', 2),
        ('[pronunciations]\nsled = ["S L QQ D"]\n', 2),
        ('[pronunciations]\nsled = [" "]\n', 2),
        ('[pronunciations]\n"sled push" = ["S L EH D"]\n', 2),
        ('[drills]\n"sled push" = ["a b"]\n"sled push" = ["c d"]\n', None),
    ],
)
def test_a_mistake_in_the_file_is_named_with_its_line(
    tmp_path: Path, text: str, line: int | None
) -> None:
    file = tmp_path / "en.toml"
    file.write_text(text)
    with pytest.raises(GrammarError) as caught:
        load_own_words(file)
    assert (caught.value.file, caught.value.line) == (file, line)


def test_a_file_that_cannot_be_written_is_an_error_and_nothing_is_lost(tmp_path: Path) -> None:
    (tmp_path / "words").write_text("a file where the folder should be")
    with pytest.raises(ConfigurationError, match="could not be written"):
        save_own_words(tmp_path / "words" / "en.toml", OwnWords(cues={"melt": ["melt"]}))


def test_the_neural_model_offers_a_spelling_of_words_that_it_knows(
    tmp_path: Path, korean_model: Path
) -> None:
    settings = Settings(language="ko", vosk_model=korean_model, data_folder=tmp_path)
    house = House(settings)
    assert "발바닥 굽힘" in unheard(house, ["발바닥굽힘"])["발바닥굽힘"]
    proposal = propose(house, "drill", "발바닥굽힘 버티기")
    assert set(proposal.unheard) == {"발바닥굽힘"}


@pytest.mark.parametrize(
    ("word", "phones"),
    # CMU Pronouncing Dictionary, entries without their stress marks.
    [
        ("thoracic", "TH AO R AE S IH K"),
        ("squeeze", "S K W IY Z"),
        ("rotation", "R OW T EY SH AH N"),
        ("judge", "JH AH JH"),
        ("radio", "R EY D IY OW"),
    ],
)
def test_proposed_sounds_are_those_of_the_dictionary(word: str, phones: str) -> None:
    assert propose_phones(word) == phones
