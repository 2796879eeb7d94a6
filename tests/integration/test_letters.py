"""No page breaks off at a letter that the system's own code page does not have, and what is piped
in is read in the letters it was written in."""

import io
import os
import subprocess
import sys
from pathlib import Path

import pytest

from voicelog.cli.letters import use_all_letters

ROOT = Path(__file__).parents[2]
PAGE = "12° → 16°, 무릎"


class _Screen(io.TextIOWrapper):
    def isatty(self) -> bool:
        return True


def _told(monkeypatch: pytest.MonkeyPatch, stream: io.TextIOWrapper) -> bytes:
    """What arrives where `stream` leads to, when the page goes to standard output."""
    with monkeypatch.context() as patched:
        patched.setattr(sys, "stdout", stream)
        use_all_letters()
        sys.stdout.write(PAGE)
        sys.stdout.flush()
    return stream.detach().getvalue()  # type: ignore[attr-defined,no-any-return]


@pytest.mark.parametrize("code_page", ["cp1252", "cp949", "ascii"])
def test_a_file_or_pipe_gets_utf_8(monkeypatch: pytest.MonkeyPatch, code_page: str) -> None:
    told = _told(monkeypatch, io.TextIOWrapper(io.BytesIO(), encoding=code_page))
    assert told.decode("utf-8") == PAGE


@pytest.mark.parametrize("code_page", ["cp1252", "cp949", "ascii", "utf-8"])
def test_a_terminal_gets_what_it_can_show(monkeypatch: pytest.MonkeyPatch, code_page: str) -> None:
    told = _told(monkeypatch, _Screen(io.BytesIO(), encoding=code_page))
    assert told == PAGE.encode(code_page, "replace")


@pytest.mark.parametrize("code_page", ["cp1252", "cp949", "ascii"])
@pytest.mark.parametrize("mark", [b"", b"\xef\xbb\xbf"], ids=["bare", "marked"])
def test_what_is_piped_in_is_read_as_utf_8(
    monkeypatch: pytest.MonkeyPatch, code_page: str, mark: bytes
) -> None:
    piped = io.TextIOWrapper(io.BytesIO(mark + PAGE.encode()), encoding=code_page)
    monkeypatch.setattr(sys, "stdin", piped)
    use_all_letters()
    assert sys.stdin.read() == PAGE


def test_what_is_piped_in_and_is_no_utf_8_breaks_nothing_off(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(b"12\xb0\nn\n")))
    use_all_letters()
    assert sys.stdin.read() == "12\N{REPLACEMENT CHARACTER}\nn\n"


def test_a_command_writes_its_whole_page_whatever_the_system_says(tmp_path: Path) -> None:
    own = {"HOME": str(tmp_path), "VOICELOG_LANGUAGE": "ko"}
    pages = [
        subprocess.run(
            [sys.executable, "-m", "voicelog", "phrases"], capture_output=True, cwd=ROOT,
            env=os.environ | own | {"PYTHONIOENCODING": code_page}, check=True,
        ).stdout
        for code_page in ("utf-8", "ascii")
    ]  # fmt: skip
    assert "발목" in pages[0].decode("utf-8")
    assert pages[0] == pages[1]


@pytest.mark.skipif(os.name != "posix", reason="a shell closes streams so")
@pytest.mark.parametrize("closed", ["<&-", ">&-", "2>&-", "<&- >&- 2>&-"])
def test_a_stream_that_was_closed_is_nobody_and_no_fault(tmp_path: Path, closed: str) -> None:
    noted = tmp_path / "numbers"
    code = (
        "import os, sys; from pathlib import Path;"
        "from voicelog.cli.letters import fill_closed_streams; fill_closed_streams();"
        "typed, _, _ = sys.stdin.read(), sys.stdout.write('a'), sys.stderr.write('b');"
        f"file = open({str(noted)!r}, 'w'); file.write(f'{{typed!r}} {{file.fileno() > 2}}')"
    )
    shell = f'exec "{sys.executable}" -c "{code}" {closed}'
    subprocess.run(["sh", "-c", shell], check=True, cwd=ROOT, stdin=subprocess.DEVNULL)
    assert noted.read_text() == "'' True"
