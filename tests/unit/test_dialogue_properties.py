"""Whatever happens, in whatever order: only what was read back and affirmed becomes a record."""

from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from voicelog.dialogue import prompts
from voicelog.dialogue.actions import Save, Say
from voicelog.dialogue.events import SoundLost

SENTENCES = (
    "left ankle dorsiflexion baseline twelve degrees pain six",
    "gap trial sixteen degrees pain three",
    "compression trial nine degrees pain seven pinching",
    "right knee flexion retest pain two",
    "left ankle dorsiflexion baseline ninety degrees",
    "ankle baseline",
    "left",
    "six",
    "pain four",
    "drill heel raise three sets of eight",
    "fault heel lifting",
    "cue ribs down",
    "note slept badly",
    "retest pain free rep tingling",
    "unable",
    "correction pain five",
    "correction right",
    "correction three sets of ten",
    "affirm",
    "affirm",
    "affirm",
    "negative",
    "disregard",
    "say again",
    "read back",
    "stand by",
    "go ahead",
    "close visit",
    "how does the left knee feel now",
)
HAPPENINGS = st.one_of(
    st.tuples(st.just("say"), st.sampled_from(SENTENCES)),
    st.tuples(st.just("doubt"), st.sampled_from(SENTENCES)),
    st.tuples(st.just("press"), st.sampled_from(("affirm", "negative", "stand by", "go ahead"))),
    st.tuples(st.just("lose"), st.just("")),
    st.tuples(st.just("break"), st.sampled_from(("on", "off"))),
)


def _let_happen(talk: Any, kind: str, what: str) -> None:
    if kind == "say":
        talk.say(what)
    elif kind == "doubt":
        talk.say(what, doubtful=("pain",))
    elif kind == "press":
        talk.press(what)
    elif kind == "lose":
        talk.feed(SoundLost())
    else:
        talk.broken = what == "on"


@settings(max_examples=300, deadline=None)
@given(happenings=st.lists(HAPPENINGS, max_size=25))
def test_nothing_is_saved_but_what_was_read_back_and_affirmed(
    make_talk: Any, happenings: list[tuple[str, str]]
) -> None:
    talk = make_talk()
    for kind, what in happenings:
        before = len(talk.actions)
        waiting = talk.state.draft
        said_before = [action.text for action in talk.actions if isinstance(action, Say)]
        _let_happen(talk, kind, what)
        for action in talk.actions[before:]:
            if isinstance(action, Save):
                assert (kind, what) in (("say", "affirm"), ("doubt", "affirm"), ("press", "affirm"))
                assert waiting is not None
                assert action.entry.content == waiting.entry.content
                read_back = prompts.read_back(talk.phrases.language, action.entry.content)
                assert any(said.endswith(read_back) for said in said_before)
    saved = [a.entry for a in talk.actions if isinstance(a, Save)]
    for record in talk.store.records(talk.state.setting.visit.visit_id):
        assert record in saved


@settings(max_examples=300, deadline=None)
@given(happenings=st.lists(HAPPENINGS, max_size=25))
def test_saved_is_said_only_when_the_store_has_it_and_nothing_kept_is_lost(
    make_talk: Any, happenings: list[tuple[str, str]]
) -> None:
    talk = make_talk()
    for kind, what in happenings:
        said_before = [action.text for action in talk.actions if isinstance(action, Say)]
        _let_happen(talk, kind, what)
        said = [action.text for action in talk.actions if isinstance(action, Say)]
        saved = sum(text.startswith("Saved") for text in said[len(said_before) :])
        assert saved <= 1
    in_store = talk.store.records(talk.state.setting.visit.visit_id)
    assert {r.entry_id: r.version for r in talk.state.records} == {
        r.entry_id: r.version for r in in_store
    }
    if not talk.broken:
        waiting = talk.store.unconfirmed(talk.state.setting.visit.visit_id)
        known = {entry.entry_id for entry in talk.state.aside}
        if talk.state.draft is not None:
            known.add(talk.state.draft.entry.entry_id)
        assert {entry.entry_id for entry in waiting} <= known
