"""Under a pseudonym no client code of the practice leaves it, in any format."""

import io
import re
from collections.abc import Callable
from typing import Any

import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from pypdf import PdfReader

from voicelog.errors import ConfigurationError
from voicelog.exports import formats, load
from voicelog.exports.pseudonym import Pseudonym
from voicelog.handover import Wish
from voicelog.records.entry import Evidence
from voicelog.records.visit import Visit

Filled = tuple[Any, Any]
CODES = re.compile(r"(?<![a-z0-9])c[-_. ]?(?:014|7|9)(?![a-z0-9])", re.IGNORECASE)


def read(content: str | bytes) -> str:
    if isinstance(content, str):
        return re.sub(r"<style>.*?</style>", "", content, flags=re.DOTALL)
    reader = PdfReader(io.BytesIO(content))
    return f"{reader.metadata} {[page.extract_text() for page in reader.pages]}"


@pytest.mark.parametrize("name", formats())
def test_no_code_of_the_practice_is_left(filled: Filled, name: str) -> None:
    practice, visit = filled
    plain = read(load(name).render(practice.hand_over(visit, Wish(unconfirmed=True))))
    wish = Wish(unconfirmed=True, pseudonym="P-1")
    hidden = read(load(name).render(practice.hand_over(visit, wish)))
    assert not CODES.findall(hidden)
    if not name.startswith("home_sheet"):
        assert CODES.findall(plain), "without a pseudonym the code is there"
        assert "P-1" in hidden


def test_all_else_stays_as_it_was(filled: Filled) -> None:
    practice, visit = filled
    plain = practice.hand_over(visit, Wish(unconfirmed=True))
    hidden = practice.hand_over(visit, Wish(unconfirmed=True, pseudonym="P-1"))
    assert [e.content for e in hidden.records[:-1]] == [e.content for e in plain.records[:-1]]
    assert hidden.records[-1].content.text == "P-1 slept badly, as another client did"
    assert [e.entry_id for e in hidden.records] == [e.entry_id for e in plain.records]
    assert len(hidden.plots) == len(plain.plots) == 3
    assert hidden.findings is not None
    assert len(hidden.findings.compared.comparisons) == 3


@pytest.mark.parametrize("taken", ["C-7", "c-014"])
def test_a_pseudonym_that_is_itself_a_code_is_refused(filled: Filled, taken: str) -> None:
    practice, visit = filled
    with pytest.raises(ConfigurationError, match="itself a client's code"):
        practice.hand_over(visit, Wish(pseudonym=taken))


def test_a_code_of_digits_does_not_touch_the_date_in_an_id(make: Callable[[str], Any]) -> None:
    visit = Visit.model_validate_json(
        '{"visit_id":"2026-03-02-1","client":"2026","started_at":"2026-03-02T09:00:00Z"}'
    )
    hidden = Pseudonym("P-1", "2026", ["03"]).of(visit)
    assert (hidden.visit_id, hidden.client) == ("2026-03-02-1", "P-1")


code = st.from_regex(r"[A-Za-z0-9]([A-Za-z0-9_.-]{0,6}[A-Za-z0-9])?", fullmatch=True)


@example("0..0", "note {} end")
@given(code, st.sampled_from(["note {} end", "{}", "({}), she!", "say, {}!"]))
def test_a_code_is_found_wherever_it_stands_as_a_word(own: str, sentence: str) -> None:
    other = Pseudonym("P-1", own, [])
    for said in (own, own.lower(), own.upper()):
        evidence = Evidence(
            text=sentence.format(said), confidence=1, engine="e", model="m", grammar_version="1"
        )
        assert other.of(evidence).text == sentence.format("P-1")
