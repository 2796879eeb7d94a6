"""The note, read by an independent CommonMark parser (markdown-it-py; tables as in GitHub Flavored
Markdown, section 4.10).
"""

from hypothesis import given
from hypothesis import strategies as st
from markdown_it import MarkdownIt
from markdown_it.tree import SyntaxTreeNode

from tests.made_up_visit import (
    BASELINE,
    EMPTY,
    GAP,
    NINE,
    VISIT,
    WITH_UNCONFIRMED,
    entry,
    made,
    one,
    text_of,
)
from voicelog.records.content import Note, Trial


def parsed(text: str) -> SyntaxTreeNode:
    return SyntaxTreeNode(MarkdownIt("commonmark").enable("table").parse(text))


def words(node: SyntaxTreeNode) -> str:
    """What a reader sees of a node."""
    return "".join(
        "\n" if n.type == "softbreak" else n.content
        for n in node.walk()
        if n.type in ("text", "text_special", "code_inline", "softbreak", "html_inline")
    )


def rows(text: str) -> list[list[str]]:
    (table,) = (n for n in parsed(text).walk() if n.type == "table")
    return [[words(cell) for cell in row.children] for row in table.walk() if row.type == "tr"]


def items(text: str, heading: str) -> list[str]:
    blocks = parsed(text).children
    (at,) = (n for n, b in enumerate(blocks) if b.type == "heading" and words(b) == heading)
    return [words(item) for item in blocks[at + 1].children]


def test_the_note_has_one_row_for_each_trial() -> None:
    assert rows(text_of("markdown", WITH_UNCONFIRMED)) == [
        ["No.", "Movement", "Phase", "Range", "Pain 0-10", "Quality", "End feel", "Remarks"],
        [
            *("1", "left ankle dorsiflexion", "baseline", "pain starts at 12°, end of range 15°"),
            *("6", "sharp, pinching", "firm"),
            "weight bearing, half kneeling, measured with inclinometer",
        ],
        [
            *("2", "left ankle dorsiflexion", "gap", "0°", "0", "", "firm"),
            "weight bearing, half kneeling, measured with inclinometer",
        ],
        ["3", "neck rotation", "retest", "", "", "", "", "pain free rep"],
    ]


def test_the_note_lists_everything_else_in_the_order_of_the_trade() -> None:
    text = text_of("markdown", WITH_UNCONFIRMED)
    headings = [words(b) for b in parsed(text).children if b.type == "heading"]
    assert headings == [
        *("Visit of C-014, 2026-03-02", "Subjective", "Objective", "Faults seen"),
        *("Plan", "Drills", "Cues", "Affirmed", "Not confirmed, no part of the record"),
    ]
    assert "Visit 2026-03-02-1, 09:00 to 09:42 (UTC+01:00)" in text
    assert items(text, "Drills") == [
        "banded heel glide, left: 3 sets of 8, hold 5 s, light band, effort 4/10",
        "wall slide: 1 set",
    ]
    assert items(text, "Faults seen") == ["heel lifting"]
    assert items(text, "Cues") == ["press the heel down"]
    assert items(text, "Subjective") == [
        "guarded at first (not checked against its sound)",
        "slept badly",
    ]
    assert items(text, "Affirmed") == ["AB: 7 by voice", "AB: 1 by key", "CD: 1 afterwards"]
    assert items(text, "Not confirmed, no part of the record") == [
        "not confirmed: right hip flexion, gap, pain 9/10"
    ]


def test_a_change_that_waits_is_told_from_the_record_it_would_change() -> None:
    confirmed = entry(BASELINE, 1)
    change = confirmed.propose(GAP, confirmed.evidence[0], NINE, confirmed.version)
    text = text_of("markdown", made(VISIT, (confirmed,), (change,)))
    (item,) = items(text, "Not confirmed, no part of the record")
    assert item.startswith("not confirmed (a change to a record above): left ankle")


def test_a_visit_with_nothing_in_it_says_so() -> None:
    text = text_of("markdown", EMPTY)
    assert "No trials recorded." in text
    assert "not ended" in text
    assert "| " not in text


NASTY = st.one_of(
    st.text(max_size=25),
    st.text(alphabet="|\\`*_[]()<>#+-=.!~&;1a \n\t", min_size=1, max_size=25),
    st.sampled_from(
        [
            *("- - a", "+", "*", "-1", "1. a", "12) a", "1\\. a", "# a", "> a", "===", "---"),
            *("a|b\\", "\\|", "<b>x</b>", "&amp;", "[a](b)", "![a](b)", "http://a.b"),
            *("<http://a.b>", "``` a", "~~~", "    code", "a  \nb"),
        ]
    ),
)


def as_seen(text: str) -> str:
    """One line, blanks collapsed: what a person would read off any rendering."""
    return " ".join("".join(c if c.isprintable() else " " for c in text).split())


@given(NASTY)
def test_no_word_in_a_table_can_act_as_markup(text: str) -> None:
    (_, row) = rows(text_of("markdown", one(Trial(joint=text, end_feel=text, phase="gap"))))
    assert row == ["1", as_seen(text), "gap", "", "", "", as_seen(text), ""]


@given(NASTY)
def test_no_word_in_a_list_can_act_as_markup(text: str) -> None:
    note = text_of("markdown", one(Note(text=text, checked=True)))
    assert items(note, "Subjective") == [as_seen(text)]
    assert not [n for n in parsed(note).walk() if n.type in ("html_block", "html_inline", "link")]
