"""`voicelog listen`: record a visit live."""

import signal
import sys
import threading
from collections.abc import Mapping
from pathlib import Path
from types import FrameType
from typing import Annotated

import typer

from voicelog.audio.base import Source
from voicelog.audio.sound_file import SoundFile, length_s
from voicelog.cli.ending import (
    SIGNALS,
    leave,
    let_terminal_go,
    terminal_as_it_was,
    when_told_to_end,
)
from voicelog.cli.options import DataFolder, Engine, Practitioner, client_code, house
from voicelog.cli.removal import remove_old_sound
from voicelog.cli.session import Session, Way
from voicelog.cli.terminal import say
from voicelog.clock import WallClock, here_and_now, of_recording
from voicelog.errors import AudioError, RecogniserError, VoicelogError
from voicelog.listening.live import Live
from voicelog.listening.presses import Key
from voicelog.safety_screen import check_before_trials
from voicelog.settings.fields import Settings
from voicelog.store.base import Store
from voicelog.visits import began_later
from voicelog.wiring import House

KEYS: dict[str, Key] = {
    "\r": "affirm",
    "\n": "affirm",
    " ": "affirm",
    "\x7f": "negative",
    "\x08": "negative",
    "n": "negative",
    "p": "pause",
}
"""Enter or space is a yes, backspace or n a no, p pauses and goes on. A foot switch types a key,
one of these or that of the settings."""


def keys_of(settings: Settings) -> dict[str, Key]:
    """What each key means, as a terminal hands it over; the foot switch goes first."""
    import readchar

    name = settings.foot_switch_key
    if not name:
        return KEYS
    typed = name if len(name) == 1 else getattr(readchar.key, name.upper().replace(" ", "_"))
    return {**KEYS, typed: settings.foot_switch_does}


def listen(
    client: Annotated[str, typer.Option("--client", help="The practice's code for the client.")],
    audio: Annotated[
        Path | None,
        typer.Option(
            "--audio", help="A WAV or FLAC file in place of the microphone.", metavar="FILE"
        ),
    ] = None,
    device: Annotated[
        str | None, typer.Option("--device", help="Microphone: number, or words of its name.")
    ] = None,
    events: Annotated[
        bool, typer.Option("--events", help="Print one JSON object a line instead of the screen.")
    ] = False,
    silent: Annotated[
        bool, typer.Option("--silent", help="Show what would be said instead of saying it.")
    ] = False,
    new_visit: Annotated[
        bool, typer.Option("--new-visit", help="Do not take up a visit that broke off.")
    ] = False,
    screen_later: Annotated[
        bool,
        typer.Option(
            "--screen-later", help="Go on without a whole safety screen; the note says so."
        ),
    ] = False,
    engine: Engine = None,
    practitioner: Practitioner = None,
    data: DataFolder = None,
) -> None:
    """Record a visit: dictate a result, hear it read back, say affirm.

    Enter or space affirms, backspace is negative, p pauses, Ctrl-C ends the visit.
    With --audio the recording answers, and of these keys only Ctrl-C counts.

    Example: voicelog listen --client C-014
    """
    code = client_code(client)
    built = house(data, practitioner)
    if audio is not None:
        clock = of_recording(length_s(audio))
        source: Source = SoundFile(audio)
        way = Way(clock, None, events, new_visit, engine)
    else:
        source = built.microphone(int(device) if device and device.isdigit() else device)
        voice = None if silent or not built.settings.spoken else built.voice()
        way = Way(WallClock(), voice, events, new_visit, engine)
    hearing = built.hearing_ahead(engine)
    if built.settings.keep_audio:
        remove_old_sound(built, built.settings.keep_audio)
    store = built.store()
    try:
        store.glance()  # a visit must not begin on records that are damaged
        _warn_of_the_clock(built, store)
        check_before_trials(built.screen(store, code), code, built.language, later=screen_later)
        session = Session(built, store, code, way, hearing)
        run_session(session, source, keys_of(built.settings) if audio is None else {})
        if not events:
            session.summary()
            say(session.kept_in(built.settings.store_file))
    finally:
        store.close()


def _warn_of_the_clock(built: House, store: Store) -> None:
    now = here_and_now()
    later = began_later(store, now)
    if later is not None:
        text, form = built.language.texts.listening.set_back, "%Y-%m-%d %H:%M"
        began = later.started_at.astimezone(now.tzinfo)
        told = text.format(now=f"{now:{form}}", visit=later.visit_id, began=f"{began:{form}}")
        say(told, style="yellow")


def run_session(session: Session, source: Source, keys: Mapping[str, Key]) -> None:
    """Run the session, with what keys mean.

    Ctrl-C ends the visit, and the system asking to end breaks it off; either between two writes,
    never inside one, and at once the second time.
    """
    live, told = session.live, list[int]()

    def stop(number: int, frame: FrameType | None) -> None:
        live.keys.put("stop")
        signal.signal(signal.SIGINT, signal.default_int_handler)

    def break_off(number: int, frame: FrameType | None) -> None:
        let_terminal_go()
        told.append(number)
        live.keys.put("break off")
        when_told_to_end(leave)

    before = {number: signal.getsignal(number) for number in (signal.SIGINT, *SIGNALS)}
    signal.signal(signal.SIGINT, stop)
    when_told_to_end(break_off)
    try:
        with terminal_as_it_was():
            if keys and sys.stdin.isatty():
                threading.Thread(target=_read_keys, args=(live, keys), daemon=True).start()
            session.run(source)
    except (AudioError, RecogniserError) as error:
        raise _with_what_was_kept(error, session) from error
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)
    if told or (session.unwatched and live.state.mode != "ended"):
        let_terminal_go()
        name = signal.Signals(told[0]).name if told else ""
        say(f"voicelog: {session.broke_off(name)}")
        sys.exit(128 + told[0] if told else 1)


def _read_keys(live: Live, keys: Mapping[str, Key]) -> None:
    import readchar

    while live.state.mode != "ended":
        try:
            key = readchar.readkey()
        except KeyboardInterrupt:
            live.keys.put("stop")
            return
        except Exception:  # each system has its own error for a terminal that was closed
            key = ""
        if not key:
            live.keys.put("break off")
            return
        if key in keys:
            live.keys.put(keys[key])


def _with_what_was_kept(error: VoicelogError, session: Session) -> VoicelogError:
    parts = (error.kept, session.what_was_kept())
    kind = type(error)
    return kind(error.what, kept=". ".join(part for part in parts if part), do=error.do)
