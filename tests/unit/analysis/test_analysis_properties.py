"""What must hold for any visit whatever: sides mirror, strangers and order change nothing."""

from collections.abc import Callable

from hypothesis import given
from hypothesis import strategies as st

from voicelog.analysis.comparison import Comparer, Comparison, VisitComparisons
from voicelog.analysis.direction import Direction, directions
from voicelog.analysis.movement import Movement
from voicelog.analysis.sift import Occasion
from voicelog.data_files.languages import language_folder, load_language
from voicelog.grammar.language import LanguageData
from voicelog.records.content import Side
from voicelog.records.entry import Entry
from voicelog.telling.comparisons import comparison_words
from voicelog.telling.directions import direction_spoken, direction_words

ENGLISH = load_language(language_folder())

Make = Callable[..., Entry]
OTHER: dict[Side | None, Side | None] = {"left": "right", "right": "left", "both": "both"}

SLOTS = st.fixed_dictionaries(
    {
        "side": st.sampled_from(["left", "right"]),
        "joint": st.sampled_from(["shoulder", "neck"]),
        "motion": st.sampled_from(["flexion", "rotation", "lateral flexion"]),
        "pain": st.none() | st.integers(0, 10),
        "range_deg": st.none() | st.integers(0, 180),
        "onset_deg": st.none() | st.integers(0, 180),
        "quality": st.sampled_from([(), ("dull",), ("numb",), ("sharp", "weak")]),
        "manner": st.sampled_from([None, "active", "passive"]),
        "instrument": st.sampled_from([None, "goniometer", "inclinometer"]),
        "outcome": st.sampled_from([None, None, None, "pain free rep", "unable"]),
        "by": st.sampled_from(["MT", "KO"]),
    }
)
RECORDS = st.lists(
    st.tuples(
        st.integers(0, 6), st.sampled_from(["baseline", "gap", "compression", "retest"]), SLOTS
    ),
    max_size=12,
)
Records = list[tuple[int, str, dict[str, object]]]


def visit_of(comparer: Comparer, occasion: Occasion, entries: list[Entry]) -> VisitComparisons:
    """The comparisons of the visit, and every word about them, so that words are tried as well."""
    visit = comparer.visit(occasion, entries)
    told = [comparison_words(found, ENGLISH) for found in visit.comparisons]
    told += [words(d, ENGLISH) for d in directions(visit.comparisons) for words in WORDS]
    for text in told:
        assert not {"safe", "cleared", "cured"} & set(text.lower().replace(".", " ").split())
    return visit


WORDS: tuple[Callable[[Direction, LanguageData], str], ...] = (direction_words, direction_spoken)


def mirrored(found: Comparison) -> Comparison:
    side, joint, motion = found.movement
    return found._replace(movement=Movement(OTHER[side], joint, motion))


@given(records=RECORDS)
def test_swapping_left_and_right_swaps_the_results_and_nothing_else(
    records: Records, trial: Make, comparer: Comparer, occasion: Occasion
) -> None:
    given_side = [trial(f"e{n}", at, ph, **slots) for n, (at, ph, slots) in enumerate(records)]
    swapped = [
        trial(f"e{n}", at, ph, **{**slots, "side": "left" if slots["side"] == "right" else "right"})
        for n, (at, ph, slots) in enumerate(records)
    ]
    one = visit_of(comparer, occasion, given_side)
    two = visit_of(comparer, occasion, swapped)
    assert tuple(mirrored(found) for found in one.comparisons) == two.comparisons
    assert (one.baseline_stops, one.caveats) == (two.baseline_stops, two.caveats)
    sides = {d.movement: (d.eased, d.missing, d.next_step) for d in directions(one.comparisons)}
    for d in directions(two.comparisons):
        side, joint, motion = d.movement
        mirror = Movement(OTHER[side], joint, motion)
        assert sides[mirror] == (d.eased, d.missing, d.next_step)


@given(records=RECORDS, slots=SLOTS, minute=st.integers(0, 6), other=st.sampled_from(range(3)))
def test_an_unrelated_record_changes_no_comparison(
    records: Records,
    slots: dict[str, object],
    minute: int,
    other: int,
    trial: Make,
    comparer: Comparer,
    occasion: Occasion,
) -> None:
    entries = [trial(f"e{n}", at, ph, **slot) for n, (at, ph, slot) in enumerate(records)]
    unrelated = [
        {**slots, "client": "C-201"},
        {**slots, "visit": "2026-02-20-1"},
        {**slots, "joint": "knee", "motion": "extension"},
    ][other]
    stranger = trial("z", minute, "baseline", **unrelated)
    before = visit_of(comparer, occasion, entries)
    after = visit_of(comparer, occasion, [*entries, stranger])
    assert before.comparisons == after.comparisons


@given(data=st.data(), records=RECORDS)
def test_the_order_of_records_does_not_matter_beyond_their_times(
    data: st.DataObject, records: Records, trial: Make, comparer: Comparer, occasion: Occasion
) -> None:
    entries = [trial(f"e{n}", at, ph, **slots) for n, (at, ph, slots) in enumerate(records)]
    shuffled = data.draw(st.permutations(entries))
    assert visit_of(comparer, occasion, entries) == visit_of(comparer, occasion, shuffled)


@given(records=RECORDS)
def test_every_trial_gets_one_comparison_and_every_gap_in_it_is_said(
    records: Records, trial: Make, comparer: Comparer, occasion: Occasion
) -> None:
    entries = [trial(f"e{n}", at, ph, **slots) for n, (at, ph, slots) in enumerate(records)]
    visit = visit_of(comparer, occasion, entries)
    tried = {e.entry_id for e, (_, ph, _) in zip(entries, records, strict=True) if ph != "baseline"}
    assert sorted(found.trial for found in visit.comparisons) == sorted(tried)
    by_id = {entry.entry_id: entry for entry in entries}
    for found in visit.comparisons:
        if found.baseline is None:
            assert found.caveats
        else:
            assert by_id[found.baseline].spoken_at <= by_id[found.trial].spoken_at
        if found.stops:
            assert found.pain is None or not str(found.pain.label).startswith("lower")
            assert found.range is None or not str(found.range.label).startswith("more")
