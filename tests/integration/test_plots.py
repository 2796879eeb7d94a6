"""The pictures of progress: well-formed, told in words, quiet about the client, nothing fetched."""

from datetime import UTC, datetime, timedelta
from itertools import pairwise
from typing import Any
from xml.etree import ElementTree

import pytest

from voicelog.analysis.comparison import Comparer
from voicelog.analysis.progress import MovementProgress, progress
from voicelog.data_files.languages import language_folder, load_language
from voicelog.data_files.reference_tables import load_tables
from voicelog.plots import dose_plots, pain_plot, plots, range_plot
from voicelog.plots.drawing import HEIGHT, WIDTH
from voicelog.records.content import Drill, Trial
from voicelog.records.entry import Affirmation, Entry

ENGLISH = load_language(language_folder())

SVG = "{http://www.w3.org/2000/svg}"
MINUTES = {"baseline": 0, "gap": 1, "compression": 2, "retest": 3}
START = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)


def taken(day: int, phase: str, **slots: Any) -> Entry:
    at = START + timedelta(days=day, minutes=MINUTES[phase])
    values = {"side": "left", "joint": "knee", "motion": "extension", "phase": phase, **slots}
    return Entry(
        entry_id=f"{day}-{phase}",
        visit_id=f"visit-{day}",
        client="C-014",
        version=2,
        status="confirmed",
        content=Trial.model_validate({"instrument": "inclinometer", **values}),
        spoken_at=at,
        at=at,
        by="MT",
        affirmed=Affirmation(read_back="as said", by="voice"),
    )


def course(*entries: Entry) -> MovementProgress:
    (found,) = progress("C-014", entries, Comparer(load_tables())).movements
    return found


@pytest.fixture
def three_visits() -> MovementProgress:
    return course(
        taken(0, "baseline", pain=7, range_deg=20),
        taken(0, "retest", pain=4, range_deg=28),
        taken(7, "baseline", pain=6, range_deg=22),
        taken(21, "baseline", pain=2, range_deg=34),
    )


def circles(picture: str, css: str) -> list[tuple[float, float]]:
    root = ElementTree.fromstring(picture)
    return [
        (float(c.get("cx", "")), float(c.get("cy", "")))
        for c in root.iter(f"{SVG}circle")
        if c.get("class") == css
    ]


@pytest.mark.parametrize("plot", [pain_plot, range_plot])
def test_a_picture_has_a_title_and_tells_every_value_in_words(
    three_visits: MovementProgress, plot: Any
) -> None:
    root = ElementTree.fromstring(plot(three_visits, ENGLISH))
    title, desc = root.find(f"{SVG}title"), root.find(f"{SVG}desc")
    assert title is not None
    assert desc is not None
    # The pattern of the W3C for pictures that are read aloud: role img, labelled by both.
    assert root.get("role") == "img"
    assert root.get("aria-labelledby") == f"{title.get('id')} {desc.get('id')}"
    assert "over 3 visits" in (title.text or "")
    values = ("7", "6", "2") if plot is pain_plot else ("20°", "22°", "34°")
    for value, day in zip(values, ("2026-03-02", "2026-03-09", "2026-03-23"), strict=True):
        assert f"{day}: first baseline {value}" in (desc.text or "")


@pytest.mark.parametrize("plot", [pain_plot, range_plot])
def test_a_picture_fetches_nothing_and_names_no_client(
    three_visits: MovementProgress, plot: Any
) -> None:
    picture = plot(three_visits, ENGLISH)
    assert "C-014" not in picture
    assert picture.count("http") == 1  # the name of the SVG vocabulary itself
    assert "<script" not in picture


def test_visits_stand_in_proportion_to_the_days_between_them(
    three_visits: MovementProgress,
) -> None:
    first, second, third = (x for x, _ in circles(pain_plot(three_visits, ENGLISH), "vl-start"))
    assert (second - first) / (third - first) == pytest.approx(7 / 21, abs=0.01)


def test_less_pain_stands_lower_and_more_range_stands_higher(
    three_visits: MovementProgress,
) -> None:
    pain = [y for _, y in circles(pain_plot(three_visits, ENGLISH), "vl-start")]
    angle = [y for _, y in circles(range_plot(three_visits, ENGLISH), "vl-start")]
    assert pain == sorted(pain)
    assert angle == sorted(angle, reverse=True)


def test_everything_stays_inside_the_picture_at_the_ends_of_the_scales() -> None:
    found = course(
        taken(0, "baseline", pain=10, range_deg=180), taken(1, "baseline", pain=0, range_deg=0)
    )
    for plot in (pain_plot, range_plot):
        for x, y in circles(plot(found, ENGLISH), "vl-start"):
            assert 0 < x < WIDTH
            assert 0 < y < HEIGHT


def test_the_band_is_the_error_around_the_first_value(three_visits: MovementProgress) -> None:
    root = ElementTree.fromstring(pain_plot(three_visits, ENGLISH))
    (band,) = root.iter(f"{SVG}rect")
    zero, ten = _height_of(root, "0"), _height_of(root, "10")
    point = (zero - ten) / 10
    # Childs 2005: 2 points to either side of the first value, 7.
    assert float(band.get("height", "")) == pytest.approx(4 * point, abs=0.1)
    assert float(band.get("y", "")) == pytest.approx(zero - 9 * point, abs=0.1)


def test_one_visit_has_no_band_and_says_so() -> None:
    picture = pain_plot(course(taken(0, "baseline", pain=7)), ENGLISH)
    assert "<rect" not in picture
    assert "No band, as there is one visit only." in picture


def test_values_of_another_manner_are_not_joined_by_a_line() -> None:
    def lines(manner: str) -> int:
        found = course(
            taken(0, "baseline", pain=7, manner="active"),
            taken(7, "baseline", pain=5, manner=manner),
        )
        return pain_plot(found, ENGLISH).count('class="vl-line"')

    assert (lines("active"), lines("passive")) == (1, 0)


def test_an_end_that_was_measured_with_another_instrument_is_no_end_of_that_range() -> None:
    found = course(
        taken(0, "baseline", pain=7, range_deg=20),
        taken(0, "retest", pain=4, range_deg=28, instrument="goniometer"),
    )
    assert len(circles(pain_plot(found, ENGLISH), "vl-end")) == 1
    assert circles(range_plot(found, ENGLISH), "vl-end") == []


def test_a_movement_that_was_only_retested_still_has_a_picture() -> None:
    picture = pain_plot(course(taken(0, "retest", pain=3)), ENGLISH)
    assert circles(picture, "vl-start") == []
    assert len(circles(picture, "vl-end")) == 1


def _height_of(root: ElementTree.Element, label: str) -> float:
    """Where the grid line with this label stands."""
    return next(float(t.get("y", "")) - 4 for t in root.iter(f"{SVG}text") if t.text == label)


def test_without_a_published_error_there_is_no_band_and_that_is_said() -> None:
    jaw = {"side": None, "joint": "jaw", "motion": "opening"}
    picture = range_plot(
        course(
            taken(0, "baseline", range_deg=20, **jaw), taken(7, "baseline", range_deg=30, **jaw)
        ),
        ENGLISH,
    )
    assert "<rect" not in picture
    assert "No band, as no published error applies." in picture


def test_dates_and_directions_stand_below_and_never_touch() -> None:
    entries = [
        entry
        for day in range(10)
        for entry in (taken(day, "baseline", pain=6), taken(day, "gap", pain=2))
    ]
    root = ElementTree.fromstring(pain_plot(course(*entries), ENGLISH))
    dates = [float(t.get("x", "")) for t in root.iter(f"{SVG}text") if (t.text or "")[:4] == "2026"]
    assert len(dates) > 2
    assert all(later - before >= 112 for before, later in pairwise(dates))


def test_the_direction_that_eased_is_named_below_its_visit() -> None:
    found = course(
        taken(0, "baseline", pain=6), taken(0, "gap", pain=2), taken(0, "compression", pain=6)
    )
    assert "eased: gap" in pain_plot(found, ENGLISH)


def test_the_range_free_of_pain_is_where_pain_starts_or_all_of_it_without_pain() -> None:
    found = course(
        taken(0, "baseline", pain=5, range_deg=60, onset_deg=40),
        taken(0, "retest", pain=0, range_deg=66),
        taken(7, "baseline", pain=3, range_deg=64),
    )
    kinds = dict(plots(found, ENGLISH))
    assert list(kinds) == ["pain", "range", "pain-free"]
    told = ElementTree.fromstring(kinds["pain-free"]).findtext(f"{SVG}desc") or ""
    assert "2026-03-02: first baseline 40°, last retest 66°." in told
    assert "2026-03-09: first baseline not taken." in told


def test_a_dose_stands_as_high_as_its_repetitions_in_all() -> None:
    def given(day: int, **dose: Any) -> Entry:
        drill = Drill(name="heel raise", side="left", **dose)
        return taken(day, "retest", pain=1).model_copy(update={"content": drill})

    drills = progress(
        "C-014",
        (
            given(0, sets=2, reps=10, band="light", effort=3),
            given(7, sets=4, reps=10),
            given(9, hold_s=30),
        ),
        Comparer(load_tables()),
    ).drills
    ((name, shown, picture),) = dose_plots(drills, ENGLISH)
    assert (name, len(shown)) == ("left-heel-raise", 2)  # one without sets has no height
    root = ElementTree.fromstring(picture)
    zero, ten = _height_of(root, "0"), _height_of(root, "10")
    first, second = (zero - y for _, y in circles(picture, "vl-start"))
    assert first == pytest.approx(2 * (zero - ten), abs=0.1)  # by hand: 2 x 10, and 4 x 10
    assert second == pytest.approx(2 * first, abs=0.1)
    texts = [text.text for text in root.iter(f"{SVG}text")]
    assert {"2 × 10", "light band", "effort 3/10", "4 × 10"} <= set(texts)
    assert "2 sets of 10, 20 repetitions in all, light band" in (root.findtext(f"{SVG}desc") or "")
