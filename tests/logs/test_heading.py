"""Which line names the columns, told from what stands above and below it by its shape.

Source: the documented behaviour (grammar/LOGS.md).
"""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from alertlang.logs.heading import find_heading, is_type_row

ROWS = ["0,1,on", "1,2,on", "2,3,off", "3,4,off"]


@pytest.mark.parametrize(
    ("above", "below"),
    [
        ([], ROWS),
        (["# a comment, with a comma"], ROWS),
        (["Recorder Willow"], ROWS),
        (["Serial,0042,"], ROWS),
        (["Date,2026-05-03,23:40:00"], ROWS),
        (["a,b,c"], ROWS),
        (["Recorder,Willow", "17,2026"], ROWS),
        (["Recorder,Willow,Three", "", "x,y,z"], ROWS),
        (["1,2,3"], ROWS),
        ([], ["s,rpm,", *ROWS]),
        ([], ["float,int,string", "s,rpm,", *ROWS]),
        (["Serial,0042,"], ["s,rpm,", "float,int,string", *ROWS]),
        # A damaged first row, and a separator at the end of each.
        (["Serial,0042,"], ["0,1", *ROWS]),
        (["Serial,0042"], ["?,?,?", *ROWS]),
        ([], [f"{row}," for row in ROWS]),
        ([], ["2026-05-03 23:40:00,up,on"] * 3),
    ],
)
def test_the_heading_is_found_by_its_shape(above: list[str], below: list[str]) -> None:
    assert find_heading([*above, "time,rpm,pump", *below], "#", None) == len(above)


def test_where_nothing_is_like_a_heading_it_is_the_first_line_that_says_something() -> None:
    assert find_heading(["", "# note", "rpm", "1", "2"], "#", None) == 2
    assert find_heading(["7,8", "1,2"], "#", None) == 0
    assert find_heading(["", "# note"], "#", None) is None


def test_words_that_are_types_too_can_be_names() -> None:
    assert is_type_row(["float", "Float64", "(string)", "", "text"])
    assert not is_type_row(["time", "date", "text"])


cells = st.sampled_from(["Serial", "0042", "2026-05-03", "Willow", "", "23:40:00", "17.5", "note"])


@given(
    st.lists(st.lists(cells, min_size=1, max_size=4), max_size=4), st.integers(4, 8), st.sampled_from([",", ";", "\t"])
)
def test_any_preamble_of_fewer_cells_stands_above(lines: list[list[str]], width: int, separator: str) -> None:
    """Padded to the width of the log or not."""
    names = [f"column {chr(97 + n)}" for n in range(width + 1)]
    rows = [[str(10 * k + n) for n in range(width + 1)] for k in range(12)]
    for pad in (False, True):
        above = [[*line, *[""] * ((width + 1 - len(line)) * pad)] for line in lines]
        text = [separator.join(line) for line in [*above, names, *rows]]
        assert find_heading(text, "#", None) == len(lines)
