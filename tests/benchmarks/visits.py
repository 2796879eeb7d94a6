"""Whole visits: a simulated therapist dictates, affirms, corrects and talks with her client, in one
continuous recording, and the tool listens as `listen --audio` does.

    python tests/benchmarks/visits.py [--split tune|test] [--set NAME] [--visits N] [--misses]
                                       [--yes PHRASE]

The sentences are drawn from the language with a seed, the voices and seeds of `test` are those no
setting was tuned on. The therapist is simulated too: she affirms exactly when the read-back equals
what she meant, says the slot that is asked for, says "correction" and the right values, or else
"disregard" (`audio_fixtures/clinician.py`); `--yes` is how she affirms. Conditions: a quiet
room; room echo of 0.4 s with babble 20 dB below her; babble 10 dB below. Babble is made of the open
recordings when they lie in ../shared/speech (or the folder named by VOICELOG_SHARED), else of
synthetic voices. Shares in percent with their 95 % Wilson interval by statsmodels.
"""

import argparse
import contextlib
import io
import json
import sys
import tempfile
from collections import Counter
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from pathlib import Path

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT))

from audio_fixtures import scripts  # noqa: E402
from audio_fixtures.casting import SEEDS, Split, cast  # noqa: E402
from audio_fixtures.clinician import Item, Room, SimulatedVisit, Told  # noqa: E402
from audio_fixtures.manifest import Voice  # noqa: E402
from tests.benchmarks.sounding import CONDITIONS, babble_is_of, background, share  # noqa: E402
from voicelog.cli.session import Session, Way  # noqa: E402
from voicelog.recognisers.guarded import GuardedRecogniser  # noqa: E402
from voicelog.records.content import AnyContent  # noqa: E402
from voicelog.settings.fields import Settings  # noqa: E402
from voicelog.wiring import House  # noqa: E402

PAIRS: dict[Split, tuple[tuple[str, str], ...]] = {
    "tune": (("awb", "ked"), ("kal16", "awb"), ("ked", "kal16")),
    "test": (("slt", "joe"), ("heart", "rms"), ("hts", "joe"), ("rms", "heart"), ("joe", "slt")),
}
"""Who is therapist and who is client."""


@dataclass
class Outcome:
    """What came of one visit or of several."""

    told: Told = field(default_factory=Told)
    saved_right: int = 0
    saved_wrong: list[str] = field(default_factory=list)
    from_talk: list[str] = field(default_factory=list)
    saved_from_talk: int = 0

    def add(self, other: "Outcome") -> None:
        """Take in another visit."""
        self.told.records += other.told.records
        self.told.affirms += other.told.affirms
        self.told.lines += other.told.lines
        self.told.talk_s += other.told.talk_s
        self.saved_right += other.saved_right
        self.saved_wrong += other.saved_wrong
        self.from_talk += other.from_talk
        self.saved_from_talk += other.saved_from_talk


class _FromTalk(io.TextIOBase):
    """Reads the events as they are printed, and keeps what was proposed while they talked: the
    id of each entry and its values."""

    def __init__(self, visit: SimulatedVisit) -> None:
        self._visit = visit
        self.proposed: dict[str, str] = {}

    def write(self, text: str) -> int:
        event = json.loads(text)
        if self._visit.talking and event["event"] in ("proposed", "asked"):
            kept = {slot: value for slot, value in event["content"].items() if value}
            self.proposed.setdefault(event["entry_id"], str(kept))
        return len(text)


def run(
    script: list[Item], voices: tuple[Voice, Voice], room: Room, yes: str = "affirm"
) -> Outcome:
    """Listen to one visit, with a store of its own, and compare what it holds with the script."""
    with tempfile.TemporaryDirectory() as folder:
        house = House(Settings(data_folder=Path(folder)))
        visit = SimulatedVisit(script, voices, room, house.language, yes)
        began = datetime.now(UTC)
        way = Way(lambda s: began + timedelta(seconds=s), None, events=True)
        store = house.store()
        hearing = house.hearing_ahead()()
        session = Session(house, store, "C-014", way, lambda: hearing)
        out = Outcome(visit.told)
        talk = _FromTalk(visit)
        visit.listener = session.live
        with contextlib.redirect_stdout(talk):
            session.run(visit)
        out.from_talk = list(talk.proposed.values())
        wanted = Counter(_key(record.meant) for record in visit.told.records)
        for record in store.records(session.visit.visit_id):
            key = _key(record.content)
            if record.entry_id in talk.proposed:
                out.saved_from_talk += 1
            elif wanted[key]:
                wanted[key] -= 1
                out.saved_right += 1
            else:
                out.saved_wrong.append(key)
        store.close()
        # A worker of a pool waits for its children, and an engine heeds no request to end.
        if isinstance(hearing.recogniser, GuardedRecogniser):
            hearing.recogniser.close()
    return out


def _key(content: AnyContent) -> str:
    return content.model_dump_json(exclude_defaults=True)


def several(split: Split, condition: str, count: int, yes: str) -> Outcome:
    """The visits of a part under one condition, one after the other."""
    house, total = House(Settings()), Outcome()
    room = background(condition, seed=SEEDS[split])
    for number in range(count):
        script = scripts.visit(house.language, house.plausible, split, number)
        total.add(run(script, pair(split, number), room, yes))
    return total


def pair(split: Split, number: int) -> tuple[Voice, Voice]:
    """Therapist and client of a visit."""
    voices = {voice.name: voice for voice in cast(split)}
    there = [names for names in PAIRS[split] if set(names) <= voices.keys()]
    therapist, client = there[number % len(there)]
    return voices[therapist], voices[client]


def row(condition: str, out: Outcome) -> str:
    """One line of the table."""
    records = out.told.records
    first = Counter(record.first for record in records)
    total = len(records)
    return (
        f"| {condition} | {total} | {share(first['right'], total)} | {first['asked']} "
        f"| {first['wrong']} | {first['dropped']} | {share(out.saved_right, total)} "
        f"| {len(out.saved_wrong)} | {share(sum(out.told.affirms), len(out.told.affirms))} "
        f"| {out.told.lines} ({out.told.talk_s / 60:.1f}) | {len(out.from_talk)} "
        f"| {out.saved_from_talk} |"
    )


HEAD = (
    "| visits | dictated | right at once, % | asked back | wrong and proposed | dropped "
    "| saved right, % | saved wrong | affirmations that saved, % | lines of talk (minutes) "
    "| proposed from talk | saved from talk |\n|" + "---|" * 12
)


def misses(out: Outcome) -> str:
    """What was not right, word for word."""
    lines = [
        f"  {r.first}: {r.said} -> {r.heard or '-'}" for r in out.told.records if r.first != "right"
    ]
    lines += [f"  saved wrong: {text}" for text in out.saved_wrong]
    lines += [f"  from talk: {text}" for text in out.from_talk]
    return "\n".join(lines)


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description="Scores whole simulated visits.")
    parser.add_argument("--split", choices=("tune", "test"), default="test")
    parser.add_argument("--set", choices=tuple(CONDITIONS), action="append")
    parser.add_argument("--visits", type=int, default=3)
    forms = House(Settings()).language.commands["affirm"]
    parser.add_argument("--yes", choices=forms, default=forms[0])
    parser.add_argument("--misses", action="store_true", help="print what was not right")
    asked = parser.parse_args()
    print(f"Babble of {babble_is_of()}\n\n{HEAD}", flush=True)
    for condition in asked.set or CONDITIONS:
        out = several(asked.split, condition, asked.visits, asked.yes)
        print(row(condition, out), flush=True)
        if asked.misses:
            print(misses(out), flush=True)


if __name__ == "__main__":
    main()
