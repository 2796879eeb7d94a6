"""Runs every command with the internet forbidden, and looks for words and codes in what is left.

    python tests/reliability/offline.py [--short]

Where Linux allows it, the kernel kills this process and all it starts on the way to an internet
socket; everywhere, Python's own audit events tell of each attempt to connect, bind or look up a
name. Only `model install` may use the network; the desk serves this machine alone, and its address
is checked. Afterwards no log record and no file outside what was exported may hold the client's
code or words of the visit. Exits with 1 when something reached out, when a command was not tried,
or when a code or a word was found.
"""

import argparse
import importlib
import logging
import os
import sys
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path
from typing import Any

import platformdirs

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT))

from tests.reliability.faults import POSSIBLE, forbid_internet  # noqa: E402

CLIENT = "C-0147"
WORDS = ("dorsiflexion baseline twelve", "pain six", CLIENT)
VISIT = str(ROOT / "audio_fixtures" / "visit.flac")
NETWORK = {"socket.connect", "socket.bind", "socket.getaddrinfo", "socket.sendto", "urllib.Request"}
EXEMPT = {"model install"}
ELSEWHERE = {"desk"}
"""Tried through its server: the command itself waits for a person."""
SLOW = {"setup", "demo", "transcribe", "phrases", "words", "check"}
"""Left out of the short form."""


def lines(out: Path) -> list[list[str]]:
    """Every command, in an order in which each finds something to do."""
    o = str(out)
    practice = [
        ["settings"], ["settings", "--schema"], ["setup", "--audio", VISIT], ["devices"],
        ["model", "list"], ["demo", "--folder", f"{o}/demo"],
        ["listen", "--client", CLIENT, "--audio", VISIT, "--screen-later", "--events"],
        ["screen", CLIENT, "--show"], ["transcribe", "--json", VISIT],
        ["phrases"], ["phrases", "--form", "jsgf"], ["visits"], ["visits", CLIENT],
        ["compare"], ["progress", CLIENT], ["caseload"], ["review", "last"],
        ["scale", CLIENT, "change", "--rating", "3"], ["find", "ankle"], ["check"], ["licences"],
        ["sources"], ["changes"], ["enrol", "--list"], ["enrol", "--from", str(out)],
        ["enrol", "--forget"],
    ]  # fmt: skip
    formats = ["csv", "fhir", "home_sheet_html", "home_sheet_pdf", "html", "json", "jsonl"]
    paper = [
        ["export", "last", "--format", name, "-o", f"{o}/visit-{name}"]
        for name in (*formats, "markdown", "pdf")
    ]
    words = [
        ["words", "add", "drill", "sled drag", "--silent", "--anyway"], ["words", "list"],
        ["words", "edit", "drill", "sled drag", "--also", "drag the sled", "--silent", "--anyway"],
        ["words", "export", f"{o}/words.toml"], ["words", "import", f"{o}/words.toml"],
        ["words", "remove", "drill", "sled drag"],
    ]  # fmt: skip
    safe = [
        ["schema", "csv"], ["archive", CLIENT, "-o", f"{o}/all.zip", "--sound"],
        ["import", f"{o}/all.zip"], ["safe", "show"], ["safe", "lock"], ["safe", "passphrase"],
        ["safe", "recovery-key"], ["backup", f"{o}/copy.sqlite"], ["restore", f"{o}/copy.sqlite"],
        ["trail"], ["tidy", "--keep-audio", "30d", "--yes"], ["forget", CLIENT, "--yes"],
    ]  # fmt: skip
    return [*practice, *paper, *words, *safe]


@dataclass
class Watch:
    """What reached out, and what was logged."""

    attempts: list[str] = field(default_factory=list)
    logged: list[str] = field(default_factory=list)
    local: bool = False
    """Whether this machine's own address is allowed just now."""

    def audit(self, event: str, values: tuple[object, ...]) -> None:
        """Python tells of everything that it is about to do."""
        if event not in NETWORK or (self.local and _is_here(str(values))):
            return
        if event in ("socket.connect", "socket.bind") and isinstance(values[-1], str | bytes):
            return  # a socket between programs of this machine
        self.attempts.append(f"{event} {values[1:]}")

    def emit(self, record: logging.LogRecord) -> bool:
        """Any library may log."""
        self.logged.append(record.getMessage())
        return True


def _is_here(values: str) -> bool:
    """This machine's own address; and the one that the web server reads its default from."""
    return "127.0.0.1" in values or "('0.0.0.0'" in values


def run_all(out: Path, watch: Watch, leave_out: set[str]) -> list[str]:
    """Every command in this process; what went wrong in itself."""
    from typer.testing import CliRunner

    from voicelog.cli.app import app
    from voicelog.errors import VoicelogError

    wrong, runner = [], CliRunner()
    for line in lines(out):
        if line[0] in leave_out:
            continue
        result = runner.invoke(app, line, input="\n" * 20 if line[0] == "setup" else "")
        if result.exception and not isinstance(result.exception, VoicelogError | SystemExit):
            wrong.append(f"{' '.join(line)}: {result.exception!r}")
        if watch.attempts:
            wrong += [f"{' '.join(line)} reached out: {what}" for what in watch.attempts]
            watch.attempts.clear()
        if result.exit_code:
            said = [word for word in WORDS if word in result.stderr and word not in line]
            wrong += [f"{' '.join(line)} was refused with {word!r}" for word in said]
        state = "done" if result.exit_code == 0 else f"refused ({result.exit_code})"
        print(f"{state:12} voicelog {' '.join(line)}", flush=True)
    return wrong


def not_tried(out: Path) -> set[str]:
    """The commands that no line tries."""
    import typer

    from voicelog.cli.app import app

    def names(command: Any, before: str) -> Iterator[str]:
        inner = getattr(command, "commands", None)
        if inner is None:
            yield before
            return
        for name, each in inner.items():
            yield from names(each, f"{before} {name}".strip())

    known = set(names(typer.main.get_command(app), ""))
    tried = {" ".join(line[:n]) for line in lines(out) for n in (1, 2)}
    return known - tried - EXEMPT - ELSEWHERE


def desk_is_local(watch: Watch) -> list[str]:
    """The desk's own server binds this machine's address, and no other."""
    from voicelog.corrections.room import Room
    from voicelog.desk.app import make_app
    from voicelog.desk.door import Door
    from voicelog.desk.serve import Server
    from voicelog.settings.loading import load_settings
    from voicelog.wiring import House

    watch.local = True
    room = Room(House(load_settings()), lambda: datetime.now().astimezone())
    Server(make_app(room, Door(60.0))).close()
    watch.local = False
    return [f"the desk reached out: {what}" for what in watch.attempts]


def traces(home: Path, out: Path, watch: Watch) -> list[str]:
    """Logs and files that hold a code or words of the visit, besides what was exported."""
    found = [f"a log record holds {w!r}" for line in watch.logged for w in WORDS if w in line]
    for file in home.rglob("*"):
        if file.is_file() and out not in file.parents:
            content = file.read_bytes()
            found += [f"{file.name} holds {w!r}" for w in WORDS if w.encode() in content]
    return found


def main() -> int:
    """Run it; 1 when something reached out or was left behind."""
    parser = argparse.ArgumentParser(description="Every command without the internet.")
    parser.add_argument("--short", action="store_true", help="without the slow commands")
    leave_out = SLOW if parser.parse_args().short else set()
    cache = platformdirs.user_cache_path()  # compiled networks hold nothing of anybody
    with tempfile.TemporaryDirectory(prefix="offline-") as folder:
        home, out = Path(folder) / "home", Path(folder) / "out"
        (home / "tmp").mkdir(parents=True)
        out.mkdir()
        os.environ |= {
            "HOME": str(home), "XDG_CONFIG_HOME": str(home / ".config"),
            "XDG_DATA_HOME": str(home / ".data"), "XDG_CACHE_HOME": str(cache),
            "TMPDIR": str(home / "tmp"), "VOICELOG_PASSPHRASE": "made up for being offline",
            "VOICELOG_SETTINGS": str(home / "settings.toml"), "COLUMNS": "120",
        }  # fmt: skip
        tempfile.tempdir = None
        watch = Watch()
        handler = logging.Handler()
        handler.emit = watch.emit  # type: ignore[assignment]
        logging.basicConfig(level=logging.DEBUG, handlers=[handler])
        sys.addaudithook(watch.audit)
        wrong = desk_is_local(watch)
        # On import it binds a socket to this machine's own address, to see if there is IPv6.
        importlib.import_module("requests")
        watch.attempts.clear()
        if POSSIBLE:
            forbid_internet()
        wrong += run_all(out, watch, leave_out)
        wrong += [f"voicelog {name} was not tried" for name in not_tried(out)]
        wrong += traces(home, out, watch)
    print(f"{len(wrong)} wrong; {len(watch.logged)} log records looked through")
    for what in wrong:
        print(f"  {what}")
    return bool(wrong)


if __name__ == "__main__":
    sys.exit(main())
