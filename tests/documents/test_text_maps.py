"""In text every stretch of a strip or a map is seen, however narrow, and the numbers are of what is drawn."""

from __future__ import annotations

import re
from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from alertlang.api import load, loads
from alertlang.checks.context import Context
from alertlang.documents.terminal import LETTERS, gauge_lines, map_lines
from alertlang.gauges.course import Course
from alertlang.gauges.operating_map import OperatingMap, axis, operating_map
from alertlang.gauges.strip import gauge
from alertlang.model import ruleset as m
from alertlang.output.style import Line
from alertlang.text.resources import examples_dir
from alertlang.units.number import number_words
from tests.documents.test_pictures import MOVING, shown_in
from tests.helpers.timed import values_of

PANEL = examples_dir() / "02-bramble" / "bramble-panel.alert"

NARROW = """rules "narrow" version 1
quantity rpm from 0 to 3000 rpm
quantity temp from 0 to 300 F
rpm at most 2690 rpm is green
rpm from 2690 to 2700 rpm is yellow
rpm from 2690 to 2700 rpm for more than 5 min is red
rpm above 2700 rpm is red
when temp from 100 F to 101 F then rpm from 1000 to 1001 rpm is red
"""


def texts(lines: list[Line]) -> list[str]:
    return ["".join(part for _, part in line) for line in lines]


def signs(course: Course) -> list[str]:
    return [LETTERS[colour][0] for colour in course.colours]


def drawn(model: m.RuleSet, of: str, over: str, width: int = 80, height: int = 20) -> tuple[OperatingMap, list[str]]:
    found = operating_map(Context(model), of, over)
    assert found is not None
    return found, texts(map_lines(found, width, height))


def told(lines: list[str], label: str) -> list[str]:
    """The numbers that a map says its colours change at."""
    words = " ".join(" ".join(lines).split())
    match = re.search(rf"{re.escape(' '.join(label.split()))} changes at ([-0-9./]+(?:, [-0-9./]+)*)", words)
    return match[1].split(", ") if match else []


def evaluated(found: OperatingMap, side: str) -> list[Fraction]:
    """Where, along one side, the colours of what lies on either hand of a number of the rules differ at some place."""
    moving, other = (found.x, found.y) if side == "x" else (found.y, found.x)
    rules = found.still.ruleset
    along, beside = (
        sorted({v for v in values_of(rules, q) if q.low <= v <= q.high} | {q.low, q.high})
        for q in (moving.quantity, other.quantity)
    )

    def shown(value: Fraction, place: Fraction) -> set[Course]:
        return shown_in(found, (value, place) if side == "x" else (place, value))

    places = [low + (high - low) * Fraction(499, 997) for low, high in pairwise(beside)]
    # Near the middles: a point on a line that cuts the map is strictly in no piece of it.
    middles = [low + (high - low) * Fraction(491, 991) for low, high in pairwise(along)]
    return [
        edge
        for edge, (before, after) in zip(along[1:-1], pairwise(middles), strict=True)
        if any(shown(before, place) != shown(after, place) for place in places)
    ]


def hold_blocks_against_the_map(found: OperatingMap, lines: list[str], across: list[Fraction]) -> int:
    """Read the text alone: rows by their numbers, columns by the marks below; each block between edges shows its own
    colour. How many blocks there were."""
    field = [line for line in lines if re.match(r" *[-0-9./]* *\|.*\|$", line)]
    start = field[0].index("|") + 1
    below = lines[lines.index(field[-1]) + 1]
    marks = [i - start for i, sign in enumerate(below) if sign == "^"]
    assert len(marks) == len(across)
    columns = [0, *marks, len(field[0]) - start - 1]
    tops = [i for i, line in enumerate(field) if line[: start - 1].strip()]
    y, x = found.y.quantity, found.x.quantity
    ups = [y.high, *map(Fraction, reversed([str(v) for v in evaluated(found, "y")])), y.low]
    assert [field[i][: start - 1].strip() for i in tops] == [number_words(v) for v in ups]
    blocks = 0
    for upper, lower, first, last in zip(ups, ups[1:], tops, [*tops[1:-1], len(field)], strict=False):
        for (left, right), (begin, end) in zip(pairwise([x.low, *across, x.high]), pairwise(columns), strict=True):
            (course,) = shown_in(
                found, (left + (right - left) * Fraction(499, 997), lower + (upper - lower) * Fraction(491, 991))
            )
            block = {sign for line in field[first:last] for sign in line[start:-1][begin:end]}
            assert block == set(signs(course)), (course.words, upper, lower, left, right)
            blocks += 1
    return blocks


@st.composite
def crowded(draw: st.DrawFn) -> str:
    """Bands of one gauge, in stretches of another, that are wide and narrow."""
    values = st.sampled_from([0, 1, 3, 40, 100, 101, 102, 550, 551, 700, 998, 999, 1000])
    rules = ['rules "crowded" version 1', "quantity a from 0 to 1000", "quantity b from 0 to 1000"]
    for _ in range(draw(st.integers(2, 7))):
        (low, high), (left, right) = (sorted(draw(st.lists(values, min_size=2, max_size=2, unique=True))) for _ in "ab")
        when = draw(st.sampled_from(["", f"when b from {left} to {right} then "]))
        held = draw(st.sampled_from(["", "", " for more than 5 s"]))
        colour = draw(st.sampled_from(["red", "yellow", "green", "unmarked", "blue"]))
        rules.append(f"{when}a from {low} to {high}{held} is {colour}")
    return "\n".join(rules) + "\n"


@settings(max_examples=60, deadline=None, phases=[Phase.explicit, Phase.generate])
@given(crowded())
def test_every_stretch_of_a_random_map_is_seen_in_text(text: str) -> None:
    # Few rows: what is shown in them all the same is what had none of its own.
    found, lines = drawn(loads(text).model, "a", "b", 60, 3)
    across = evaluated(found, "x")
    for side, label in (("x", found.x.label), ("y", found.of.label)):
        assert told(lines, label) == [number_words(v) for v in evaluated(found, side)]
    assert max(map(len, lines)) <= 60
    assert hold_blocks_against_the_map(found, lines, across) > 0


@pytest.mark.parametrize(
    ("of", "over", "across", "up", "blocks"),
    [("rpm", "temp", [100, 101], [1000, 1001, 2690, 2700], 15), ("temp", "rpm", [], [], 1)],
)
def test_a_narrow_band_has_its_row_and_its_column(
    of: str, over: str, across: list[int], up: list[int], blocks: int
) -> None:
    text = NARROW.replace("temp from 0 to 300 F", "temp from 0 to 300 F\ntemp at most 300 F is green")
    found, lines = drawn(loads(text).model, of, over)
    assert told(lines, found.x.label) == [str(v) for v in across]
    assert told(lines, found.of.label) == [str(v) for v in up]
    assert hold_blocks_against_the_map(found, lines, [Fraction(v) for v in across]) == blocks


def test_a_map_of_volts_has_its_narrow_yellow_and_no_edges_of_the_other_gauge() -> None:
    found, lines = drawn(load(PANEL).model, "volts", "battery_amps")
    assert hold_blocks_against_the_map(found, lines, []) == 5
    assert any(re.match(r" *15\.5\|\++\|$", line) for line in lines)
    assert told(lines, found.x.label) == []
    assert "has edges of limits, drawn in a picture, at -10, 40" in " ".join(" ".join(lines).split())


@pytest.mark.parametrize("width", [80, 40])
def test_regions_with_slanted_edges_are_seen_or_named(width: int) -> None:
    for of, over in (("map", "rpm"), ("map", "cht[2]"), ("rpm", "oil_temp")):
        found, lines = drawn(loads(MOVING).model, of, over, width)
        field = "".join(line[line.index("|") + 1 : -1] for line in lines if line.endswith("|"))
        assert all(signs(course)[-1] in field for course, _ in found.regions)


def test_a_sliver_between_slanted_edges_is_shown_where_it_is_worse_and_else_named() -> None:
    def sliver(inside: str, around: str) -> list[str]:
        return drawn(
            loads(
                'rules "sliver" version 1\nquantity a from 0 to 100\nquantity b from 0 to 100\nlet apart = a - b\n'
                f"when apart from 10.001 to 10.002 then a at least 0 is {inside}\n"
                f"when apart below 10.001 then a at least 0 is {around}\n"
                f"when apart above 10.002 then a at least 0 is {around}\n"
            ).model,
            "a",
            "b",
        )[1]

    worse = sliver("red", "green")
    assert sum("#" in line for line in worse if line.endswith("|")) > 10
    assert not any("not drawn" in line for line in worse)
    calmer = sliver("green", "red")
    assert not any("." in line.split("|")[1] for line in calmer if line.endswith("|"))
    assert "not drawn, for there is no room: green in b 0 to 89.999, a 10.001 to 100" in " ".join(
        " ".join(calmer).split()
    )


def test_more_stretches_than_columns_share_them_and_are_named() -> None:
    bands = "\n".join(
        f"when t from {20 * i} to {20 * i + (1 if i == 7 else 10)} then a at most 10 is {'red' if i == 7 else 'green'}"
        for i in range(20)
    )
    model = loads(
        f'rules "many" version 1\nquantity a from 0 to 10\nquantity t from 0 to 400\n'
        f"a at most 10 is unmarked\n{bands}\n"
    ).model
    _, lines = drawn(model, "a", "t", 30)
    said = " ".join(" ".join(lines).split())
    assert "no column of its own, but the worst in a column shown: " in said
    assert re.search(r"shown: .*t 140 to 141", said)
    assert all("#" in line for line in lines if line.endswith("|"))
    assert max(map(len, lines)) <= 30


def test_a_strip_has_a_column_for_every_stretch() -> None:
    model = loads(NARROW).model
    lines = texts(gauge_lines(gauge(Context(model), axis(model, "rpm")), 80))
    bars = [line for line in lines if line.startswith("  [")]
    assert all(re.search(r"\+#+\]$|\+#*\+#+\]$", bar) for bar in bars)
    assert [bool(re.search(r"\.#\.", bar)) for bar in bars].count(True) == 1
    calm = loads(
        'rules "x" version 1\nquantity rpm from 0 to 3000 rpm\nrpm at least 0 rpm is red\n'
        "quantity t from 0 to 3000 F\nt below 1500 F is yellow\nt from 1500 F to 1501 F is green\n"
        "t above 1501 F is yellow\n"
    ).model
    assert texts(gauge_lines(gauge(Context(calm), axis(calm, "t")), 80))[3].count(".") == 1


def test_what_has_no_column_in_a_bar_is_named_and_is_the_calmest() -> None:
    bands = "\n".join(
        f"t from {10 * i} to {10 * i + 10} is {('green', 'yellow')[i % 2] if i != 9 else 'red'}" for i in range(40)
    )
    model = loads(f'rules "x" version 1\nquantity t from 0 to 400\n{bands}\n').model
    lines = texts(gauge_lines(gauge(Context(model), axis(model, "t")), 40))
    assert lines[3].count("#") == 1
    said = " ".join(" ".join(lines).split())
    assert "not in the bar, for there is no room: from 0 to below 10" in said
