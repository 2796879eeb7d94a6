"""The installer against a server of our own that behaves as well or as badly as each test says.

What counts as a correct continuation is from RFC 9110 (HTTP Semantics): ranges in section 14,
If-Range in 13.1.5, status 416 in 15.5.17.
"""

import errno
import hashlib
import io
import shutil
import threading
import zipfile
from collections.abc import Iterator
from dataclasses import dataclass, field
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from typing import IO, Any, NamedTuple

import numpy as np
import pytest

from voicelog.errors import RecogniserError
from voicelog.recognisers.download import Progress
from voicelog.recognisers.vosk_models import SMALL_ENGLISH_SHA256, SMALL_ENGLISH_URL, VoskModels

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
HALF = len(MODEL) // 2


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
        self.send_response(206 if start else 200)
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
        self.send_header("Content-Length", str(length))
        self.end_headers()

    def log_message(self, format: str, *args: Any) -> None:  # noqa: A002 - as inherited
        """Say nothing."""


class Shop(NamedTuple):
    """The server's behaviour, and an installer pointed at it."""

    server: Behaviour
    models: VoskModels


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


def models_at(folder: Path, url: str, content: bytes = MODEL) -> VoskModels:
    return VoskModels(folder, url, hashlib.sha256(content).hexdigest())


class FullDisk(io.FileIO):
    """A file on a disk without space."""

    def write(self, _: Any) -> int:
        raise OSError(errno.ENOSPC, "No space left on device")


def quietly(_: Progress) -> None:
    """Report to nobody."""


def break_off(shop: Shop) -> int:
    """Leave a part of the download behind, and tell how many bytes."""
    shop.server.breaks_after = HALF
    with pytest.raises(RecogniserError, match="broke off"):
        shop.models.install(quietly)
    shop.server.breaks_after = None
    kept = (shop.models.folder / f"{NAME}.zip.part").stat().st_size
    assert 0 < kept <= HALF
    return kept


def left_over(models: VoskModels) -> list[str]:
    return sorted(place.name for place in models.folder.iterdir())


def test_the_official_model_has_an_encrypted_address_and_a_whole_checksum() -> None:
    assert SMALL_ENGLISH_URL.startswith("https://")
    assert len(bytes.fromhex(SMALL_ENGLISH_SHA256)) == hashlib.sha256().digest_size


def test_a_model_is_installed_whole_and_nothing_else_stays(shop: Shop) -> None:
    model = shop.models.install(quietly)
    assert (model.name, model.folder) == (NAME, shop.models.folder / NAME)
    assert model.size_bytes == len(LAYOUT) * len(NOISE)
    assert all((model.folder / name).read_bytes() == NOISE for name in LAYOUT)
    assert left_over(shop.models) == [NAME]
    assert shop.models.installed() == (model,)


def test_progress_tells_the_size_and_reaches_it_in_every_stage(shop: Shop) -> None:
    steps: list[Progress] = []
    shop.models.install(steps.append)
    assert list(dict.fromkeys(step.stage for step in steps)) == [
        "downloading",
        "checking",
        "unpacking",
    ]
    for stage, size in (("downloading", len(MODEL)), ("unpacking", len(LAYOUT) * len(NOISE))):
        done = [step.done_bytes for step in steps if step.stage == stage]
        assert done == sorted(done)
        assert (done[0], done[-1]) == (0, size)
        assert {step.total_bytes for step in steps if step.stage == stage} == {size}


def test_an_installed_model_is_not_fetched_again(shop: Shop) -> None:
    first = shop.models.install(quietly)
    assert shop.models.install(quietly) == first
    assert len(shop.server.asked) == 1


def test_a_broken_download_leaves_no_model_and_goes_on_where_it_stopped(shop: Shop) -> None:
    kept = break_off(shop)
    assert shop.models.installed() == ()
    steps: list[Progress] = []
    model = shop.models.install(steps.append)
    assert shop.server.asked[-1] == (f"bytes={kept}-", '"first"')
    assert steps[0] == Progress("downloading", kept, len(MODEL))
    assert (model.folder / LAYOUT[-1]).read_bytes() == NOISE
    assert left_over(shop.models) == [NAME]


def test_the_error_of_a_broken_download_says_what_is_kept_and_what_to_do(shop: Shop) -> None:
    shop.server.breaks_after = HALF
    with pytest.raises(RecogniserError) as caught:
        shop.models.install(quietly)
    kept = (shop.models.folder / f"{NAME}.zip.part").stat().st_size
    assert f"{kept / 1e6:.1f} MB" in caught.value.kept
    assert "again" in caught.value.do


def test_a_file_without_an_etag_is_resumed_by_its_date(shop: Shop) -> None:
    shop.server.etag = ""
    shop.server.last_modified = "Tue, 01 Dec 2020 10:00:00 GMT"
    kept = break_off(shop)
    shop.models.install(quietly)
    assert shop.server.asked[-1] == (f"bytes={kept}-", shop.server.last_modified)


@pytest.mark.parametrize("etag", ["", 'W/"weak"'], ids=["no version", "a weak version"])
def test_a_file_that_cannot_be_told_from_a_newer_one_is_fetched_anew(shop: Shop, etag: str) -> None:
    shop.server.etag = etag
    break_off(shop)
    shop.models.install(quietly)
    assert shop.server.asked[-1] == (None, None)


def test_a_changed_file_is_never_joined_to_the_old_half(shop: Shop) -> None:
    break_off(shop)
    newer = archive({f"{NAME}/{name}": NOISE[::-1] for name in LAYOUT})
    shop.server.content, shop.server.etag = newer, '"second"'
    models = models_at(shop.models.folder, shop.models.url, newer)
    model = models.install(quietly)
    assert all((model.folder / name).read_bytes() == NOISE[::-1] for name in LAYOUT)


def test_a_server_without_ranges_sends_all_of_it_again(shop: Shop) -> None:
    break_off(shop)
    shop.server.knows_ranges = False
    steps: list[Progress] = []
    shop.models.install(steps.append)
    assert steps[0] == Progress("downloading", 0, len(MODEL))


def test_the_rest_from_a_wrong_place_is_refused_and_all_is_fetched(shop: Shop) -> None:
    break_off(shop)
    shop.server.wrong_place = True
    model = shop.models.install(quietly)
    assert shop.server.asked[-1] == (None, None)
    assert (model.folder / LAYOUT[0]).read_bytes() == NOISE


def test_a_half_longer_than_the_file_is_dropped(shop: Shop) -> None:
    break_off(shop)
    part = shop.models.folder / f"{NAME}.zip.part"
    part.write_bytes(MODEL + b"more")
    shop.models.install(quietly)
    assert shop.server.asked[-1] == (None, None)


def test_a_complete_download_is_not_fetched_twice(shop: Shop) -> None:
    shop.models.folder.mkdir()
    (shop.models.folder / f"{NAME}.zip.part").write_bytes(MODEL)
    shop.models.install(quietly)
    assert shop.server.asked == []


def test_a_wrong_checksum_is_thrown_away_before_unpacking(shop: Shop) -> None:
    shop.server.content = MODEL[:-1] + b"x"
    stages: list[str] = []
    with pytest.raises(RecogniserError, match="checksum"):
        shop.models.install(lambda step: stages.append(step.stage))
    assert "unpacking" not in stages
    assert left_over(shop.models) == []


@pytest.mark.parametrize("status", [403, 404, 500, 503])
def test_a_refusal_names_the_status_and_keeps_the_half(shop: Shop, status: int) -> None:
    kept = break_off(shop)
    shop.server.status = status
    with pytest.raises(RecogniserError, match=f"answered {status}"):
        shop.models.install(quietly)
    assert (shop.models.folder / f"{NAME}.zip.part").stat().st_size == kept


def test_no_network_is_one_clear_error(shop: Shop, tmp_path: Path) -> None:
    with ThreadingHTTPServer(("127.0.0.1", 0), Handler) as closed:
        url = f"http://127.0.0.1:{closed.server_port}/{NAME}.zip"
    with pytest.raises(RecogniserError, match="could not be reached") as caught:
        models_at(tmp_path / "models", url).install(quietly)
    assert "network" in caught.value.do


@pytest.mark.parametrize("stage", ["downloading", "unpacking"])
def test_a_stop_by_key_leaves_no_half_model_and_the_next_try_succeeds(
    shop: Shop, stage: str
) -> None:
    def stop(step: Progress) -> None:
        if step.stage == stage and step.done_bytes > 0:
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        shop.models.install(stop)
    assert shop.models.installed() == ()
    assert left_over(shop.models) == [f"{NAME}.zip.part", f"{NAME}.zip.part.validator"]
    assert shop.models.install(quietly).name == NAME


def test_what_a_crash_left_half_unpacked_is_no_model_and_is_cleared(shop: Shop) -> None:
    half = shop.models.folder / f".{NAME}.unpacking" / NAME
    for name in LAYOUT:
        (half / name).parent.mkdir(parents=True, exist_ok=True)
        (half / name).write_bytes(b"old")
    assert shop.models.installed() == ()
    model = shop.models.install(quietly)
    assert (model.folder / LAYOUT[0]).read_bytes() == NOISE
    assert left_over(shop.models) == [NAME]


@pytest.mark.parametrize(
    "name",
    ["../outside", f"{NAME}/../../outside", "/outside", "C:\\outside", "C:outside", "a\\..\\..\\b"],
)
def test_an_archive_that_writes_elsewhere_is_refused_whole(shop: Shop, name: str) -> None:
    content = archive({f"{NAME}/{LAYOUT[0]}": NOISE, name: b"bad"})
    shop.server.content = content
    models = models_at(shop.models.folder, shop.models.url, content)
    with pytest.raises(RecogniserError, match="outside its own folder"):
        models.install(quietly)
    assert not any(place.is_dir() for place in models.folder.iterdir())
    assert not list(models.folder.parent.rglob("outside"))


@pytest.mark.parametrize(
    ("content", "complaint"),
    [
        (b"not a zip file", "not a sound zip"),
        (archive({f"{NAME}/README": b"hello"}), "not a complete Vosk model"),
        (archive({f"{NAME}/{name}": b"" for name in LAYOUT}), "not a complete Vosk model"),
    ],
    ids=["no archive", "no model", "empty files"],
)
def test_an_archive_without_a_model_installs_nothing(
    shop: Shop, content: bytes, complaint: str
) -> None:
    shop.server.content = content
    models = models_at(shop.models.folder, shop.models.url, content)
    with pytest.raises(RecogniserError, match=complaint):
        models.install(quietly)
    assert not any(place.is_dir() for place in models.folder.iterdir())


def test_too_little_space_for_unpacking_is_told_in_advance(
    shop: Shop, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(shutil, "disk_usage", lambda _: shutil._ntuple_diskusage(9, 8, 1))
    with pytest.raises(RecogniserError, match="the model needs 2 MB"):
        shop.models.install(quietly)
    assert not any(place.is_dir() for place in shop.models.folder.iterdir())


@pytest.mark.parametrize("full", ["download", "unpacking"])
def test_a_disk_that_fills_up_leaves_no_half_model(
    shop: Shop, monkeypatch: pytest.MonkeyPatch, full: str
) -> None:
    def no_space(*_: object) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    def open_full(path: Path, *mode: Any, **how: Any) -> IO[Any]:
        return FullDisk(path, *mode) if path.suffix == ".part" else open_before(path, *mode, **how)

    open_before = Path.open
    if full == "download":
        monkeypatch.setattr(Path, "open", open_full)
    else:
        monkeypatch.setattr(shutil, "copyfileobj", no_space)
    with pytest.raises(RecogniserError, match="disk is full") as caught:
        shop.models.install(quietly)
    assert "Free some space" in caught.value.do
    assert not any(place.is_dir() for place in shop.models.folder.iterdir())
    monkeypatch.undo()
    assert shop.models.install(quietly).name == NAME


def test_a_folder_that_cannot_be_made_is_named(shop: Shop, tmp_path: Path) -> None:
    (tmp_path / "file").write_text("in the way")
    models = models_at(tmp_path / "file" / "models", shop.models.url)
    with pytest.raises(RecogniserError, match="models cannot be written"):
        models.install(quietly)


def test_something_else_under_the_models_name_is_left_alone(shop: Shop) -> None:
    own = shop.models.folder / NAME / "own notes.txt"
    own.parent.mkdir(parents=True)
    own.write_text("keep")
    with pytest.raises(RecogniserError, match="in the way"):
        shop.models.install(quietly)
    assert own.read_text() == "keep"
    assert shop.server.asked == []


def test_a_model_is_found_by_name_or_by_folder(shop: Shop) -> None:
    model = shop.models.install(quietly)
    assert shop.models.find(NAME) == model
    assert shop.models.find(model.folder) == model


def test_a_name_that_is_not_installed_lists_those_that_are(shop: Shop) -> None:
    with pytest.raises(RecogniserError, match=r"\(none\)"):
        shop.models.find("vosk-model-other")
    shop.models.install(quietly)
    with pytest.raises(RecogniserError, match=NAME):
        shop.models.find("vosk-model-other")


def test_a_folder_that_is_no_model_names_what_it_lacks(shop: Shop, tmp_path: Path) -> None:
    with pytest.raises(RecogniserError, match=r"lacks am/final\.mdl"):
        shop.models.find(tmp_path)
