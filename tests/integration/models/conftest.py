"""A shop for speech models: a server of our own, and an installer pointed at it.

What counts as a correct continuation is from RFC 9110 (HTTP Semantics): ranges in section 14,
If-Range in 13.1.5, status 416 in 15.5.17.
"""

import hashlib
import io
import threading
import zipfile
from collections.abc import Iterator
from dataclasses import dataclass, field
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from voicelog.errors import RecogniserError
from voicelog.recognisers.vosk_models import VoskModels

NAME = "vosk-model-small-test-0.1"
LAYOUT = (
    "am/final.mdl",
    "conf/mfcc.conf",
    "conf/model.conf",
    "graph/HCLr.fst",
    "graph/Gr.fst",
    "graph/disambig_tid.int",
)
NOISE = np.random.default_rng(5).bytes(300_000)


def archive(names: dict[str, bytes]) -> bytes:
    file = io.BytesIO()
    with zipfile.ZipFile(file, "w") as content:
        for name, data in names.items():
            content.writestr(name, data)
    return file.getvalue()


MODEL = archive({f"{NAME}/{name}": NOISE for name in LAYOUT})


@dataclass
class Behaviour:
    """How the server answers, and what it was asked."""

    content: bytes = MODEL
    etag: str = '"first"'
    last_modified: str = ""
    status: int = 200
    knows_ranges: bool = True
    wrong_place: bool = False
    breaks_after: int | None = None
    length: str | None = None
    partial: bool = False
    asked: list[tuple[str | None, str | None]] = field(default_factory=list)


class Handler(BaseHTTPRequestHandler):
    """Serves one file by RFC 9110, unless told otherwise."""

    behaviour: Behaviour

    def do_GET(self) -> None:
        how = self.behaviour
        wanted, version = self.headers.get("Range"), self.headers.get("If-Range")
        how.asked.append((wanted, version))
        if how.status != 200:
            self.send_error(how.status)
            return
        same = version in (how.etag, how.last_modified)
        start = int(wanted[6:-1]) if wanted and same and how.knows_ranges else 0
        if start >= len(how.content):
            self.send_error(416)
            return
        body = how.content[start:]
        self.send_response(206 if start or how.partial else 200)
        if start:
            place = start + 1 if how.wrong_place else start
            self.send_header("Content-Range", f"bytes {place}-{len(how.content) - 1}/*")
        self._end_headers(len(body))
        self.wfile.write(body[: how.breaks_after])

    def _end_headers(self, length: int) -> None:
        how = self.behaviour
        named = {"ETag": how.etag, "Last-Modified": how.last_modified}
        for name, value in named.items():
            if value:
                self.send_header(name, value)
        self.send_header("Content-Length", how.length or str(length))
        self.end_headers()

    def log_message(self, format: str, *args: Any) -> None:  # noqa: A002 - as inherited
        """Say nothing."""


def models_at(folder: Path, url: str, content: bytes = MODEL) -> VoskModels:
    return VoskModels(folder, url, hashlib.sha256(content).hexdigest())


@dataclass(frozen=True)
class Shop:
    """The server's behaviour, an installer pointed at it, and the model it sells."""

    server: Behaviour
    models: VoskModels
    name = NAME
    layout = LAYOUT
    noise = NOISE
    whole = MODEL
    archive = staticmethod(archive)
    models_at = staticmethod(models_at)

    @property
    def part(self) -> Path:
        """Where the half of a broken download lies."""
        return self.models.folder / f"{NAME}.zip.part"

    @property
    def left_over(self) -> list[str]:
        return sorted(place.name for place in self.models.folder.iterdir())

    def break_off(self) -> int:
        """Leave a part of the download behind, and tell how many bytes."""
        self.server.breaks_after = len(MODEL) // 2
        with pytest.raises(RecogniserError, match="broke off"):
            self.models.install(lambda step: None)
        self.server.breaks_after = None
        kept = self.part.stat().st_size
        assert 0 < kept <= len(MODEL) // 2
        return kept


@pytest.fixture
def shop(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Shop]:
    monkeypatch.setenv("NO_PROXY", "127.0.0.1")
    behaviour = Behaviour()
    handler = type("ThisHandler", (Handler,), {"behaviour": behaviour})
    with ThreadingHTTPServer(("127.0.0.1", 0), handler) as server:
        thread = threading.Thread(target=server.serve_forever, args=(0.01,))
        thread.start()
        url = f"http://127.0.0.1:{server.server_port}/models/{NAME}.zip"
        yield Shop(behaviour, models_at(tmp_path / "models", url))
        server.shutdown()
        thread.join()
