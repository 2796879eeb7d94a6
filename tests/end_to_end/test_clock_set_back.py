"""A machine whose clock was set back, as one with an empty battery starts years ago."""

from datetime import UTC, datetime, timedelta
from pathlib import Path

import numpy as np
import pytest
import soundfile

from tests.end_to_end.practice import Practice

TODAY = datetime.now(UTC)


@pytest.mark.parametrize(("ahead", "warned"), [(timedelta(days=400), True), (-timedelta(1), False)])
def test_before_a_visit_it_is_said_that_the_clock_is_behind(
    practice: Practice, tmp_path: Path, ahead: timedelta, warned: bool
) -> None:
    earlier = practice.visit("C-021", TODAY + ahead)
    quiet = tmp_path / "quiet.wav"
    soundfile.write(quiet, np.zeros(16_000, np.int16), 16_000)
    line = ("listen", "--client", "C-014", "--screen-later", "--audio", str(quiet))
    done = practice.type(*line)
    assert done.code == 0
    assert ("The clock of this machine says" in done.err) is warned
    assert (f"visit {earlier.visit_id} began at" in done.err) is warned
