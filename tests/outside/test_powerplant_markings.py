"""Powerplant instrument markings as the published rule has them, over engines of all shapes.

Source: 14 CFR 25.1549 (Amdt 25-40, 42 FR 15044, 17 March 1977), read in an online reprint. In own words:

(a) each maximum and, where there is one, minimum safe operating limit has a red radial or line;
(b) each normal range has a green arc or line, which does not reach past the safe limits;
(c) each takeoff or precautionary range has a yellow arc or line;
(d) each speed range that is restricted because of vibration has red arcs or lines.

14 CFR 27.1549 (small rotorcraft) had the same four; since Amdt 27-51 (88 FR 8738, 10 February 2023; read second hand,
in the edition of 1 January 2024) (b) lets the normal range be green *or unmarked*, and no longer says where it ends.

That every value must have a colour, and who owns a shared edge, are conventions of this tool and not of the rule.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from alertlang.api import loads
from alertlang.findings.codes import Severity
from alertlang.units.number import show_number


@dataclass(frozen=True)
class Gauge:
    """What an instrument reads: its sensor in whole steps, and one step."""

    name: str
    unit: str
    step: Fraction
    low: int
    high: int

    def number(self, steps: int) -> str:
        return show_number(steps * self.step)


GAUGES = (
    Gauge("rpm", "rpm", Fraction(10), 0, 350),
    Gauge("oil_temp", "C", Fraction(1), -50, 170),
    Gauge("oil_pressure", "bar", Fraction(1, 10), 0, 100),
    Gauge("torque", "%", Fraction(1, 2), 0, 260),
)


@dataclass(frozen=True)
class Engine:
    """The limits of one instrument, in steps. `low_yellow` and `high_yellow` end where green begins and ends."""

    gauge: Gauge
    minimum: int | None
    low_yellow: int | None
    high_yellow: int | None
    maximum: int
    avoid: tuple[int, int] | None = None

    @property
    def green(self) -> tuple[int, int]:
        low = self.low_yellow if self.low_yellow is not None else self.minimum
        return (self.gauge.low if low is None else low), (
            self.maximum if self.high_yellow is None else self.high_yellow
        )

    def statements(self) -> list[str]:
        """What a profile says of it."""
        q, n = self.gauge.name, self.gauge.number
        low, high = self.green
        said = [f"most: limit {q} at most {n(self.maximum)}, needs warning, source TC"]
        if self.minimum is not None:
            said.append(f"least: limit {q} at least {n(self.minimum)}, needs warning, source TC")
        if self.low_yellow is not None:
            start = self.gauge.low if self.minimum is None else self.minimum
            said.append(f"precaution {q} from {n(start)} to {n(self.low_yellow)}, source TC")
        if self.high_yellow is not None:
            said.append(f"precaution {q} from {n(self.high_yellow)} to {n(self.maximum)}, source TC")
        if self.avoid is not None:
            said.append(f"shaking: avoid {q} from {n(self.avoid[0])} to {n(self.avoid[1])}, needs caution, source TC")
        return [*said, f"normal {q} from {n(low)} to {n(high)}, source TC"]


@dataclass(frozen=True)
class Marking:
    """The bands of one instrument by label, each as the text after its label."""

    engine: Engine
    bands: dict[str, str] = field(default_factory=dict)

    def without(self, label: str) -> Marking:
        return replace(self, bands={name: band for name, band in self.bands.items() if name != label})

    def with_band(self, label: str, band: str) -> Marking:
        return replace(self, bands={**self.bands, label: band})

    def found(self) -> set[str]:
        """The names of all errors and warnings."""
        gauge = self.engine.gauge
        text = "\n".join(
            [
                'rules "engine" version 1',
                'source TC "type certificate data sheet of an engine drawn at random"',
                f"quantity {gauge.name} from {gauge.number(gauge.low)} to {gauge.number(gauge.high)} {gauge.unit}, "
                f"step {gauge.number(1)} {gauge.unit}",
                *self.engine.statements(),
                *(f"{label}: {band}" for label, band in self.bands.items()),
            ]
        )
        findings = loads(text + "\n", name="engine.alert").check().findings
        return {f.code.name for f in findings if f.severity >= Severity.WARNING}


def marking(engine: Engine, *, split: bool = False, normal: str = "green") -> Marking:
    """The bands that the rule asks for. `split`: green stops at the restricted range instead of passing under it."""
    q, n = engine.gauge.name, engine.gauge.number
    low, high = engine.green
    bands = {"red_high": f'{q} above {n(engine.maximum)} is red with warning "HIGH"'}
    if engine.minimum is not None:
        bands["red_low"] = f'{q} below {n(engine.minimum)} is red with warning "LOW"'
    if engine.low_yellow is not None:
        start = engine.gauge.low if engine.minimum is None else engine.minimum
        bands["yellow_low"] = f"{q} from {n(start)} to {n(low)} is yellow"
    if engine.high_yellow is not None:
        bands["yellow_high"] = f"{q} from {n(high)} to {n(engine.maximum)} is yellow"
    if engine.avoid is None:
        return Marking(engine, {**bands, "green_arc": f"{q} from {n(low)} to {n(high)} is {normal}"})
    first, last = engine.avoid
    bands["red_arc"] = f'{q} from {n(first)} to {n(last)} is red with caution "SHAKING"'
    if not split:
        return Marking(engine, {**bands, "green_arc": f"{q} from {n(low)} to {n(high)} is {normal}"})
    bands["green_arc"] = f"{q} from {n(low)} to {n(first)} is {normal}"
    bands["green_arc_above"] = f"{q} from {n(last)} to {n(high)} is {normal}"
    return Marking(engine, bands)


some = settings(max_examples=40)

# Every range is at least two steps wide: a band narrower than a step has a finding of its own.
widths = st.integers(2, 8)


@st.composite
def engines(draw: st.DrawFn, *, avoid: bool | None = None, minimum: bool | None = None) -> Engine:
    gauge = draw(st.sampled_from(GAUGES))
    place = gauge.low
    least = low_yellow = high_yellow = restricted = None
    if draw(st.booleans()) if minimum is None else minimum:
        least = place = place + draw(widths)
    if draw(st.booleans()):
        low_yellow = place = place + draw(widths)
    place += draw(widths)
    if draw(st.booleans()) if avoid is None else avoid:
        first = place
        place += draw(widths)
        restricted = (first, place)
        place += draw(widths)
    if draw(st.booleans()):
        high_yellow = place
        place += draw(widths)
    return Engine(gauge, least, low_yellow, high_yellow, place, restricted)


# ---- what the rule asks for is clean


@some
@given(engines(), st.booleans())
def test_a_marking_derived_from_the_limits_is_clean(engine: Engine, split: bool) -> None:
    assert marking(engine, split=split).found() == set()


@some
@given(engines())
def test_the_normal_range_may_be_unmarked(engine: Engine) -> None:
    """27.1549(b) as amended. Who does not follow it is told all the same: the profile calls it normal, and the gauge
    does not."""
    assert marking(engine, split=True, normal="unmarked").found() == {"normal-not-green"}


@some
@given(engines(avoid=True))
def test_a_restricted_range_may_lie_inside_green(engine: Engine) -> None:
    """(d): one green arc from end to end, with the red arc in it."""
    assert engine.avoid is not None
    assert engine.green[0] < engine.avoid[0] < engine.avoid[1] < engine.green[1]
    assert marking(engine).found() == set()


# ---- (a) and (b): green does not reach past the limits


@some
@given(engines())
def test_green_one_step_past_the_maximum_is_found(engine: Engine) -> None:
    """Green alone: it now lies under red, and under yellow where there is one."""
    good = marking(engine)
    low, _ = engine.green
    q, n = engine.gauge.name, engine.gauge.number
    bad = good.with_band("green_arc", f"{q} from {n(low)} to {n(engine.maximum + 1)} is green")
    assert "conflict" in bad.found()


@some
@given(engines(minimum=True))
def test_green_one_step_past_the_minimum_is_found(engine: Engine) -> None:
    assert engine.minimum is not None
    q, n = engine.gauge.name, engine.gauge.number
    bad = marking(engine).with_band("green_arc", f"{q} from {n(engine.minimum - 1)} to {n(engine.green[1])} is green")
    assert "conflict" in bad.found()


@some
@given(engines())
def test_red_that_begins_one_step_late_is_found(engine: Engine) -> None:
    """Green (or yellow) and red moved together, as when the limit itself is read wrong from a table."""
    q, n = engine.gauge.name, engine.gauge.number
    late = engine.maximum + 1
    bad = marking(engine).with_band("red_high", f'{q} above {n(late)} is red with warning "HIGH"')
    if engine.high_yellow is None:
        bad = bad.with_band("green_arc", f"{q} from {n(engine.green[0])} to {n(late)} is green")
    else:
        bad = bad.with_band("yellow_high", f"{q} from {n(engine.high_yellow)} to {n(late)} is yellow")
    assert bad.found() == {"unguarded-limit", "missing-alert"}


@some
@given(engines(minimum=True))
def test_red_that_ends_one_step_early_is_found(engine: Engine) -> None:
    assert engine.minimum is not None
    q, n = engine.gauge.name, engine.gauge.number
    early = engine.minimum - 1
    bad = marking(engine).with_band("red_low", f'{q} below {n(early)} is red with warning "LOW"')
    if engine.low_yellow is None:
        bad = bad.with_band("green_arc", f"{q} from {n(early)} to {n(engine.green[1])} is green")
    else:
        bad = bad.with_band("yellow_low", f"{q} from {n(early)} to {n(engine.low_yellow)} is yellow")
    assert bad.found() == {"unguarded-limit", "missing-alert"}


@some
@given(engines(), st.data())
def test_a_missing_red_band_is_found(engine: Engine, data: st.DataObject) -> None:
    good = marking(engine, split=True)
    label = data.draw(st.sampled_from([name for name in good.bands if name.startswith("red")]))
    assert good.without(label).found() == {"gap", "unguarded-limit", "missing-alert"}


# ---- (c): precautionary ranges are yellow


@some
@given(engines(), st.data())
def test_a_precaution_that_shows_green_is_found(engine: Engine, data: st.DataObject) -> None:
    good = marking(engine)
    yellows = [name for name in good.bands if name.startswith("yellow")]
    if not yellows:
        return
    label = data.draw(st.sampled_from(yellows))
    bad = good.with_band(label, good.bands[label].replace("is yellow", "is green"))
    assert bad.found() == {"unmarked-precaution"}


# ---- (d): restricted ranges are red


@some
@given(engines(avoid=True))
def test_green_in_place_of_the_red_arc_is_found(engine: Engine) -> None:
    good = marking(engine, split=True)
    bad = good.with_band("red_arc", good.bands["red_arc"].replace('is red with caution "SHAKING"', "is green"))
    assert bad.found() == {"unguarded-limit", "missing-alert"}


@some
@given(engines(avoid=True))
def test_one_green_arc_without_the_red_one_is_found(engine: Engine) -> None:
    assert marking(engine).without("red_arc").found() == {"unguarded-limit", "missing-alert"}


@some
@given(engines(avoid=True), st.booleans())
def test_green_that_ends_one_step_inside_the_red_arc_is_found(engine: Engine, from_below: bool) -> None:
    """Not red inside green but two numbers of which one is wrong."""
    assert engine.avoid is not None
    q, n = engine.gauge.name, engine.gauge.number
    good = marking(engine, split=True)
    if from_below:
        bad = good.with_band("green_arc", f"{q} from {n(engine.green[0])} to {n(engine.avoid[0] + 1)} is green")
    else:
        bad = good.with_band("green_arc_above", f"{q} from {n(engine.avoid[1] - 1)} to {n(engine.green[1])} is green")
    assert bad.found() == {"conflict"}


@some
@given(engines(avoid=True))
def test_a_red_arc_one_step_wider_than_the_restricted_range_is_found(engine: Engine) -> None:
    assert engine.avoid is not None
    q, n = engine.gauge.name, engine.gauge.number
    wide = f'{q} from {n(engine.avoid[0] - 1)} to {n(engine.avoid[1])} is red with caution "SHAKING"'
    # Where it is too wide it is red, and calls, in what the profile calls normal.
    assert marking(engine).with_band("red_arc", wide).found() == {"conflict", "normal-not-green", "nuisance"}


@some
@given(engines(avoid=True))
def test_red_inside_green_without_a_declared_range_is_found(engine: Engine) -> None:
    good = marking(engine)
    found = replace(good, engine=replace(engine, avoid=None)).found()
    assert found == {"conflict", "normal-not-green", "nuisance"}


# ---- restricted ranges that hold only at times

TIMES = """rules "times" version 1
source TC "type certificate data sheet of an invented engine, note 6"
quantity rpm from 0 to 3500 rpm, step 10 rpm
quantity cht[2] from 0 to 500 F, step 1 F
switch propeller two_blades, three_blades
rpm at most 2750 is green
rpm above 2750 is red
cht from 0 to 500 is green
"""


@pytest.mark.parametrize(
    ("statements", "expected"),
    [
        # The arc shows exactly when the range is restricted.
        (
            "when propeller is two_blades avoid rpm from 2000 to 2150, source TC\n"
            "when propeller is two_blades then rpm from 2000 to 2150 is red",
            set(),
        ),
        # The arc shows always, the range is restricted only at times: nothing declares the rest.
        (
            "when propeller is two_blades avoid rpm from 2000 to 2150, source TC\nrpm from 2000 to 2150 is red",
            {"conflict"},
        ),
        # Two ranges side by side declare one arc; with a step between them they do not.
        (
            "avoid rpm from 2000 to 2050, source TC\navoid rpm from 2050 to 2150, source TC\n"
            "rpm from 2000 to 2150 is red",
            set(),
        ),
        (
            "avoid rpm from 2000 to 2050, source TC\navoid rpm from 2060 to 2150, source TC\n"
            "rpm from 2000 to 2150 is red",
            {"conflict"},
        ),
        # Each element by itself: the range of one cylinder declares nothing for another.
        ("avoid cht[2] from 200 to 210, source TC\ncht[2] from 200 to 210 is red", set()),
        ("avoid cht[2] from 200 to 210, source TC\ncht[1] from 200 to 210 is red", {"conflict", "unguarded-limit"}),
        ("avoid cht[2] from 200 to 210, source TC\ncht from 200 to 210 is red", {"conflict"}),
    ],
)
def test_what_declares_a_red_arc(statements: str, expected: set[str]) -> None:
    findings = loads(TIMES + statements + "\n").check().findings
    assert {f.code.name for f in findings if f.severity >= Severity.WARNING} == expected
