"""Interrupted clocks against every history of small rule sets: what the check says nothing of cannot be, and what it
shows can."""

from __future__ import annotations

import random
from fractions import Fraction

import pytest

from alertlang.checks import clocks, interrupted_clock, news
from alertlang.checks.run import run
from tests.helpers.every_silence import Input, longest_silence
from tests.helpers.timed import load

HEAD = """\
rules "osier" version 1
source NOTE common practice
quantity speed from 0 to 10 rpm
quantity temp from -4 to 4 C
switch flaps up, down
"""
# No delay is one of the short ones that may take turns, and none is a second: that is from one sample to the next.
TIMES = ("3 s", "4 s")
SPEEDS = (Fraction(0), Fraction(5), Fraction(8))
BESIDE = frozenset({"unguarded-limit", "missing-alert", "late-alert"})


def drawn(rng: random.Random, contexts: tuple[str, ...]) -> str:
    """A limit on the speed with two or three statements that may guard it, and the conditions they read."""

    def maybe(share: float, text: str) -> str:
        return text if rng.random() < share else ""

    def time() -> str:
        return rng.choice(TIMES)

    lines = []
    for name in ("a",):
        until = maybe(0.25, f" until {rng.choice(contexts[1:])}")
        lines.append(
            f"condition {name} means {rng.choice(contexts[1:])}{until}"
            f"{maybe(0.5, f', set after {time()}')}{maybe(0.4, f', cleared after {time()}')}"
        )
    whens = (*contexts, *contexts[1:], "a", "not a")
    lines.append(
        f"lim: {maybe(0.2, f'when {rng.choice(whens[1:])} ')}limit speed at most 4 rpm"
        f"{maybe(0.6, f' except for {time()}')}, needs caution within {rng.choice(('3 s', '4 s'))}, source NOTE"
    )
    for number in range(rng.choice((2, 2, 3))):
        when = rng.choice(whens)
        region = rng.choice(("above 4 rpm", "above 4 rpm", "above 4 rpm", "from 4 to 6 rpm", "above 6 rpm"))
        held = maybe(0.6, f" for more than {time()}{maybe(0.15, ' in total')}")
        unless = maybe(0.15, f" unless {rng.choice(whens[1:])}")
        lines.append(
            f"{f'b{number}: ' + (f'when {when} then ' if when else '')}speed {region}{held} is red with caution "
            f'"B{number}"{maybe(0.2, f" after {time()}")}{unless}'
        )
    return HEAD + "".join(f"{line}\n" for line in lines) + "speed at least 0 is green\ntemp at least -4 C is green\n"


def inputs(sensor_fails: bool) -> list[Input]:
    found = []
    for speed in SPEEDS:
        for flaps in ("up", "down"):
            there = {"speed": speed, "temp": Fraction(1)}
            found.append(Input(there, there, {"flaps": flaps}))
            if sensor_fails:
                found.append(Input(there, {"speed": speed}, {"flaps": flaps}))
    return found


PLAIN = ("", "flaps is up", "flaps is down", "speed above 6 rpm")


def compared(text: str) -> str:
    """What became of it: `silent`, nothing is said and nothing can be; `shown`, a history is; or `not proved`."""
    rules = load(text)
    one = next(r for r in rules.ranges if r.label == "lim")
    findings = run(rules).findings
    assert not any(f.undecided for f in findings)
    if any(f.code.name in BESIDE for f in findings):
        return "other"
    said = [f for f in findings if f.code.name == interrupted_clock.NAME]
    longest = max(
        longest_silence(rules, one, clocks.reds_of(rules, one), alert=False, inputs=inputs(False)),
        longest_silence(rules, one, news.alerts_for(rules, one), alert=True, inputs=inputs(False)),
    )
    if longest > one.allowed:
        assert said, f"unguarded for {longest} s of {one.allowed} s\n{text}"
    if not said:
        return "silent"
    if all("not proved" in f.message for f in said):
        return "not proved"
    # A history may change between two seconds: what it shows lasts no more than that longer.
    assert longest > one.allowed - 1, text
    return "shown"


@pytest.mark.alike
@pytest.mark.parametrize("seed", range(3))
def test_against_every_history(seed: int) -> None:
    rng = random.Random(seed)
    results = [compared(drawn(rng, PLAIN)) for _ in range(30)]
    if seed < 3:
        # What is drawn must have some of each; in `make fuzz` nobody can say so of thirty.
        assert results.count("silent") >= 3
        assert results.count("shown") >= 1
