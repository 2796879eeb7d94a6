"""The note and the home sheet as HTML pages.

Held against: the parsing rules of the HTML standard (html5lib, strict), WCAG 2.2 for contrast and
structure, and the Markdown note, whose very words they carry.
"""

import re
import xml.etree.ElementTree as ET
from dataclasses import replace
from datetime import UTC, datetime
from itertools import pairwise
from typing import Any

import html5lib
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from markdown_it import MarkdownIt
from markdown_it.tree import SyntaxTreeNode

from voicelog.data_files.languages import language_folder, load_language
from voicelog.exports import load
from voicelog.exports.base import Practice, VisitRecords
from voicelog.exports.look import HOME, NOTE
from voicelog.handover import Wish
from voicelog.records.content import AnyContent, Drill, Note
from voicelog.records.entry import Affirmation, Entry
from voicelog.records.visit import Visit

Filled = tuple[Any, Any]
ENGLISH = load_language(language_folder())
PAGES = ("html", "home_sheet_html")


def tree(page: str) -> ET.Element:
    """The page, read by the rules of the HTML standard; any parse error fails."""
    parser = html5lib.HTMLParser(strict=True, namespaceHTMLElements=False)
    found: ET.Element = parser.parse(page)
    return found


def rendered(name: str, visit: VisitRecords) -> str:
    page = load(name).render(visit)
    assert isinstance(page, str)
    return page


def seen(element: ET.Element) -> str:
    return " ".join("".join(element.itertext()).split())


@pytest.fixture
def everything(filled: Filled) -> VisitRecords:
    practice, visit = filled
    found: VisitRecords = practice.hand_over(visit, Wish(unconfirmed=True))
    return found


@pytest.mark.parametrize("name", PAGES)
def test_a_page_is_sound_html_that_needs_nothing_from_outside(
    name: str, everything: VisitRecords
) -> None:
    page = rendered(name, everything)
    root = tree(page)
    assert page.startswith("<!DOCTYPE html>")
    tags = {str(e.tag).split("}")[-1] for e in root.iter()}
    assert not tags & {"script", "link", "img", "iframe", "object", "form", "base"}
    for element in root.iter():
        assert not {"src", "href", "srcset", "data", "onload", "onclick"} & set(element.attrib)
    assert "url(" not in page
    assert "@import" not in page
    (policy,) = [m for m in root.iter("meta") if "http-equiv" in m.attrib]
    assert policy.attrib["content"].startswith("default-src 'none'")


@pytest.mark.parametrize("name", PAGES)
def test_a_page_can_be_walked_by_ear(name: str, everything: VisitRecords) -> None:
    """WCAG 2.2: 3.1.1 language, 2.4.2 title, 1.3.1 headings and table headers, 1.1.1 pictures."""
    root = tree(rendered(name, everything))
    assert root.attrib["lang"] == "en"
    assert next(root.iter("title")).text
    levels = [int(e.tag[1]) for e in root.iter() if re.fullmatch(r"h[1-6]", str(e.tag))]
    assert levels.count(1) == 1
    assert levels[0] == 1
    assert all(after <= before + 1 for before, after in pairwise(levels))
    assert all(e.attrib.get("scope") == "col" for e in root.iter("th"))
    ids = [e.attrib["id"] for e in root.iter() if "id" in e.attrib]
    assert len(set(ids)) == len(ids)
    for picture in (e for e in root.iter() if str(e.tag).endswith("svg")):
        assert picture.attrib["role"] == "img"
        assert set(picture.attrib["aria-labelledby"].split()) <= set(ids)


def colours(style: str) -> list[dict[str, str]]:
    """The colours for the light, for the dark and for paper."""
    blocks = re.findall(r":root \{([^}]*)\}", style)
    return [dict(re.findall(r"--(\w+): (#[0-9a-f]{3,6})", block)) for block in blocks]


def luminance(colour: str) -> float:
    """Relative luminance, WCAG 2.2, glossary."""
    digits = colour.lstrip("#")
    parts = [digits[n : n + 2] for n in (0, 2, 4)] if len(digits) == 6 else [d * 2 for d in digits]
    red, green, blue = (
        v / 12.92 if v <= 0.04045 else ((v + 0.055) / 1.055) ** 2.4
        for v in (int(part, 16) / 255 for part in parts)
    )
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


@pytest.mark.parametrize("style", [NOTE, HOME])
def test_text_stands_out_in_light_dark_and_print(style: str) -> None:
    """WCAG 2.2, 1.4.3: at least 4.5 to 1."""
    found = colours(style)
    assert len(found) == 3
    for look in found:
        for ink in ("ink", "soft"):
            for ground in ("page", "lift"):
                low, high = sorted((luminance(look[ink]), luminance(look[ground])))
                assert (high + 0.05) / (low + 0.05) >= 4.5, (look, ink, ground)


def test_the_page_says_what_the_markdown_note_says_in_its_order(everything: VisitRecords) -> None:
    text = rendered("markdown", everything)
    blocks = SyntaxTreeNode(MarkdownIt("commonmark").enable("table").parse(text)).walk()
    said = [n.content for n in blocks if n.type == "text" and n.content.strip()]
    page = seen(next(tree(rendered("html", everything)).iter("main")))
    at = 0
    for words in said:
        found = page.find(" ".join(words.split()), at)
        assert found >= 0, words
        at = found
    assert len(said) > 60


def test_the_order_is_that_of_the_trade_with_the_pictures_last(everything: VisitRecords) -> None:
    root = tree(rendered("html", everything))
    assert [seen(e) for e in root.iter("h2")] == [
        *("Safety screen", "Subjective", "Objective", "Assessment", "Plan"),
        *("Affirmed", "Not confirmed, no part of the record", "Over the visits"),
    ]


def test_the_pictures_over_the_visits_stand_inside(everything: VisitRecords) -> None:
    root = tree(rendered("html", everything))
    (pain, _, onset) = [e for e in root.iter() if str(e.tag).endswith("svg")]
    assert "first baseline 8" in seen(pain)
    assert "first baseline 12°" in seen(onset)


NASTY = st.one_of(
    st.text(max_size=20),
    st.sampled_from(["<b>x</b>", "</style><script>x", "&lt;", "{style}", "{0}", '" onload="x']),
)


def saying(words: str) -> VisitRecords:
    """A visit whose note, drill and practice are the words."""
    at = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)
    visit = Visit(visit_id="2026-03-02-1", client="C-014", started_at=at)
    contents: tuple[AnyContent, ...] = (Note(text=words, checked=True), Drill(name=words))
    records = tuple(
        Entry(
            entry_id=str(number), visit_id=visit.visit_id, client=visit.client,
            status="confirmed", content=content, spoken_at=at, at=at, by=words,
            affirmed=Affirmation(read_back="", by="key"),
        )
        for number, content in enumerate(contents)
    )  # fmt: skip
    return VisitRecords(visit, records, practice=Practice(words, words), language=ENGLISH)


@given(NASTY)
@settings(max_examples=40)
def test_no_word_can_act_as_markup(words: str) -> None:
    shown = " ".join("".join(c if c.isprintable() else " " for c in words).split())
    for name in PAGES:
        root = tree(rendered(name, saying(words)))
        assert not list(root.iter("script"))
        assert shown.lower() in seen(root).lower()


def test_the_home_sheet_says_what_to_do_and_when_to_stop(everything: VisitRecords) -> None:
    page = seen(next(tree(rendered("home_sheet_html", everything)).iter("main")))
    for words in (
        "From your visit on 2 March 2026",
        "Banded heel glide, left side 3 sets of 8 repetitions. Hold 5 seconds. Light band.",
        "Wall slide How much:",
        "How often:",
        "Press the heel down",
        "numbness, tingling, weakness, or pain that spreads",
        "call your local emergency number at once",
    ):
        assert words in page
    assert "C-014" not in page


def test_whom_to_call_comes_from_the_settings_or_is_a_line_to_write_on(
    everything: VisitRecords,
) -> None:
    blank = rendered("home_sheet_html", everything)
    # practice, phone, how often, and the drill without a dose
    assert blank.count('class="line"') == 4
    named = replace(everything, practice=Practice("The practice", "555 0100"))
    page = rendered("home_sheet_html", named)
    assert "Practice: The practice" in page
    assert "Phone: 555 0100" in page
