"""The words of the clock against rtamt, a general library that monitors formulas of past-time signal temporal logic.

Our words speak of samples, with times of their own; a delay is over at the first sample at which the input has been
true "at every sample since one at least D earlier". The logic speaks of instants. They say the same in this way:

- *Evenly spaced samples, discrete time.* Let the samples be P apart and D be n times P. A sample at least D earlier at
  and since which x is true: x is true at this sample and at the n before it, all of which exist. That is
  `historically[0,D] x and once[D,D] x`: what lies before the first sample counts as true for `historically` and as
  false for `once`. For a D between two multiples the next larger one is meant, as there is no sample in between. *More
  than* D asks for a sample before t - D, so for the next multiple after D.
- *Unevenly spaced samples, dense time.* Let the signal keep the value of a sample up to the next one (rtamt's own
  reading of a list of samples). If x is true throughout [t - D, t], the last sample at or before t - D is one at least
  D earlier, and x is true at it and at all samples since; and the other way round. So the same formula, asked at
  the times of the samples alone, is exact. All times being whole tenths of a second, *more than* D is at least D and
  one tenth.
- *Words without a time* (`until`, and keeping the last value between two delays) speak of one sample after another.
  They are `since` over the numbers of the samples, in discrete time: q is `(not clear) since set`, and a delayed output
  is `(not off) since on`. In dense time they differ: a delay that is over between two samples has no effect with us.

Source: https://github.com/nickovic/rtamt (BSD 3-Clause licence), release 0.4.10.
"""

from __future__ import annotations

import sys
from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from math import ceil, floor
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from alertlang.meaning.readings import Sample
from alertlang.meaning.stepper import Shown
from tests.helpers.timed import load, stepped

if sys.version_info >= (3, 13):
    pytest.skip("rtamt is made for Python up to 3.12", allow_module_level=True)

import rtamt

Truths = list[bool]

RULES = """rules "against-rtamt" version 1
quantity x from 0 to 1
quantity y from 0 to 1
condition on_delay means x at least 1, set after {D} s
condition off_delay means x at least 1, cleared after {D} s
condition both means x at least 1, set after {D} s, cleared after {E} s
condition until_y means x at least 1 until y at least 1
condition all means x at least 1 until y at least 1, set after {D} s, cleared after {E} s
condition held means x at least 1 for at least {D} s
condition short means x at least 1 for less than {D} s
s: x at least 1 for more than {D} s is red
a: x at least 1 is red with warning "A" after {D} s
b: x at least 1 for more than {D} s is red with warning "B" after {E} s
"""


def ours(times: Sequence[Fraction], x: Truths, y: Truths, d: Fraction, e: Fraction) -> dict[str, Truths]:
    """What the stepper shows, by the word."""

    def number(value: Fraction) -> str:
        # Six places hold every time that is drawn here.
        assert (value * 10**6).denominator == 1
        return f"{int(value * 10**6) // 10**6}.{int(value * 10**6) % 10**6:06}"

    samples = [
        Sample(time, {"x": Fraction(one), "y": Fraction(other)}, {})
        for time, one, other in zip(times, x, y, strict=True)
    ]
    shown = stepped(load(RULES.format(D=number(d), E=number(e))), samples)

    def of(name: str, one: Shown) -> bool:
        match name:
            case "more_than":
                return one.applies["s", None]
            case "after":
                return ("a", None) in one.alerts
            case "more_than_and_after":
                return ("b", None) in one.alerts
        return one.conditions[name]

    return {name: [of(name, one) for one in shown] for name in (*shown[0].conditions, *ALERTS)}


ALERTS = ("more_than", "after", "more_than_and_after")


# ---- rtamt


def _signal(truths: Truths) -> list[float]:
    return [1.0 if truth else -1.0 for truth in truths]


def _parsed(spec: Any, formula: str, names: Sequence[str]) -> Any:
    for name in names:
        spec.declare_var(name, "float")
    spec.spec = formula
    spec.parse()
    return spec


def discrete(formula: str, signals: dict[str, Truths], milliseconds: int = 1000) -> Truths:
    """The truth of a formula at each of two or more evenly spaced samples. A signal is true where it is above 0."""
    spec = rtamt.StlDiscreteTimeOfflineSpecification()
    spec.set_sampling_period(milliseconds, "ms")
    length = len(next(iter(signals.values())))
    data = {"time": list(range(length)), **{name: _signal(truths) for name, truths in signals.items()}}
    return [value > 0 for _, value in _parsed(spec, formula, list(signals)).evaluate(data)]


def dense(formula: str, times: Sequence[int], signals: dict[str, Truths]) -> Truths:
    """The truth of a formula at the times of samples, whose values last up to the next; the first is at 0."""
    spec = _parsed(rtamt.StlDenseTimeOfflineSpecification(), formula, list(signals))
    data = [
        [name, [list(pair) for pair in zip(times, _signal(truths), strict=True)]] for name, truths in signals.items()
    ]
    changes = spec.evaluate(*data)
    # What comes before the first change is left out where it is false.
    return [[-1, *(value for since, value in changes if since <= time)][-1] > 0 for time in times]


def lasted(signal: str, duration: object) -> str:
    """True for at least a duration, up to now."""
    return f"(historically[0:{duration}]({signal} > 0) and once[{duration}:{duration}]({signal} > 0))"


@dataclass(frozen=True)
class Even:
    """Samples evenly spaced: durations in multiples of the period, and a formula in one piece for each word."""

    x: Truths
    y: Truths
    milliseconds: int
    d: Fraction
    e: Fraction

    def multiple(self, duration: Fraction, *, more: bool = False) -> str:
        ratio = duration * 1000 / self.milliseconds
        return f"{(floor(ratio) + 1 if more else ceil(ratio)) * self.milliseconds}ms"

    def expected(self) -> dict[str, Truths]:
        d, e = self.multiple(self.d), self.multiple(self.e)
        more = self.multiple(self.d, more=True)
        not_x = lasted("n", d)
        formulas = {
            "on_delay": lasted("x", d),
            "off_delay": f"(not {not_x}) since (x > 0)",
            "both": f"(not {lasted('n', e)}) since {lasted('x', d)}",
            "until_y": "(not (y > 0)) since (x > 0)",
            "held": lasted("x", d),
            "short": f"(x > 0) and (not {lasted('x', d)})",
            "more_than": lasted("x", more),
            "after": lasted("x", d),
        }
        signals = {"x": self.x, "y": self.y, "n": [not one for one in self.x]}
        period = self.milliseconds
        found = {name: discrete(text, signals, period) for name, text in formulas.items()}
        q = {"q": found["until_y"], "n": [not one for one in found["until_y"]]}
        found["all"] = discrete(f"(not {lasted('n', e)}) since {lasted('q', d)}", q, period)
        found["more_than_and_after"] = discrete(lasted("q", e), {"q": found["more_than"]}, period)
        return found

    def shown(self) -> dict[str, Truths]:
        times = [Fraction(self.milliseconds * k, 1000) for k in range(len(self.x))]
        return ours(times, self.x, self.y, self.d, self.e)


@dataclass(frozen=True)
class Uneven:
    """Samples unevenly spaced, all times in whole tenths of a second."""

    x: Truths
    y: Truths
    times: list[int]
    d: int
    e: int

    def lasted(self, truths: Truths, tenths: int) -> Truths:
        return dense(lasted("x", tenths), self.times, {"x": truths})

    def kept(self, truths: Truths, set_after: int, cleared_after: int) -> Truths:
        on = self.lasted(truths, set_after) if set_after else truths
        off = self.lasted([not one for one in truths], cleared_after)
        return discrete("(not (off > 0)) since (on > 0)", {"on": on, "off": off})

    def expected(self) -> dict[str, Truths]:
        long = self.lasted(self.x, self.d)
        until = discrete("(not (y > 0)) since (x > 0)", {"x": self.x, "y": self.y})
        more = self.lasted(self.x, self.d + 1)
        return {
            "on_delay": long,
            "off_delay": self.kept(self.x, 0, self.d),
            "both": self.kept(self.x, self.d, self.e),
            "until_y": until,
            "all": self.kept(until, self.d, self.e),
            "held": long,
            "short": dense(f"(x > 0) and (not {lasted('x', self.d)})", self.times, {"x": self.x}),
            "more_than": more,
            "after": long,
            "more_than_and_after": self.lasted(more, self.e),
        }

    def shown(self) -> dict[str, Truths]:
        times = [Fraction(time, 10) for time in self.times]
        return ours(times, self.x, self.y, Fraction(self.d, 10), Fraction(self.e, 10))


# ---- random recordings


@st.composite
def truths(draw: st.DrawFn, length: int) -> Truths:
    """Runs of a few samples of the one and the other, as single samples of either would never last."""
    found: Truths = []
    value = draw(st.booleans())
    while len(found) < length:
        found += [value] * draw(st.integers(1, 6))
        value = not value
    return found[:length]


@st.composite
def even(draw: st.DrawFn) -> Even:
    length = draw(st.integers(2, 20))
    milliseconds = draw(st.sampled_from((1, 50, 200, 250, 1000, 3000)))
    # Quarters of the period: at a sample, just before one, and just after one.
    delays = st.integers(1, 20).map(lambda quarters: Fraction(milliseconds * quarters, 4000))
    return Even(draw(truths(length)), draw(truths(length)), milliseconds, draw(delays), draw(delays))


@st.composite
def uneven(draw: st.DrawFn) -> Uneven:
    length = draw(st.integers(2, 20))
    steps = draw(st.lists(st.integers(1, 12), min_size=length - 1, max_size=length - 1))
    times = [sum(steps[:k]) for k in range(length)]
    delays = st.integers(1, 25)
    return Uneven(draw(truths(length)), draw(truths(length)), times, draw(delays), draw(delays))


@settings(max_examples=150)
@given(even())
def test_evenly_spaced_samples(run: Even) -> None:
    assert run.shown() == run.expected()


@settings(max_examples=150)
@given(uneven())
def test_unevenly_spaced_samples(run: Uneven) -> None:
    assert run.shown() == run.expected()


# ---- the instants at which a time ends


def pulse(tenths: int) -> Uneven:
    """True from 1 s on, with a sample so long after; D is 2 s."""
    return Uneven([False, True, True, False], [False] * 4, [0, 10, 10 + tenths, 10 + tenths + 1], 20, 20)


@pytest.mark.parametrize(
    ("tenths", "at_least", "more_than"), [(19, False, False), (20, True, False), (21, True, True), (200, True, True)]
)
def test_where_a_time_ends(tenths: int, at_least: bool, more_than: bool) -> None:
    run = pulse(tenths)
    for said in (run.shown(), run.expected()):
        for word in ("on_delay", "both", "held", "after"):
            assert said[word] == [False, False, at_least, word == "both" and at_least]
        assert said["short"] == [False, True, not at_least, False]
        assert said["more_than"] == [False, False, more_than, False]


@pytest.mark.parametrize(("tenths", "is_off"), [(19, False), (20, True), (21, True)])
def test_where_a_time_to_clear_ends(tenths: int, is_off: bool) -> None:
    run = Uneven([True, False, False], [False] * 3, [0, 10, 10 + tenths], 20, 20)
    for said in (run.shown(), run.expected()):
        assert said["off_delay"] == [True, True, not is_off]


def test_a_delay_that_ends_between_two_samples_has_no_effect() -> None:
    """Where samples and dense time part: x is true at 0 and 1 s, false at 3 s, and D is 2 s."""
    times, x = [0, 10, 30], [True, True, False]
    run = Uneven(x, [False] * 3, times, 20, 20)
    for said in (run.shown(), run.expected()):
        assert said["both"] == [False, False, False]
    whole = f"(not {lasted('n', 20)}) since {lasted('x', 20)}"
    assert dense(whole, times, {"x": x, "n": [not one for one in x]}) == [False, False, True]


def test_a_delay_of_another_length_is_noticed() -> None:
    """By the comparison itself: a tenth of a second more or less, each way in a recording where it matters."""
    times = [0, 10, 20, 31, 40, 50, 61]
    run = Uneven([True, True, True, True, False, False, False], [False] * 7, times, 20, 20)
    expected = run.expected()

    def told_apart(**changes: Any) -> set[str]:
        shown = replace(run, **changes).shown()
        return {word for word in expected if shown[word] != expected[word]}

    assert told_apart() == set()
    assert told_apart(d=21) == {"on_delay", "both", "all", "held", "short", "after"}
    assert told_apart(d=19) == {"more_than"}
    assert told_apart(e=22) == {"both"}
