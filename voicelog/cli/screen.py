"""What she sees from two metres away: one state, large, and the values that would be saved."""

import math
from types import TracebackType
from typing import Self

from rich.align import Align
from rich.cells import set_cell_size
from rich.console import Console, Group, RenderableType
from rich.live import Live as Display
from rich.padding import Padding
from rich.panel import Panel
from rich.text import Text

from voicelog.audio.base import Block
from voicelog.audio.level import level_dbfs
from voicelog.cli.large import large
from voicelog.dialogue.state import State
from voicelog.grammar.listening_texts import ListeningTexts
from voicelog.listening.happenings import Happening
from voicelog.records.content import Trial

_QUIETEST_DBFS = -60.0
_METER_WIDTH = 30
_SOLID_LINES = 22
"""So many lines the screen must have for state, pain and range in letters five lines high."""

# The colour of each state and the colour behind it.
_LOOK = {
    "listening": "white on grey23",
    "speaking": "white on grey37",
    "confirm": "black on yellow",
    "asking": "white on dark_magenta",
    "saved": "white on dark_green",
    "paused": "black on grey70",
    "closing": "black on yellow",
    "trouble": "white on red",
    "ended": "white on grey23",
}
# What stays on the screen as the transcript of the visit, and the colour of the words.
_LINES = {
    "heard": "bold",
    "said": "cyan",
    "saved": "green",
    "set aside": "yellow",
    "dropped": "grey62",
    "lost": "red",
    "gone": "red",
    "back": "red",
    "trouble": "red",
}


class Screen:
    """The live display of one visit. A context manager; `watch` and `level` feed it."""

    def __init__(self, console: Console, client: str, text: ListeningTexts) -> None:
        self._console = console
        self._client = client
        self._text = text
        self._state: State | None = None
        self._speaking = False
        self._level_dbfs = _QUIETEST_DBFS
        self._flash = ""
        self._said = ""
        self._display = Display(
            console=console, refresh_per_second=8, transient=True, get_renderable=self.render
        )

    def __enter__(self) -> Self:
        self._display.start()
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self._display.stop()

    def watch(self, happening: Happening) -> None:
        """Show one thing that happened."""
        if happening.kind == "said":
            self._said = happening.text
        if happening.kind in ("saved", "trouble", "ended"):
            self._flash = happening.kind
        elif happening.kind == "gone":
            self._flash = "trouble"
        elif happening.kind in ("heard", "proposed", "asked", "back"):
            self._flash = ""
        if happening.kind in _LINES:
            self._print(happening)

    def level(self, block: Block, state: State, speaking: bool) -> None:
        """Show how loud it is and where the dialogue stands."""
        loud = max(_QUIETEST_DBFS, level_dbfs(block.samples))
        self._level_dbfs = max(loud, self._level_dbfs - 1.5)
        self._state, self._speaking = state, speaking

    def _print(self, happening: Happening) -> None:
        kind, facts = happening.kind, self._text.facts
        text = facts["saved"] if kind == "saved" else happening.text or facts.get(kind, "")
        who = set_cell_size({"heard": self._text.you, "said": "voicelog"}.get(kind, ""), 9)
        time = happening.at.strftime("%H:%M:%S")
        line = Text.assemble((f"{time}  ", "grey62"), (f"{who} ", "grey62"), (text, _LINES[kind]))
        self._console.print(line)

    def _look(self) -> str:
        state = self._state
        if self._flash:
            return self._flash
        if state is None:
            return "listening"
        if state.mode in ("paused", "closing", "ended"):
            return state.mode
        if state.draft is not None:
            return "confirm" if state.draft.asked is None else "asking"
        return "speaking" if self._speaking else "listening"

    def render(self) -> RenderableType:
        """What stands on the screen now, under the transcript."""
        look, width = self._look(), self._console.width
        style, word = _LOOK[look], self._text.states[look]
        state = Text(large(word, width - 4), style=style)
        head = Panel(Align.center(state), style=style, padding=(0, 1))
        return Group(head, *self._values(width), Text(self._said, style="bold"), self._foot())

    def _values(self, width: int) -> list[RenderableType]:
        draft = self._state.draft if self._state else None
        if draft is None or not isinstance(draft.entry.content, Trial):
            return []
        trial = draft.entry.content
        values = [] if trial.pain is None else [self._text.pain.format(pain=trial.pain)]
        if trial.angles:
            values.append(self._text.range.format(degrees="-".join(map(str, trial.angles))))
        solid = self._console.height >= _SOLID_LINES
        if not solid:
            values = ["   ".join(values)] if values else []
        return [
            Padding(Align.center(Text(large(value, width, solid), style="bold")), (solid, 0, 0, 0))
            for value in values
        ]

    def _foot(self) -> RenderableType:
        share = 1 - self._level_dbfs / _QUIETEST_DBFS
        bars = math.floor(share * _METER_WIDTH)
        saved = len(self._state.records) if self._state else 0
        aside = len(self._state.aside) if self._state else 0
        foot = Text(f"{self._client}   {self._text.saved.format(count=saved)}   ", style="grey62")
        if aside:
            foot.append(f"{self._text.aside.format(count=aside)}   ", style="yellow")
        foot.append("▮" * bars, style="green" if share < 0.95 else "red")
        return foot.append("▯" * (_METER_WIDTH - bars), style="grey37")
