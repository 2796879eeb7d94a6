"""The live loop with real sound, endpointer and store; only the words are scripted."""

from pathlib import Path

from tests.integration.live_rig import BASELINE, BLOCK, Rig, heard, only_visit
from voicelog.audio.base import RATE_HZ
from voicelog.audio.clips import from_flac


def test_a_dictation_and_a_yes_become_a_record_with_its_sound(rig: Rig) -> None:
    state = rig.live([heard(BASELINE), heard("affirm")]).run(rig.room(2))
    (record,) = rig.store.records(only_visit(rig))
    assert state.records == (record,)
    assert record.evidence[0].text == BASELINE
    (clip,) = rig.store.clips(record.entry_id)
    sound = from_flac(clip.flac)
    assert clip.text == BASELINE
    assert len(sound) == round(clip.duration_s * RATE_HZ)
    assert len(rig.speech) * 0.5 < len(sound) < len(rig.speech) * 1.5


def test_talk_leaves_neither_record_nor_sound_nor_words(rig: Rig, tmp_path: Path) -> None:
    talk = "left knee flexion gap trial pain four"
    rig.live([heard(talk, in_grammar=0.01)] * 3).run(rig.room(3))
    assert rig.store.records(only_visit(rig)) == rig.store.unconfirmed(only_visit(rig)) == ()
    assert rig.kinds() == ["rejected"] * 3 + ["ended"]
    assert all("knee" not in happening.text for happening in rig.happenings)
    kept = b"".join(file.read_bytes() for file in tmp_path.iterdir())
    assert b"fLaC" not in kept
    assert b"knee" not in kept


def test_what_happens_is_told_in_order(rig: Rig) -> None:
    rig.live(
        [heard(BASELINE), heard("affirm"), heard("left hip flexion gap trial"), heard("disregard")]
    ).run(rig.room(4))
    told = [kind for kind in rig.kinds() if kind != "said"]
    assert told == [
        "heard", "proposed", "heard", "saved", "heard", "asked", "heard", "dropped", "ended",
    ]  # fmt: skip


def test_the_time_from_endpoint_to_read_back_is_told(rig: Rig) -> None:
    rig.live([heard(BASELINE)]).run(rig.room(1))
    latencies = [h.facts["latency_ms"] for h in rig.happenings if "latency_ms" in h.facts]
    assert len(latencies) == 1
    assert all(isinstance(latency, float) and latency >= 0 for latency in latencies)


def test_a_note_is_kept_with_its_sound_and_the_best_guess(rig: Rig) -> None:
    rig.live([heard("note b l a h", in_grammar=0.9999), heard("affirm")]).run(rig.room(2))
    (record,) = rig.store.records(only_visit(rig))
    assert record.content.model_dump() == {"kind": "note", "text": "as heard", "checked": False}
    assert len(rig.store.clips(record.entry_id)) == 1


def test_while_it_speaks_it_does_not_listen(rig: Rig) -> None:
    room = rig.room(1)
    rig.live([heard(BASELINE)], deaf=True).run(room)
    assert room.dropped >= 2


def test_stop_ends_the_visit_between_two_blocks(rig: Rig) -> None:
    live = rig.live([heard(BASELINE)])
    room = rig.room(5)
    room.on_block = lambda number: live.keys.put("stop") if number == 20 else None
    live.run(room)
    assert rig.store.visits()[0].ended_at is not None
    assert rig.kinds() == ["ended"]


def test_keys_affirm_and_pause(rig: Rig) -> None:
    live = rig.live([heard(BASELINE), heard("gap trial pain three")])
    room = rig.room(2)
    after_first = (2 * RATE_HZ + len(rig.speech)) // BLOCK + 60
    pressed = {after_first: "affirm", after_first + 1: "pause"}

    def press(number: int) -> None:
        if number in pressed:
            live.keys.put(pressed[number])  # type: ignore[arg-type]

    room.on_block = press
    state = live.run(room)
    assert len(state.records) == 1
    assert rig.store.unconfirmed(only_visit(rig)) == ()


def test_a_key_before_anything_waits_for_a_yes_gives_no_tone(rig: Rig) -> None:
    live = rig.live([])
    live.keys.put("affirm")
    live.run(rig.room(0))
    assert rig.said == ["(ready)"]
