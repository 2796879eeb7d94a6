"""Fetching a model: what is broken off goes on, and never joins another file (RFC 9110)."""

import subprocess
import sys
from contextlib import AbstractContextManager
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from typing import Any

import pytest
import requests

from voicelog.errors import RecogniserError
from voicelog.recognisers import one_install
from voicelog.recognisers.download import Progress


def quietly(_: Progress) -> None:
    """Report to nobody."""


def test_a_broken_download_leaves_no_model_and_goes_on_where_it_stopped(shop: Any) -> None:
    kept = shop.break_off()
    assert shop.models.installed() == ()
    steps: list[Progress] = []
    model = shop.models.install(steps.append)
    assert shop.server.asked[-1] == (f"bytes={kept}-", '"first"')
    assert steps[0] == Progress("downloading", kept, len(shop.whole))
    assert (model.folder / shop.layout[-1]).read_bytes() == shop.noise
    assert shop.left_over == [shop.name]


def test_the_error_of_a_broken_download_says_what_is_kept_and_what_to_do(shop: Any) -> None:
    shop.server.breaks_after = len(shop.whole) // 2
    with pytest.raises(RecogniserError) as caught:
        shop.models.install(quietly)
    kept = shop.part.stat().st_size
    assert f"{kept / 1e6:.1f} MB" in caught.value.kept
    assert "again" in caught.value.do


def test_a_file_without_an_etag_is_resumed_by_its_date(shop: Any) -> None:
    shop.server.etag = ""
    shop.server.last_modified = "Tue, 01 Dec 2020 10:00:00 GMT"
    kept = shop.break_off()
    shop.models.install(quietly)
    assert shop.server.asked[-1] == (f"bytes={kept}-", shop.server.last_modified)


@pytest.mark.parametrize("etag", ["", 'W/"weak"'], ids=["no version", "a weak version"])
def test_a_file_that_cannot_be_told_from_a_newer_one_is_fetched_anew(shop: Any, etag: str) -> None:
    shop.server.etag = etag
    shop.break_off()
    shop.models.install(quietly)
    assert shop.server.asked[-1] == (None, None)


def test_a_changed_file_is_never_joined_to_the_old_half(shop: Any) -> None:
    shop.break_off()
    newer = shop.archive({f"{shop.name}/{name}": shop.noise[::-1] for name in shop.layout})
    shop.server.content, shop.server.etag = newer, '"second"'
    models = shop.models_at(shop.models.folder, shop.models.url, newer)
    model = models.install(quietly)
    assert all((model.folder / name).read_bytes() == shop.noise[::-1] for name in shop.layout)


def test_a_server_without_ranges_sends_all_of_it_again(shop: Any) -> None:
    shop.break_off()
    shop.server.knows_ranges = False
    steps: list[Progress] = []
    shop.models.install(steps.append)
    assert steps[0] == Progress("downloading", 0, len(shop.whole))


def test_the_rest_from_a_wrong_place_is_refused_and_all_is_fetched(shop: Any) -> None:
    shop.break_off()
    shop.server.wrong_place = True
    model = shop.models.install(quietly)
    assert shop.server.asked[-1] == (None, None)
    assert (model.folder / shop.layout[0]).read_bytes() == shop.noise


def test_a_half_longer_than_the_file_is_dropped(shop: Any) -> None:
    shop.break_off()
    part = shop.part
    part.write_bytes(shop.whole + b"more")
    shop.models.install(quietly)
    assert shop.server.asked[-1] == (None, None)


def test_a_complete_download_is_not_fetched_twice(shop: Any) -> None:
    shop.models.folder.mkdir()
    shop.part.write_bytes(shop.whole)
    shop.models.install(quietly)
    assert shop.server.asked == []


def test_a_wrong_checksum_is_thrown_away_before_unpacking(shop: Any) -> None:
    shop.server.content = shop.whole[:-1] + b"x"
    stages: list[str] = []
    with pytest.raises(RecogniserError, match="checksum"):
        shop.models.install(lambda step: stages.append(step.stage))
    assert "unpacking" not in stages
    assert shop.left_over == []


@pytest.mark.parametrize("status", [403, 404, 500, 503])
def test_a_refusal_names_the_status_and_keeps_the_half(shop: Any, status: int) -> None:
    kept = shop.break_off()
    shop.server.status = status
    with pytest.raises(RecogniserError, match=f"answered {status}"):
        shop.models.install(quietly)
    assert shop.part.stat().st_size == kept


def test_no_network_is_one_clear_error(shop: Any, tmp_path: Path) -> None:
    with ThreadingHTTPServer(("127.0.0.1", 0), BaseHTTPRequestHandler) as closed:
        url = f"http://127.0.0.1:{closed.server_port}/{shop.name}.zip"
    with pytest.raises(RecogniserError, match="could not be reached") as caught:
        shop.models_at(tmp_path / "models", url).install(quietly)
    assert "network" in caught.value.do


@pytest.mark.parametrize("length", ["abc", "-5", "1e9"])
def test_a_length_that_is_none_is_not_counted_on(shop: Any, length: str) -> None:
    shop.server.length = length
    steps: list[Progress] = []
    shop.models.install(steps.append)
    assert steps[0] == Progress("downloading", 0, None)


def test_a_part_that_nobody_asked_for_is_refused(shop: Any) -> None:
    shop.server.partial = True
    with pytest.raises(RecogniserError, match="answered 206"):
        shop.models.install(quietly)
    assert shop.left_over == []


def test_a_page_to_log_in_on_is_thought_of_where_something_else_came(shop: Any) -> None:
    shop.server.content = b"<html>Log in to the network of the clinic</html>"
    with pytest.raises(RecogniserError, match="checksum") as caught:
        shop.models.install(quietly)
    assert "a page to log in on" in caught.value.do


def test_a_server_that_cannot_show_who_it_is_is_told_apart_from_none(
    shop: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    def untrusted(*_: object, **__: object) -> None:
        raise requests.exceptions.SSLError("certificate is not yet valid")

    monkeypatch.setattr(requests, "get", untrusted)
    with pytest.raises(RecogniserError, match="cannot show that it is that server") as caught:
        shop.models.install(quietly)
    assert "clock" in caught.value.do


def test_a_second_run_is_told_of_the_first_and_spoils_nothing(shop: Any) -> None:
    other = shop.models_at(shop.models.folder, shop.models.url)

    def second(step: Progress) -> None:
        with pytest.raises(RecogniserError, match="Another installation is at work") as caught:
            other.install(quietly)
        assert "left alone" in caught.value.kept

    assert (shop.models.install(second).folder / shop.layout[-1]).read_bytes() == shop.noise
    assert shop.server.asked == [(None, None)]
    assert shop.left_over == [shop.name]
    assert other.install(quietly).name == shop.name


def test_a_run_that_was_killed_keeps_nobody_out(shop: Any) -> None:
    shop.models.folder.mkdir()
    hold = (
        "import sys, time; from pathlib import Path;"
        "from voicelog.recognisers.one_install import only_install\n"
        "with only_install(Path(sys.argv[1])): print('held', flush=True); time.sleep(60)"
    )
    asked = [sys.executable, "-c", hold, str(shop.models.folder)]
    with subprocess.Popen(asked, stdout=subprocess.PIPE, text=True) as other:
        assert other.stdout is not None
        assert other.stdout.readline() == "held\n"
        with pytest.raises(RecogniserError, match="Another installation"):
            shop.models.install(quietly)
        assert shop.server.asked == []
        other.kill()
    assert shop.models.install(quietly).name == shop.name
    assert shop.left_over == [shop.name]


def test_what_another_run_installed_a_moment_before_is_as_good(
    shop: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    other = shop.models_at(shop.models.folder, shop.models.url)

    def overtaken(folder: Path) -> AbstractContextManager[None]:
        monkeypatch.undo()
        monkeypatch.setenv("NO_PROXY", "127.0.0.1")
        other.install(quietly)
        return one_install.only_install(folder)

    monkeypatch.setattr(one_install, "only_install", overtaken)
    assert shop.models.install(quietly).name == shop.name
    assert len(shop.server.asked) == 1
