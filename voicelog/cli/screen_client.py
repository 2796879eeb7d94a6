"""`voicelog screen`: the safety screen of a client, at the keyboard or by voice."""

from dataclasses import replace
from datetime import datetime
from pathlib import Path
from typing import Annotated

import typer
from rich.console import Console

from voicelog import safety_screen
from voicelog.analysis.tables import ScreenItem
from voicelog.audio.base import Source
from voicelog.cli.options import (
    ClientArgument,
    DataFolder,
    Engine,
    Practitioner,
    client_code,
    house,
    kept_store,
)
from voicelog.cli.screen_view import question_view, screen_view
from voicelog.clock import here_and_now
from voicelog.dialogue.prompts import say
from voicelog.dialogue.safety_screen import Asking, Question, Reply, reply
from voicelog.errors import SafetyError
from voicelog.grammar.language import LanguageData
from voicelog.records.screen import Clearance
from voicelog.safety_screen import Answers, Given, keep_answers
from voicelog.store.base import Store
from voicelog.telling.names import joint_name
from voicelog.telling.screen import question
from voicelog.wiring import House

_KEYS: dict[str, Reply] = {
    "y": "yes", "yes": "yes", "n": "no", "no": "no", "u": "unsure", "unsure": "unsure",
    "s": "skip", "skip": "skip", "b": "back", "back": "back", "q": "end", "end": "end",
    "": "again",
}  # fmt: skip


def screen(
    client: ClientArgument,
    show: Annotated[bool, typer.Option("--show", help="Only show what is on file.")] = False,
    clearance: Annotated[
        str | None,
        typer.Option(
            "--clearance",
            help="Put a doctor's clearance on file: its words, with its limits.",
            metavar="WORDS",
        ),
    ] = None,
    by: Annotated[
        str | None, typer.Option("--by", help="Who gave the clearance.", metavar="NAME")
    ] = None,
    on: Annotated[
        str | None,
        typer.Option("--on", help="The day it was given, not before the answer.", metavar="DATE"),
    ] = None,
    item: Annotated[
        list[str] | None,
        typer.Option("--item", help="A question it is for; default: all that wait for one."),
    ] = None,
    voice: Annotated[
        bool, typer.Option("--voice", help="Ask aloud; affirm is yes, negative is no.")
    ] = False,
    audio: Annotated[
        Path | None,
        typer.Option(
            "--audio", help="With --voice: a sound file in place of the microphone.", metavar="FILE"
        ),
    ] = None,
    engine: Engine = None,
    practitioner: Practitioner = None,
    data: DataFolder = None,
) -> None:
    """Ask the safety screen before the first trial of a client, or put a clearance on file.

    The screen supports your own judgement. It makes no diagnosis and clears nobody.

    Example: voicelog screen C-014
    """
    code = client_code(client, "CLIENT")
    built = house(data, practitioner)
    console = Console(highlight=False)
    given = _given(clearance, by, on, tuple(item or ()))
    if audio is not None and not voice:
        raise typer.BadParameter("a sound file needs --voice", param_hint="--audio")
    store = kept_store(built) if show else built.store()
    try:
        if given is not None:
            _say_clearance(console, _enter(built, store, code, given), built.language)
        elif not show:
            asking = _start(built)
            if voice:
                asked = _aloud(built, console, asking, audio, engine)
            else:
                asked = _at_the_keyboard(console, asking, code, built.tables.screen)
            _keep(built, store, code, asked)
        screen_view(console, code, built.screen(store, code), built.language)
    finally:
        store.close()


def _given(
    words: str | None, by: str | None, on: str | None, items: tuple[str, ...]
) -> Given | None:
    """The clearance as it was typed, or None. Raises typer.BadParameter when it is not whole."""
    if words is None:
        for value, option in ((by, "--by"), (on, "--on"), (items, "--item")):
            if value:
                raise typer.BadParameter("belongs to --clearance", param_hint=option)
        return None
    if by is None or not by.strip():
        raise typer.BadParameter("say who gave the clearance", param_hint="--by")
    if on is None:
        raise typer.BadParameter("say on which day it was given", param_hint="--on")
    try:
        day = datetime.strptime(on, "%Y-%m-%d").date()
    except ValueError:
        raise typer.BadParameter(
            f'"{on}" is no day; write year, month and day, such as 2026-03-01', param_hint="--on"
        ) from None
    return Given(by.strip(), day, words.strip(), items)


def _enter(built: House, store: Store, client: str, given: Given) -> Clearance:
    now, by = here_and_now(), built.settings.practitioner
    entered = safety_screen.clearance(built.screen(store, client), client, given, by, now)
    store.add_facts(entered)
    return entered


def _say_clearance(console: Console, kept: Clearance, language: LanguageData) -> None:
    who = {"by": kept.given_by, "entered_by": kept.entered_by}
    blanks = {**who, "day": kept.given_on.isoformat(), "items": ", ".join(kept.items)}
    console.print(language.texts.tables.screen.on_file.format(**blanks))


def _start(built: House) -> Asking:
    items = built.tables.screen
    return Asking(built.language, tuple(_question(i, built.language) for i in items))


def _question(item: ScreenItem, language: LanguageData) -> Question:
    words = question(item, language)
    return Question(item.id, words.ask, words.act, item.kind == "contraindication")


def _at_the_keyboard(
    console: Console, asking: Asking, client: str, items: tuple[ScreenItem, ...]
) -> Asking:
    text = asking.language.texts.tables.screen
    joints_too = text.joints.format(example=_example(asking.language))
    questions, no = text.questions.format(count=len(items)), say(asking.language, "screen_no")
    console.print(f"[bold]{text.title.format(client=client)}[/], {questions}")
    console.print(f"{text.keys}\n{joints_too}")
    sentence = asking.sentence
    try:
        while asking.stage not in ("kept", "left"):
            if asking.stage == "asking":
                question_view(console, items, asking.at, asking.language)
            else:
                console.print(f"\n{sentence}\n[dim]{text.keep}[/]")
            typed, _, rest = console.input("[bold]>[/] ").strip().lower().partition(" ")
            joints = _joints(asking, rest)
            if typed not in _KEYS or joints is None:
                if typed in _KEYS:
                    why = text.no_joint.format(typed=rest)
                    why = why if _takes_joints(asking) else text.no_joints
                    console.print(why, style="yellow", markup=False)
                told = f"{text.keys}\n{joints_too}" if rest else text.keys
                console.print(told, style="yellow")
                continue
            asking, said = reply(asking, _KEYS[typed], joints)
            sentence = said[-1] if said else sentence
            for echo in said[:-1]:
                console.print(echo, style="bold" if echo != no else "dim")
        console.print(sentence)
    except (EOFError, KeyboardInterrupt):
        console.print()
    return asking


def _example(language: LanguageData) -> str:
    """Two joints as they can be typed."""
    names = [joint_name(name, language) for name in ("knee", "hip") if name in language.joints]
    return ", ".join(names or [joint_name(next(iter(language.joints)), language)])


def _joints(asking: Asking, typed: str) -> tuple[str, ...] | None:
    """The joints named behind an answer; None where the question or the language has no such."""
    if not typed:
        return ()
    spoken = {
        said: name for name, j in asking.language.joints.items() for said in (name, *j.spoken)
    }
    named = [spoken.get(part.strip()) for part in typed.split(",")]
    if not _takes_joints(asking) or None in named:
        return None
    return tuple(dict.fromkeys(name for name in named if name is not None))


def _takes_joints(asking: Asking) -> bool:
    """Whether an answer to what is asked now can be about some joints only."""
    return asking.stage == "asking" and asking.questions[asking.at].of_joints


def _aloud(
    built: House, console: Console, asking: Asking, audio: Path | None, engine: str | None
) -> Asking:
    from voicelog.audio.endpointer import Endpointer
    from voicelog.audio.sound_file import SoundFile
    from voicelog.listening.screen_by_voice import ScreenByVoice
    from voicelog.speech.printed import PrintedVoice

    spoken = audio is None and built.settings.spoken
    voice = built.voice() if spoken else PrintedVoice(lambda text: console.print(text))
    source: Source = SoundFile(audio) if audio is not None else built.microphone()
    aloud = ScreenByVoice(
        built.hearing(engine),
        voice,
        Endpointer(),
        heard=lambda command: console.print(_heard(command, built.language), style="bold"),
        trouble=lambda error: console.print(str(error), style="bold red"),
        deaf=spoken,
    )
    try:
        return aloud.ask(asking, source)
    except KeyboardInterrupt:
        return replace(asking, answers=aloud.answers)


def _heard(command: str, language: LanguageData) -> str:
    return f"{language.texts.listening.you}: {language.commands[command][0]}"


def _keep(built: House, store: Store, client: str, asked: Asking) -> None:
    """Put affirmed answers on file. Raises SafetyError when the asking broke off."""
    if asked.stage == "kept":
        by = built.settings.practitioner
        answers = Answers(asked.answers, asked.joints)
        keep_answers(store, client, answers, by, here_and_now())
    elif asked.stage != "left":
        text = built.language.texts.tables.screen.broke_off
        what = text.what.format(count=len(asked.answers), total=len(asked.questions))
        again = text.do.format(command=f"voicelog screen {client}")
        raise SafetyError(what, kept=text.kept, do=again)
