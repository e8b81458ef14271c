"""The markings pack against 14 CFR 25.1549, over instruments of all shapes.

Source: 14 CFR 25.1549 (Amdt 25-40, 42 FR 15044, 17 March 1977), read in an online reprint; 27.1549 (small rotorcraft)
has the same four items. In own words:

(a) each maximum and, where there is one, minimum safe operating limit has a red line;
(b) each normal range has a green arc, which does not reach past the safe limits;
(c) each takeoff and each precautionary range has a yellow arc;
(d) each speed range restricted because of vibration has red arcs.

Which finding each mistake must give follows from these four alone. Who owns a shared edge the rule does not say, so
marks are tried with it and without.
"""

from __future__ import annotations

from dataclasses import dataclass

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from alertlang.api import loads
from alertlang.diagnostics.codes import Severity

PACK = {"green-past-limit": "b", "unmarked-limit": "a", "takeoff-not-yellow": "c", "restricted-not-red": "d"}
some = settings(max_examples=30)
steps = st.integers(3, 12)


@dataclass(frozen=True)
class Dial:
    """Numbers of an engine speed indicator in steps of 10 rpm, each above the one before."""

    minimum: int
    restricted: tuple[int, int]
    continuous: int
    takeoff: int
    top: int
    inclusive: bool

    def limits(self) -> list[str]:
        first, last = self.restricted
        return [
            f"least: limit rpm at least {self.minimum}0, source TC",
            f"shaking: avoid rpm from {first}0 to {last}0 except for 10 s, source TC",
            f"power: limit rpm at most {self.continuous}0 except for 5 min, source TC",
            f"redline: limit rpm at most {self.takeoff}0, source TC",
        ]

    def bands(self) -> dict[str, str]:
        """The marks that the rule asks for, by label."""
        first, last = self.restricted
        above, below = ("at least", "at most") if self.inclusive else ("above", "below")
        return {
            "red_low": f"rpm {below} {self.minimum}0 is red",
            "green_low": f"rpm from {self.minimum}0 to {first}0 is green",
            "red_arc": f"rpm from {first}0 to {last}0 is red",
            "green_high": f"rpm from {last}0 to {self.continuous}0 is green",
            "yellow": f"rpm from {self.continuous}0 to {self.takeoff}0 is yellow",
            "red_late": f"rpm above {self.continuous}0 for more than 5 min is red",
            "red_high": f"rpm {above} {self.takeoff}0 is red",
        }


@st.composite
def dials(draw: st.DrawFn) -> Dial:
    minimum = draw(steps)
    first = minimum + draw(steps)
    last = first + draw(steps)
    continuous = last + draw(steps)
    takeoff = continuous + draw(steps)
    return Dial(minimum, (first, last), continuous, takeoff, takeoff + draw(steps), draw(st.booleans()))


def found(dial: Dial, bands: dict[str, str], *follows: str) -> dict[str, set[str]]:
    """Findings of the pack by name, each with the limits they are about; all must be errors exactly when followed."""
    text = "\n".join(
        [
            'rules "dial" version 1',
            'source TC "a type certificate data sheet drawn at random"',
            f"quantity rpm from 0 to {dial.top}0 rpm, step 10 rpm",
            *dial.limits(),
            *(f"m_{label}: {band}" for label, band in bands.items()),
            *(f'follow "{follow}"' for follow in follows),
        ]
    )
    said: dict[str, set[str]] = {}
    for one in loads(text + "\n").check().findings:
        if one.code.name in PACK:
            assert one.severity is (Severity.ERROR if follows else Severity.NOTE), one.message
            said.setdefault(one.code.name, set()).add(str(one.limit))
    return said


@some
@given(dials(), st.sampled_from(["25.1549", "27.1549", "23.1549"]))
def test_marks_as_the_rule_has_them_are_clean(dial: Dial, rule: str) -> None:
    assert found(dial, dial.bands(), rule) == {}
    assert found(dial, dial.bands()) == {}


@some
@given(dials(), st.integers(1, 2))
def test_a_red_that_begins_early_is_not_at_the_limit(dial: Dial, early: int) -> None:
    """(a), maximum."""
    bands = dial.bands()
    bands["red_high"] = f"rpm above {dial.takeoff - early}0 is red"
    bands["yellow"] = f"rpm from {dial.continuous}0 to {dial.takeoff - early}0 is yellow"
    assert found(dial, bands, "25.1549(a)") == {"unmarked-limit": {"redline"}}
    assert found(dial, bands) == {"unmarked-limit": {"redline"}}


@some
@given(dials())
def test_a_red_that_ends_late_is_not_at_the_minimum(dial: Dial) -> None:
    """(a), minimum."""
    bands = dial.bands()
    bands["red_low"] = f"rpm below {dial.minimum + 1}0 is red"
    bands["green_low"] = f"rpm from {dial.minimum + 1}0 to {dial.restricted[0]}0 is green"
    assert found(dial, bands, "25.1549") == {"unmarked-limit": {"least"}}


@some
@given(dials())
def test_a_red_that_begins_late_has_green_or_no_mark(dial: Dial) -> None:
    """(a) and (b): green goes up to where red now begins."""
    bands = dial.bands()
    late = dial.takeoff + 1
    bands["red_high"] = f"rpm above {late}0 is red"
    bands["too_green"] = f"rpm from {dial.takeoff}0 to {late}0 is green"
    assert found(dial, bands, "25.1549") == {"unmarked-limit": {"redline"}, "green-past-limit": {"redline"}}


@some
@given(dials(), st.integers(1, 2))
def test_green_one_step_past_the_red_line_is_found(dial: Dial, past: int) -> None:
    """(b): under the red, at either end."""
    bands = dial.bands()
    bands["long"] = f"rpm from {dial.continuous}0 to {dial.takeoff + past}0 is green"
    assert found(dial, bands, "25.1549(b)") == {"green-past-limit": {"redline"}}
    bands = dial.bands()
    bands["long"] = f"rpm from {dial.minimum - past}0 to {dial.restricted[0]}0 is green"
    assert found(dial, bands, "27.1549(b)") == {"green-past-limit": {"least"}}


@some
@given(dials(), st.sampled_from(["green", "white", "blue", "unmarked"]))
def test_a_takeoff_range_that_is_not_yellow_is_found(dial: Dial, colour: str) -> None:
    """(c): green until the five minutes are over."""
    bands = dial.bands()
    bands["yellow"] = bands["yellow"].replace("yellow", colour)
    assert found(dial, bands, "25.1549(c)") == {"takeoff-not-yellow": {"power"}}
    assert found(dial, bands) == {"takeoff-not-yellow": {"power"}}


@some
@given(dials(), st.booleans())
def test_a_restricted_range_that_is_not_red_at_once_is_found(dial: Dial, later: bool) -> None:
    """(d): yellow while it may be passed through, and red after that."""
    bands = dial.bands()
    first, last = dial.restricted
    bands["red_arc"] = f"rpm from {first}0 to {last}0 is yellow"
    if later:
        bands["red_after"] = f"rpm from {first}0 to {last}0 for more than 10 s is red"
    assert found(dial, bands, "25.1549(d)") == {"restricted-not-red": {"shaking"}}


@some
@given(dials())
def test_red_inside_green_is_no_fault(dial: Dial) -> None:
    """(d): the restricted range may lie inside the normal one; the arc under it goes on."""
    bands = dial.bands()
    del bands["green_high"]
    bands["green_low"] = f"rpm from {dial.minimum}0 to {dial.continuous}0 is green"
    assert found(dial, bands, "25.1549") == {}


# ---- contexts

SHAPES = """\
rules "shapes" version 1
source TC "invented"
quantity rpm from 0 to 3500 rpm, step 10 rpm
quantity oil_temp from -40 to 300 F, step 1 F
switch gear up, down
redline: limit rpm at most 2750 rpm, source TC
follow "25.1549"
"""


@pytest.mark.parametrize(
    ("statements", "expected"),
    [
        # A colder, tighter limit has its own mark, and where it holds the other needs none.
        (
            "cold: when oil_temp below 75 limit rpm at most 1200, source TC\n"
            "rpm at most 2750 is green\nwhen oil_temp at least 75 then rpm above 2750 is red\n"
            "when oil_temp below 75 then rpm above 1200 is red\n",
            {},
        ),
        # The tighter one is marked in half of its contexts.
        (
            "cold: when oil_temp below 75 limit rpm at most 1200, source TC\n"
            "rpm at most 2750 is green\nrpm above 2750 is red\n"
            "when oil_temp below 75 and gear is up then rpm above 1200 is red\n"
            "when oil_temp below 75 and gear is down then rpm above 1100 is red\n",
            {"unmarked-limit": {"cold"}},
        ),
        # The red line is there with the gear down only; up it begins 50 rpm early.
        (
            "rpm at most 2700 is green\nwhen gear is down then rpm from 2700 to 2750 is green\n"
            "when gear is down then rpm above 2750 is red\nwhen gear is up then rpm above 2700 is red\n",
            {"unmarked-limit": {"redline"}},
        ),
        # Two limits of one value share a mark.
        (
            "again: limit rpm at most 2750 rpm, source TC\nrpm at most 2750 is green\nrpm above 2750 is red\n",
            {},
        ),
        # The looser of two that always hold needs no mark: the tighter one is the limit.
        (
            "tight: limit rpm at most 2600 rpm, source TC\nrpm at most 2600 is green\nrpm above 2600 is red\n",
            {},
        ),
        # A limit of the sensor's whole range has nothing to mark.
        (
            "all: limit rpm at most 3500 rpm, source TC\nrpm at most 2750 is green\nrpm above 2750 is red\n",
            {},
        ),
        # Red in two pieces begins where the first one does.
        (
            "rpm at most 2750 is green\nrpm from 2750 to 3000 is red\nrpm above 3000 is red\n",
            {},
        ),
        # A range to avoid on a temperature is no speed range: (d) does not speak of it.
        (
            "soak: avoid oil_temp from 100 to 110 F except for 10 s, source TC\n"
            "rpm at most 2750 is green\nrpm above 2750 is red\n"
            "oil_temp from -40 to 300 F is green\noil_temp from 100 to 110 F for more than 10 s is red\n",
            {},
        ),
        # Green with the gear up reaches past a limit that holds with the gear up; the red is under other contexts.
        (
            "up: when gear is up limit rpm at most 2500, source TC\n"
            "when gear is up then rpm at most 2600 is green\nwhen gear is down then rpm at most 2750 is green\n"
            "rpm above 2750 is red\nwhen gear is up and oil_temp at least 100 then rpm above 2500 is red\n"
            "when gear is up and oil_temp below 100 then rpm above 2500 is red\n",
            {"green-past-limit": {"up"}},
        ),
    ],
)
def test_contexts(statements: str, expected: dict[str, set[str]]) -> None:
    said: dict[str, set[str]] = {}
    for one in loads(SHAPES + statements).check().findings:
        if one.code.name in PACK:
            said.setdefault(one.code.name, set()).add(str(one.limit))
    assert said == expected


def test_each_element_of_an_array_by_itself() -> None:
    text = """\
rules "cylinders" version 1
source TC "invented"
quantity cht[2] from 0 to 500 F, step 1 F
hot: limit cht at most 460 F, source TC
cht[1] at most 460 is green
cht[2] at most 450 is green
cht[1] above 460 is red
cht[2] above 450 is red
follow "25.1549(a)"
"""
    [one] = [f for f in loads(text).check().findings if f.code.name in PACK]
    assert "no red on cht[2] begins at 460 F" in one.message


def test_the_witness_is_a_state_of_the_fault() -> None:
    """At the limit with the gear up: red began below it."""
    statements = (
        "rpm at most 2700 is green\nwhen gear is down then rpm from 2700 to 2750 is green\n"
        "when gear is down then rpm above 2750 is red\nwhen gear is up then rpm above 2700 is red\n"
    )
    [one] = [f for f in loads(SHAPES + statements).check().findings if f.code.name in PACK]
    assert one.witness is not None
    assert one.witness["gear"] == "up"
    assert "whenever gear is up" in one.message
