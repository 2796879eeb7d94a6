"""`voicelog desk`: a local page to look at visits and put records right."""

import sys
import threading
import webbrowser
from typing import Annotated

import typer

from voicelog.cli.options import DataFolder, Practitioner, house
from voicelog.cli.terminal import say
from voicelog.clock import here_and_now
from voicelog.grammar.table_texts import Handing


def desk(
    lock_after: Annotated[
        float,
        typer.Option(
            "--lock-after", help="Minutes without use until it locks.", min=0.05, metavar="MINUTES"
        ),
    ] = 10.0,
    browser: Annotated[
        bool, typer.Option("--browser/--no-browser", help="Open the browser, or only say where.")
    ] = True,
    practitioner: Practitioner = None,
    data: DataFolder = None,
) -> None:
    """Open the desk in the browser: correct, affirm, undo, hand over.

    It is served on this machine only, until Ctrl-C. The address works once; Enter gives a new one.

    Example: voicelog desk
    """
    # Whoever only dictates need not have the web server loaded.
    from voicelog.corrections.room import Room
    from voicelog.desk.app import make_app
    from voicelog.desk.door import Door
    from voicelog.desk.serve import Server

    built = house(data, practitioner)
    built.store().close()
    room = Room(built, here_and_now)
    door, text = Door(lock_after * 60), built.language.texts.tables.handing
    server = Server(make_app(room, door))
    threading.Thread(target=room.warm_up, daemon=True).start()
    try:
        _invite(server.address, door.new_token(), browser, text)
        for _ in sys.stdin:
            _invite(server.address, door.new_token(), browser, text)
        threading.Event().wait()
    except KeyboardInterrupt:
        say(text.desk_closed)
    finally:
        server.close()


def _invite(address: str, token: str, browser: bool, text: Handing) -> None:
    url = f"{address}/enter/{token}"
    say(text.desk_open)
    sys.stdout.write(f"{url}\n")
    sys.stdout.flush()
    if browser:
        webbrowser.open(url)
