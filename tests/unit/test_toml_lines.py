"""The line that a mistake in a TOML file is told with."""

import pytest

from voicelog.data_files.toml_lines import line_of

TEXT = """\
# pain = "in a comment"
side = ["left"]

["tail bone"]
motions = ["expansion"]
limits = { pain = 4, range_deg = 5 }

[read_back.pain]
low = 1

[drills]
"wall slide" = ["wall slide"]
"""


@pytest.mark.parametrize(
    ("keys", "line"),
    [
        (["side"], 2),
        (["tail bone"], 4),
        (["tail bone", "motions"], 5),
        (["tail bone", "limits", "pain"], 6),
        (["read_back", "pain", "low"], 9),
        (["drills", "wall slide", "0"], 12),
        (["nowhere"], None),
        ([], None),
    ],
)
def test_a_key_is_found_on_its_line(keys: list[str], line: int | None) -> None:
    assert line_of(TEXT, keys) == line
