"""`voicelog screen` at the keyboard, and what `voicelog listen` makes of it."""

from datetime import datetime
from pathlib import Path

import numpy as np
import pytest
import soundfile

from tests.end_to_end.practice import Practice
from voicelog.data_files.reference_tables import load_tables

QUESTIONS = len(load_tables().screen)


ALL_NO = "n\n" * QUESTIONS


@pytest.fixture
def silence(tmp_path: Path) -> str:
    path = tmp_path / "silence.wav"
    soundfile.write(path, np.zeros(16_000, np.int16), 16_000)
    return str(path)


def test_the_screen_is_asked_at_the_keyboard_and_kept_when_affirmed(practice: Practice) -> None:
    done = practice.type("screen", "C-014", keys=ALL_NO + "y\n")
    assert done.code == 0
    assert f"{QUESTIONS} answered no. Keep these answers? Affirmative, or negative." in done.out
    assert "No flag recorded. Asked by MT on" in done.out
    assert "clears nobody" in done.out
    assert "No flag recorded." in practice.type("screen", "C-014", "--show").out


def test_an_asking_that_breaks_off_keeps_nothing(practice: Practice) -> None:
    done = practice.type("screen", "C-014", keys="y\nn\nn\n")
    assert done.code == 1
    assert f"broke off with 3 of {QUESTIONS} answered. Nothing was kept" in done.err
    assert "No safety screen on file." in practice.type("screen", "C-014", "--show").out


def test_a_no_at_the_end_keeps_nothing(practice: Practice) -> None:
    done = practice.type("screen", "C-014", keys=ALL_NO + "n\n")
    assert done.code == 0
    assert "Nothing was kept. Safety screen of C-014 No safety screen on file." in done.out


def test_a_slip_of_the_finger_can_be_mended(practice: Practice) -> None:
    done = practice.type("screen", "C-014", keys="x\ny\nb\n" + ALL_NO + "y\n")
    assert "y yes · n no" in done.out
    assert "No flag recorded." in done.out


def test_joints_behind_an_answer_to_refer_first_are_refused_with_the_reason(
    practice: Practice,
) -> None:
    done = practice.type("screen", "C-014", keys="y knee\n" + ALL_NO + "y knee\ny\n")
    assert done.out.count("here type the answer alone") == 2
    assert "No flag recorded." in done.out


def test_listening_waits_for_the_screen(practice: Practice, silence: str) -> None:
    done = practice.type("listen", "--client", "C-014", "--audio", silence)
    assert done.code == 1
    assert "No safety screen of C-014 is on file. Nothing was recorded." in done.err
    assert "voicelog screen C-014" in done.err
    assert practice.type("visits").out == "Nothing is recorded yet."


def test_a_screen_put_off_is_told_in_the_summary_and_in_the_note(
    practice: Practice, silence: str
) -> None:
    done = practice.type("listen", "--client", "C-014", "--audio", silence, "--screen-later")
    assert done.code == 0
    assert "Safety screen: No safety screen on file." in done.out
    assert "No safety screen on file." in practice.type("export", "last").out


def test_a_refer_first_answer_blocks_until_a_clearance_is_on_file(
    practice: Practice, silence: str
) -> None:
    keys = "y\n" + "n\n" * (QUESTIONS - 1) + "y\n"
    asked = practice.type("screen", "C-014", keys=keys)
    assert "Blocked. Refer first; no trial until a clearance is on file." in asked.out
    listen = ("listen", "--client", "C-014", "--audio", silence)
    for arguments in (listen, (*listen, "--screen-later")):
        done = practice.type(*arguments)
        assert done.code == 1
        assert "Refer C-014 first, and record no trial (A1: Same-day emergency" in done.err
    letter = ("--clearance", "no load overhead", "--by", "the doctor on duty", "--on")
    early = practice.type("screen", "C-014", *letter, "1900-01-01")
    assert early.code == 1
    assert "A clearance of 1900-01-01 cannot be for A1" in early.err
    assert practice.type(*listen).code == 1
    today = f"{datetime.now():%Y-%m-%d}"
    cleared = practice.type("screen", "C-014", *letter, today)
    assert cleared.code == 0
    assert f"Clearance by the doctor on duty of {today} is on file for A1" in cleared.out
    assert practice.type(*listen).code == 0
    note = practice.type("export", "last").out
    assert f"Clearance by the doctor on duty of {today} (no load overhead), entered by MT" in note


def test_a_caution_is_shown_before_the_visit_begins(practice: Practice, silence: str) -> None:
    gap = next(n for n, item in enumerate(load_tables().screen) if item.id == "B1.1")
    keys = "n\n" * gap + "y\n" + "n\n" * (QUESTIONS - gap - 1) + "y\n"
    assert "No gap trial by what is on file." in practice.type("screen", "C-014", keys=keys).out
    done = practice.type("listen", "--client", "C-014", "--audio", silence)
    assert done.code == 0
    assert "The screen on file says: No gap trial." in done.err


def test_a_caution_can_be_of_some_joints_only(practice: Practice, silence: str) -> None:
    gap = next(n for n, item in enumerate(load_tables().screen) if item.id == "B1.1")
    slips = "y ankel\ny knee, foot\n"  # no such joint, then two that there are
    keys = "n\n" * gap + slips + "n\n" * (QUESTIONS - gap - 1) + "y\n"
    shown = practice.type("screen", "C-014", keys=keys).out
    assert 'No joint is known as "ankel".' in shown
    assert "yes knee, ankle" in " ".join(shown.split())
    assert "No gap trial at the knee by what is on file." in shown
    assert "No gap trial at the ankle by what is on file." in shown
    done = practice.type("listen", "--client", "C-014", "--audio", silence)
    assert "The screen on file says at the ankle: No gap trial." in done.err


@pytest.mark.parametrize(
    ("arguments", "code", "words"),
    [
        (("--clearance", "words", "--on", "2026-03-01"), 2, "say who gave"),
        (("--clearance", "words", "--by", "Dr"), 2, "on which day"),
        (("--clearance", "words", "--by", "Dr", "--on", "yesterday"), 2, '"yesterday" is no day'),
        (("--clearance", "words", "--by", "Dr", "--on", "2026-31-01"), 2, "such as 2026-03-01"),
        (("--by", "Dr"), 2, "belongs to --clearance"),
        (("--audio", "x.wav"), 2, "needs --voice"),
        (("--clearance", "w", "--by", "Dr", "--on", "2026-03-01"), 1, "waits for a clearance"),
    ],
)
def test_a_clearance_that_is_not_whole_is_not_kept(
    practice: Practice, arguments: tuple[str, ...], code: int, words: str
) -> None:
    done = practice.type("screen", "C-014", *arguments)
    assert done.code == code
    assert words in " ".join(done.err.replace("│", " ").split())


def test_the_screen_asked_from_a_sound_file_breaks_off_when_it_ends(
    practice: Practice, silence: str
) -> None:
    done = practice.type("screen", "C-014", "--voice", "--audio", silence)
    assert done.code == 1
    assert f"broke off with 0 of {QUESTIONS}" in done.err
    assert "A hot, swollen, tender joint" in done.out
