"""Fetching a model is told to end, or killed, at each of its stages: a real process, real signals.

Exit codes of a signal: POSIX, Shell Command Language, 2.8.2; the rest of a file is asked for by RFC
9110, section 14.
"""

import os
import signal
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

if sys.platform == "win32":
    pytest.skip("needs signals of POSIX", allow_module_level=True)

# The command itself; only the address is another, and the signal comes from within, so that it
# comes in the middle of the stage.
INSTALL = """
import os, sys
from voicelog.cli import main
from voicelog.recognisers.vosk_models import VoskModels
url, sha256, stage, number = sys.argv[1:]
install = VoskModels.install

def until(self, report):
    def then(step):
        report(step)
        if step.stage == stage and step.done_bytes > 100_000:
            os.kill(os.getpid(), int(number))
    return install(VoskModels(self.folder, url, sha256), then)

VoskModels.install = until
sys.argv = ["voicelog", "model", "install"]
main()
"""


@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGINT, signal.SIGKILL])
@pytest.mark.parametrize("stage", ["downloading", "checking", "unpacking"])
def test_a_model_half_fetched_is_none_and_the_next_try_goes_on(
    shop: Any, tmp_path: Path, stage: str, number: signal.Signals
) -> None:
    data = shop.models.folder.parent
    own = {
        "HOME": str(tmp_path),
        "XDG_CONFIG_HOME": str(tmp_path / ".config"),
        "VOICELOG_DATA_FOLDER": str(data),
    }
    asked = (shop.models.url, shop.models.sha256, stage, str(int(number)))
    done = subprocess.run(
        [sys.executable, "-c", INSTALL, *asked],
        capture_output=True, text=True, stdin=subprocess.DEVNULL, env=os.environ | own, check=False,
    )  # fmt: skip
    killed = number == signal.SIGKILL
    assert done.returncode == (-number if killed else 128 + number), done.stderr
    assert "Traceback" not in done.stderr
    assert shop.models.installed() == ()
    assert shop.part.stat().st_size == len(shop.whole) or stage == "downloading"
    unpacked = [f".{shop.name}.unpacking"] if killed and stage == "unpacking" else []
    assert shop.left_over == [*unpacked, shop.part.name, f"{shop.part.name}.validator"]

    kept = shop.part.stat().st_size
    model = shop.models.install(lambda step: None)
    rest = (f"bytes={kept}-", '"first"')
    assert (shop.server.asked[-1] == rest) is (stage == "downloading")
    assert (model.folder / shop.layout[-1]).read_bytes() == shop.noise
    assert shop.left_over == [shop.name]
