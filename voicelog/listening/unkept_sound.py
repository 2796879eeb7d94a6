"""The sound of dictations on its way into the store."""

from voicelog.audio.base import Utterance
from voicelog.audio.clips import to_flac
from voicelog.records.entry import Entry, Evidence
from voicelog.store.base import Clip


class UnkeptSound:
    """Hands each utterance on with the entry that it led to, and holds it until the store has it,
    so that what could not be written at first is written with its sound later."""

    def __init__(self) -> None:
        self._in_hand: tuple[Evidence, Utterance] | None = None
        self._clips: dict[str, list[Clip]] = {}

    def hear(self, evidence: Evidence, utterance: Utterance) -> None:
        """An utterance, and the evidence that an entry which it leads to will carry."""
        self._in_hand = evidence, utterance

    def of(self, entry: Entry) -> list[Clip]:
        """The sound to write with this version."""
        clips = self._clips.setdefault(entry.entry_id, [])
        if self._in_hand is not None and entry.status == "unconfirmed":
            evidence, sound = self._in_hand
            if entry.evidence[-1] is evidence:  # one from before may be written only now
                clips.append(Clip(to_flac(sound.samples), evidence.text, sound.duration_s))
                self._in_hand = None
        return clips

    def kept(self, entry: Entry) -> None:
        """The store has the sound of this entry."""
        self._clips.pop(entry.entry_id, None)
