"""What she sees from two metres away: one state, large, and the values that would be saved."""

import math
from types import TracebackType
from typing import Self

from pyfiglet import Figlet
from rich.align import Align
from rich.console import Console, Group, RenderableType
from rich.live import Live as Display
from rich.padding import Padding
from rich.panel import Panel
from rich.text import Text

from voicelog.audio.base import Block
from voicelog.audio.level import level_dbfs
from voicelog.dialogue.state import State
from voicelog.happenings import Happening
from voicelog.records.content import Trial

_QUIETEST_DBFS = -60.0
_METER_WIDTH = 30
_SOLID_LINES = 22
"""So many lines the screen must have for state, pain and range in letters five lines high."""

# State: the word that is shown large, and the colour behind it.
_LOOK = {
    "listening": ("listening", "white on grey23"),
    "speaking": ("hearing", "white on grey37"),
    "confirm": ("affirm ?", "black on yellow"),
    "asking": ("which ?", "white on dark_magenta"),
    "saved": ("saved", "white on dark_green"),
    "paused": ("paused", "black on grey70"),
    "closing": ("the end ?", "black on yellow"),
    "trouble": ("trouble", "white on red"),
    "ended": ("ended", "white on grey23"),
}
# What stays on the screen as the transcript of the visit: who, and the colour of the words.
_LINES = {
    "heard": ("you", "bold"),
    "said": ("voicelog", "cyan"),
    "saved": ("", "green"),
    "set aside": ("", "yellow"),
    "dropped": ("", "grey62"),
    "lost": ("", "red"),
    "gone": ("", "red"),
    "back": ("", "red"),
    "trouble": ("", "red"),
}
_FACTS = {
    "saved": "record saved",
    "set aside": "not affirmed, set aside",
    "dropped": "dropped",
    "lost": "sound was lost here",
    "back": "sound comes again; what was said in between was not heard",
}


class Screen:
    """The live display of one visit. A context manager; `watch` and `level` feed it."""

    def __init__(self, console: Console, client: str) -> None:
        self._console = console
        self._client = client
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
        who, style = _LINES[happening.kind]
        text = happening.text or _FACTS.get(happening.kind, "")
        if happening.kind == "saved":
            text = _FACTS["saved"]
        time = happening.at.astimezone().strftime("%H:%M:%S")
        line = Text.assemble((f"{time}  ", "grey62"), (f"{who:<9} ", "grey62"), (text, style))
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
        word, style = _LOOK[self._look()]
        width = self._console.width
        large = Text(_large(word, width - 4), style=style)
        head = Panel(Align.center(large), style=style, padding=(0, 1))
        return Group(head, *self._values(width), Text(self._said, style="bold"), self._foot())

    def _values(self, width: int) -> list[RenderableType]:
        draft = self._state.draft if self._state else None
        if draft is None or not isinstance(draft.entry.content, Trial):
            return []
        trial = draft.entry.content
        values = [f"pain {trial.pain}"] if trial.pain is not None else []
        if trial.angles:
            values.append("-".join(map(str, trial.angles)) + " deg")
        solid = self._console.height >= _SOLID_LINES
        if not solid:
            values = ["   ".join(values)] if values else []
        return [
            Padding(Align.center(Text(_large(value, width, solid), style="bold")), (solid, 0, 0, 0))
            for value in values
        ]

    def _foot(self) -> RenderableType:
        share = 1 - self._level_dbfs / _QUIETEST_DBFS
        bars = math.floor(share * _METER_WIDTH)
        saved = len(self._state.records) if self._state else 0
        aside = len(self._state.aside) if self._state else 0
        foot = Text(f"{self._client}   {saved} saved   ", style="grey62")
        if aside:
            foot.append(f"{aside} not affirmed   ", style="yellow")
        foot.append("▮" * bars, style="green" if share < 0.95 else "red")
        return foot.append("▯" * (_METER_WIDTH - bars), style="grey37")


def _large(text: str, width: int, solid: bool = True) -> str:
    """The text in solid letters five lines high, or in smaller ones where these are too wide."""
    for font in ("ansi_regular", "small")[not solid :]:
        drawn = Figlet(font=font, width=1000).renderText(text).rstrip("\n")
        lines = [line.rstrip() for line in drawn.splitlines() if line.strip()]
        if max(map(len, lines)) <= width:
            return "\n".join(lines)
    return text
