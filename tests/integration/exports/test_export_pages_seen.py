"""The pages as a browser shows them: accessibility, reflow, and paper.

Skipped where a Chromium, Playwright or axe-core (as axe-playwright-python carries it) is missing.
"""

import importlib.util
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest
from pypdf import PdfReader

from voicelog.cheat_sheet import html as cheat_sheet
from voicelog.data_files.languages import language_folder, load_language
from voicelog.exports import load
from voicelog.exports.base import VisitRecords
from voicelog.handover import Wish

if TYPE_CHECKING:
    from playwright.sync_api import Browser

Filled = tuple[Any, Any]
PAGES = ("html", "home_sheet_html")
PHONE, DESK = {"width": 360, "height": 740}, {"width": 1100, "height": 900}


@pytest.fixture
def pages(everything: VisitRecords) -> dict[str, str]:
    """The pages by name: of a visit with everything in it, and the cheat sheet."""
    sheet = cheat_sheet.render(load_language(language_folder()))
    return {name: str(load(name).render(everything)) for name in PAGES} | {"cheat sheet": sheet}


@pytest.fixture
def everything(filled: Filled) -> VisitRecords:
    practice, visit = filled
    found: VisitRecords = practice.hand_over(visit, Wish(unconfirmed=True))
    return found


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("size", [PHONE, DESK], ids=["phone", "desk"])
def test_axe_finds_nothing_and_nothing_sticks_out(
    chromium: "Browser", pages: dict[str, str], scheme: Any, size: Any
) -> None:
    """WCAG 2.2 levels A and AA by axe-core; reflow as in success criterion 1.4.10."""
    carrier = importlib.util.find_spec("axe_playwright_python")
    if carrier is None or carrier.origin is None:
        pytest.skip("axe-playwright-python is not installed")
    axe = (Path(carrier.origin).parent / "axe.min.js").read_text(encoding="utf-8")
    page = chromium.new_page(color_scheme=scheme, viewport=size)
    for name, text in pages.items():
        page.set_content(text)
        page.evaluate(axe)
        run = "axe.run().then((r) => r.violations.map((v) => [v.id, v.nodes[0].html]))"
        assert page.evaluate(run) == [], name
        wide, window = page.evaluate("[document.documentElement.scrollWidth, innerWidth]")
        assert wide <= window, f"{name} is {wide} px wide in a window of {window}"
    page.close()


@pytest.mark.parametrize("name", [*PAGES, "cheat sheet"])
def test_a_browser_prints_the_page_on_a4(
    chromium: "Browser", name: str, pages: dict[str, str], tmp_path: Path
) -> None:
    page = chromium.new_page()
    page.set_content(pages[name])
    printed = tmp_path / "page.pdf"
    page.pdf(path=printed, prefer_css_page_size=True)
    page.close()
    sheets = PdfReader(printed).pages
    assert (round(sheets[0].mediabox.width), round(sheets[0].mediabox.height)) == (595, 842)
    most = {"home_sheet_html": 1, "cheat sheet": 2}
    assert len(sheets) <= most.get(name, len(sheets))
