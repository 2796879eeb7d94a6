"""The browser in which pages are looked at."""

import shutil
from collections.abc import Iterator
from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    from playwright.sync_api import Browser

FLAGS = (
    "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
    "--disable-background-networking", "--disable-component-update", "--disable-sync",
    "--autoplay-policy=no-user-gesture-required",
)  # fmt: skip


@pytest.fixture(scope="module")
def chromium() -> Iterator["Browser"]:
    """A real browser, or a reason why there is none."""
    api = pytest.importorskip("playwright.sync_api", reason="the extra browser is not installed")
    found = next(filter(None, map(shutil.which, ("chromium", "chromium-browser"))), None)
    if found is None:
        pytest.skip("there is no Chromium on this machine")
    with api.sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=found, args=list(FLAGS))
        yield browser
        browser.close()
