"""Records that cannot be compared are left out and said; what cannot be helped is no error."""

from typing import cast

import pytest

from tests.unit.analysis.doubts import Make
from voicelog.analysis.caveats import Doubt
from voicelog.analysis.comparison import Comparer
from voicelog.analysis.sift import Occasion
from voicelog.records.content import Note, Trial
from voicelog.records.entry import Entry


def test_records_of_another_client_or_visit_are_left_out_and_said(
    trial: Make, comparer: Comparer, occasion: Occasion
) -> None:
    visit = comparer.visit(
        occasion,
        [
            trial("a", 0, "baseline", pain=6),
            trial("b", 1, "gap", pain=3),
            trial("x", 2, "gap", pain=0, client="C-201"),
            trial("y", 3, "gap", pain=0, visit="2026-02-20-1"),
        ],
    )
    assert [found.trial for found in visit.comparisons] == ["b"]
    assert [(c.doubt, c.about) for c in visit.caveats] == [
        (Doubt.OTHER_CLIENT, ("x",)),
        (Doubt.OTHER_VISIT, ("y",)),
    ]


def test_an_empty_visit_is_said_and_is_no_error(
    entry: Make, comparer: Comparer, occasion: Occasion
) -> None:
    assert [c.doubt for c in comparer.visit(occasion, []).caveats] == [Doubt.EMPTY_VISIT]
    only_note = comparer.visit(occasion, [entry("n", 0, Note(text="came by bicycle"))])
    assert [c.doubt for c in only_note.caveats] == [Doubt.EMPTY_VISIT]
    assert only_note.comparisons == ()


def test_unconfirmed_dropped_and_withdrawn_records_do_not_count(
    trial: Make, comparer: Comparer, occasion: Occasion
) -> None:
    first = trial("a", 0, "baseline", pain=6)
    tried = trial("b", 1, "gap", pain=3)
    proposal = {"version": 3, "status": "unconfirmed", "affirmed": None}
    changed = cast(Trial, tried.content).model_copy(update={"pain": 5})
    proposed = tried.model_copy(update={**proposal, "content": changed})
    waiting = trial("c", 2, "gap", pain=1).model_copy(update=proposal)
    withdrawn = trial("d", 3, "gap", pain=1).withdraw(tried.at, "said for another client")
    visit = comparer.visit(occasion, [proposed, first, waiting, withdrawn, tried])
    assert [(c.trial, c.pain and c.pain.after) for c in visit.comparisons] == [("b", 3)]
    assert {(c.doubt, c.about[0]) for c in visit.caveats} == {
        (Doubt.CORRECTION_WAITS, "b"),
        (Doubt.NOT_CONFIRMED, "c"),
    }


@pytest.mark.parametrize(
    ("slots", "doubt"),
    [
        ({"pain": 14}, Doubt.IMPOSSIBLE_PAIN),
        ({"pain": -1}, Doubt.IMPOSSIBLE_PAIN),
        ({"range_deg": 420}, Doubt.IMPOSSIBLE_RANGE),
        ({"range_deg": 181}, Doubt.IMPOSSIBLE_RANGE),
        ({"range_deg": -1}, Doubt.IMPOSSIBLE_RANGE),
        ({"onset_deg": 181}, Doubt.IMPOSSIBLE_RANGE),
        ({"onset_deg": -1}, Doubt.IMPOSSIBLE_RANGE),
        ({"joint": None}, Doubt.NO_MOVEMENT),
        ({"motion": None}, Doubt.NO_MOVEMENT),
        ({"phase": None}, Doubt.NO_PHASE),
    ],
)
def test_a_record_that_cannot_be_is_left_out_and_said(
    trial: Make,
    comparer: Comparer,
    occasion: Occasion,
    slots: dict[str, object],
    doubt: Doubt,
) -> None:
    good = trial("b", 1, "gap", pain=3)
    # Records read without checks, as from a damaged file.
    bad = good.model_copy(
        update={"entry_id": "z", "content": good.content.model_copy(update=slots)}
    )
    visit = comparer.visit(occasion, [trial("a", 0, "baseline", pain=6), good, bad])
    assert [found.trial for found in visit.comparisons] == ["b"]
    assert [(c.doubt, c.about) for c in visit.caveats] == [(doubt, ("z",))]


@pytest.mark.parametrize(
    "slots", [{"range_deg": 0}, {"range_deg": 180}, {"onset_deg": 0}, {"onset_deg": 180}]
)
def test_the_ends_of_the_dial_count(
    trial: Make, comparer: Comparer, occasion: Occasion, slots: dict[str, int]
) -> None:
    visit = comparer.visit(
        occasion, [trial("a", 0, "baseline", pain=6), trial("b", 1, "gap", pain=3, **slots)]
    )
    assert [found.trial for found in visit.comparisons] == ["b"]
    assert visit.caveats == ()


def test_a_clock_that_ran_backwards_is_said_and_the_record_still_counts(
    trial: Make, comparer: Comparer, occasion: Occasion
) -> None:
    early, late = trial("a", 0, "baseline", pain=6), trial("b", 5, "gap", pain=3)
    visit = comparer.visit(occasion, [early, late.model_copy(update={"at": early.at})])
    assert [c.trial for c in visit.comparisons] == ["b"]
    assert [(c.doubt, c.about) for c in visit.caveats] == [(Doubt.CLOCK, ("b",))]


def test_only_entries_can_be_compared(comparer: Comparer, occasion: Occasion) -> None:
    with pytest.raises(TypeError, match="Entries are wanted here, not dict"):
        comparer.visit(occasion, cast(list[Entry], [{"pain": 3}]))


def test_a_visit_of_two_thousand_records_is_compared_whole(
    trial: Make, comparer: Comparer, occasion: Occasion
) -> None:
    phases = ("baseline", "gap", "compression", "retest")
    entries = [trial(f"e{n:04}", n, phases[n % 4], pain=n % 11) for n in range(2000)]
    visit = comparer.visit(occasion, entries)
    assert len(visit.comparisons) == 1500
    assert all(found.baseline is not None for found in visit.comparisons)
    assert visit.comparisons[-1].baseline == "e1996"
