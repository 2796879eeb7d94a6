"""Fetching one large file: checked, and resumed after a break when the server can.

By the rules of HTTP for ranges (RFC 9110, sections 13.1.5, 14 and 15.5.17). The client is
`requests`: Vosk brings it along anyway, and its certificates work on every system, which those
of the standard library do not on all.
"""

import errno
import hashlib
import re
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

import requests

from voicelog.errors import RecogniserError

CONNECT_S, SILENCE_S = 10, 30
PIECE = 1 << 16


@dataclass(frozen=True, slots=True)
class Progress:
    """How far an installation is. `total_bytes` is None when the server doesn't say."""

    stage: Literal["downloading", "checking", "unpacking"]
    done_bytes: int
    total_bytes: int | None


Report = Callable[[Progress], None]


def download(url: str, sha256: str, part: Path, report: Report) -> None:
    """Fetch `url` into the file `part` and check it against its SHA-256 (hex digits).

    What an earlier try left in `part` is used when it is still of the same file. Raises
    RecogniserError; `part` then stays for the next try, unless its content is wrong.
    """
    if _digest(part) != sha256:
        _fetch(url, part, report)
    size = part.stat().st_size
    report(Progress("checking", size, size))
    if _digest(part) != sha256:
        discard(part)
        raise RecogniserError(
            f"What came from {url} is not the file that was expected (its checksum differs)",
            kept="It was thrown away",
            do="Run the command again; if this stays, the network sends something else instead,"
            " such as a page to log in on, or the file on the server has changed",
        )


def discard(part: Path) -> None:
    """Remove an unfinished download and what is known about it."""
    part.unlink(missing_ok=True)
    _validator_file(part).unlink(missing_ok=True)


@contextmanager
def disk_trouble(place: Path) -> Iterator[None]:
    """Turn trouble with the disk into a RecogniserError that says what to do."""
    try:
        yield
    except requests.RequestException:  # an OSError too, but none of the disk
        raise
    except OSError as error:
        full = error.errno in (errno.ENOSPC, errno.EDQUOT)
        raise RecogniserError(
            "The disk is full" if full else f"{place} cannot be written ({error.strerror})",
            kept="What was downloaded so far is kept",
            do=f"{'Free some space' if full else 'Allow writing there'} and run the command again",
        ) from error


def _fetch(url: str, part: Path, report: Report) -> None:
    with _network_trouble(url, part), _answer(url, part) as answer:
        resumed = answer.status_code == requests.codes.partial_content
        done = part.stat().st_size if resumed else 0
        length = answer.headers.get("Content-Length", "")
        total = done + int(length) if length.isdecimal() else None
        with disk_trouble(part), part.open("ab" if resumed else "wb") as file:
            if not resumed:
                _validator_file(part).write_text(_validator(answer), "utf-8")
            report(Progress("downloading", done, total))
            for piece in answer.iter_content(PIECE):
                file.write(piece)
                done += len(piece)
                report(Progress("downloading", done, total))


def _answer(url: str, part: Path) -> requests.Response:
    """Ask for the rest of the file, or for all of it when the rest can't be had."""
    wanted = _resume_headers(part)
    answer = _ask(url, wanted)
    if wanted and not _continues(answer, part):
        answer.close()
        discard(part)
        wanted = {}
        answer = _ask(url, wanted)
    whole_or_rest = (requests.codes.ok, *([requests.codes.partial_content] if wanted else []))
    if answer.status_code not in whole_or_rest:
        answer.close()
        raise RecogniserError(
            f"The server answered {answer.status_code} {answer.reason} for {url}",
            kept="Nothing was changed",
            do="Try again later; if this stays, the file has moved",
        )
    return answer


def _ask(url: str, headers: dict[str, str]) -> requests.Response:
    identity = {"Accept-Encoding": "identity"}
    return requests.get(
        url, headers=identity | headers, stream=True, timeout=(CONNECT_S, SILENCE_S)
    )


def _continues(answer: requests.Response, part: Path) -> bool:
    """Whether the answer can be used beside what is there: the whole file, or exactly the rest."""
    if answer.status_code == requests.codes.partial_content:
        place = re.match(r"bytes (\d+)-", answer.headers.get("Content-Range", ""))
        return place is not None and int(place[1]) == part.stat().st_size
    return answer.status_code != requests.codes.requested_range_not_satisfiable


def _resume_headers(part: Path) -> dict[str, str]:
    known = _validator_file(part)
    validator = known.read_text("utf-8") if known.exists() else ""
    done = part.stat().st_size if part.exists() else 0
    return {"Range": f"bytes={done}-", "If-Range": validator} if done and validator else {}


def _validator(answer: requests.Response) -> str:
    """What tells this version of the file from another; a weak ETag can't (section 13.1.5)."""
    etag = answer.headers.get("ETag", "")
    return etag if etag.startswith('"') else answer.headers.get("Last-Modified", "")


def _validator_file(part: Path) -> Path:
    return part.with_name(part.name + ".validator")


def _digest(file: Path) -> str:
    if not file.exists():
        return ""
    with file.open("rb") as content:
        return hashlib.file_digest(content, "sha256").hexdigest()


@contextmanager
def _network_trouble(url: str, part: Path) -> Iterator[None]:
    try:
        yield
    except requests.RequestException as error:
        done = part.stat().st_size if part.exists() else 0
        if done:
            raise RecogniserError(
                "The download broke off",
                kept=f"{done / 1e6:.1f} MB of it are kept",
                do="Run the same command again: it goes on from there when the server can",
            ) from error
        untrusted = isinstance(error, requests.exceptions.SSLError)
        raise RecogniserError(
            f"{url} could not be reached"
            + (": what answers there cannot show that it is that server" if untrusted else ""),
            kept="Nothing was changed",
            do="Check the clock of this machine, and ask who looks after the network whether it"
            " looks into secure connections"
            if untrusted
            else "Check the network and run the command again",
        ) from error
