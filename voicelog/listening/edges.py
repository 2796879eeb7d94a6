"""What one visit works with: an engine, a store, a voice, a clock, and who watches."""

from collections.abc import Callable
from dataclasses import dataclass

from voicelog.audio.base import Block
from voicelog.clock import Clock
from voicelog.dialogue.state import State
from voicelog.grammar.posterior import Prior
from voicelog.listening.happenings import Happening
from voicelog.listening.hearing import Hearing
from voicelog.records.entry import Entry
from voicelog.speech.base import Voice
from voicelog.store.base import Store


@dataclass(slots=True)
class Edges:
    """What the loop works with.

    `remark` says in a short sentence what a saved record changes, or nothing. `prior` says what is
    known before the next utterance. `deaf` is true when what the tool says can reach the
    microphone.
    """

    hearing: Hearing
    store: Store
    voice: Voice
    clock: Clock
    watch: Callable[[Happening], None] = lambda happening: None
    level: Callable[[Block, State, bool], None] = lambda block, state, speaking: None
    remark: Callable[[State, Entry], str] = lambda state, entry: ""
    prior: Callable[[State], Prior] = lambda state: Prior()
    deaf: bool = True
