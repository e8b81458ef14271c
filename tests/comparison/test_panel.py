"""What stands on the panel, sources, and what is said of what is left out."""

from __future__ import annotations

import json

import pytest

import alertlang
from alertlang import api
from alertlang.comparison import Comparison, Direction
from alertlang.output.comparison import comparison_lines, truth_words
from alertlang.results.comparison import SUMMARY_WIDTH

BASE = """rules "panel" version 1
source S common practice
source OTHER from memory
quantity rpm from 0 to 3500 rpm, step 10 rpm
quantity egt[2] from 0 to 2000 F
switch flaps up, down
limit rpm at most 2750 rpm, needs warning, source S
fast: rpm above 2750 is red with warning "FAST"
slow: rpm below 500 is yellow with caution "SLOW"
lamp "W" shows warning and slow, sequence A with lock-in, acknowledged by ack
"""
L, M, N = Direction.LESS, Direction.MORE, Direction.OTHER


def compared(old: str, new: str) -> Comparison:
    assert old in BASE
    return api.compare(alertlang.loads(BASE), alertlang.loads(BASE.replace(old, new, 1)))


LAMP = 'lamp "W" shows warning and slow, sequence A with lock-in, acknowledged by ack\n'


@pytest.mark.parametrize(
    ("old", "new", "way", "words"),
    [
        (LAMP, "", L, 'there is no lamp "W" any more; it showed warning and slow'),
        ("shows warning and slow", "shows warning", L, 'lamp "W" no longer shows slow'),
        ("shows warning and slow", "shows slow", L, 'lamp "W" no longer shows warning'),
        ("shows warning", "shows warning and caution", M, 'lamp "W" now shows caution too'),
        ("with lock-in", "without lock-in", L, 'lamp "W" no longer keeps an alert lit'),
        ("A with lock-in, acknowledged by ack", "M, acknowledged by ack, reset by rst", M, "sequence M instead of A"),
        ("by ack", "by quit", N, 'lamp "W" is acknowledged by quit instead of by ack'),
        (LAMP, LAMP + LAMP.replace("W", "X"), M, 'lamp "X" is new'),
    ],
)
def test_lamps(old: str, new: str, way: Direction, words: str) -> None:
    found = compared(old, new)
    assert any(c.direction is way and words in c.message for c in found.changes), [c.message for c in found.changes]
    assert found.less_strict is (way is L)


def test_a_statement_named_anew_lights_what_it_lit() -> None:
    text = BASE.replace("slow:", "sluggish:").replace("and slow", "and sluggish")
    assert api.compare(alertlang.loads(BASE), alertlang.loads(text)).same


def test_another_source_is_told() -> None:
    found = compared("needs warning, source S", "needs warning, source OTHER")
    assert found.shows_the_same
    [change] = found.changes
    assert change.direction is N
    assert "source OTHER; it was: limit rpm at most 2750 rpm, needs warning, source S" in change.message


def test_what_is_left_out_is_said() -> None:
    # Four stretches of one kind of difference, of which three are told.
    stretches = "".join(f"s{i}: rpm from {1000 + 200 * i} to {1100 + 200 * i} is green\n" for i in range(4))
    found = api.compare(alertlang.loads(BASE + stretches), alertlang.loads(BASE))
    told = [c for c in found.changes if c.kind == "colour"]
    assert [c.complete for c in told] == [True, True, False]
    # Its statement is told all the same.
    assert [c.message for c in found.changes if c.kind == "written"] == ["no longer: rpm from 1600 to 1700 is green"]
    assert not found.complete
    lines = ["".join(part for _, part in line) for line in comparison_lines(found)]
    assert "  there are more regions like this one, which are not told" in lines
    data = json.loads(found.to_json())
    assert (data["complete"], data["changes"][2]["complete"]) == (False, False)
    fewer = api.compare(alertlang.loads(BASE + stretches.split("s3")[0]), alertlang.loads(BASE))
    assert (len(fewer.changes), fewer.complete) == (3, True)


def test_the_summary_is_one_line_of_bounded_length() -> None:
    more = "".join(f'x{i}: when flaps is down and rpm above {1000 + i} then advisory "NUMBER {i}"\n' for i in range(20))
    found = api.compare(alertlang.loads(BASE + more), alertlang.loads(BASE.replace("above 2750 is", "above 2800 is")))
    assert len(found.summary) <= SUMMARY_WIDTH
    assert "\n" not in found.summary
    assert found.summary.startswith("22 less strict: rpm blank instead of red above 2750 up to 2800 rpm; ")
    assert found.summary.endswith(" more")


@pytest.mark.parametrize(
    ("name", "holds", "words"),
    [
        ("fast (after) kept up", False, "the new fast is not up from before"),
        ("fast[2] due", False, "fast[2] has not lasted long enough for its alert yet"),
        ("cold (told without oil)", False, "not cold while oil is missing"),
        ("cold (told without a, b, c)", True, "cold while sensors are missing"),
        ("x for more than 5 min", False, "x has not lasted more than 5 min"),
        ("running for at least 30 s", False, "not (running for at least 30 s)"),
        ("oil failed", True, "oil has failed"),
    ],
)
def test_what_a_moment_leaves_open_reads_well(name: str, holds: bool, words: str) -> None:
    assert truth_words(name, holds) == words


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ('labelled "RPM"', 'labelled "ENG"', "gauge of rpm, label: ENG instead of RPM"),
        ('flaps labelled "FLAP"', 'flaps labelled "FL"', "input of flaps, label: FL instead of FLAP"),
        ('gauge rpm labelled "RPM"\n', "", "gauge of rpm is no longer stated"),
        (
            'gauge rpm labelled "RPM"\ngauge egt labelled "EGT"\n',
            'gauge egt labelled "EGT"\ngauge rpm labelled "RPM"\n',
            "order",
        ),
    ],
)
def test_gauges_and_inputs_have_no_direction(old: str, new: str, words: str) -> None:
    text = BASE + 'gauge rpm labelled "RPM"\ngauge egt labelled "EGT"\ninput flaps labelled "FLAP"\n'
    assert old in text
    found = api.compare(alertlang.loads(text), alertlang.loads(text.replace(old, new, 1)))
    [change] = found.changes
    assert (change.kind, change.direction) == ("statement", N)
    assert words in change.message
    assert not found.less_strict
