"""Recordings written as digits, and what is shown over them written as marks.

A recording is one digit for each second, the value of `x`; a dot is a value that is missing. What is shown is one mark
for each sample: # for yes, - for no.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from fractions import Fraction
from typing import TypedDict, Unpack

from alertlang.meaning.readings import Sample
from alertlang.meaning.stepper import Shown, Stepper
from tests.helpers.timed import load

HEAD = """rules "timed" version 1
source S common practice
quantity x from 0 to 9
quantity y from 0 to 9, deadband 2
quantity cht[2] from 0 to 9, deadband 2
switch pump off, on
"""


class Told(TypedDict, total=False):
    """What `record` takes beside the digits."""

    y: str
    pump: str
    times: Sequence[object]
    acknowledge: Iterable[int]


def record(
    digits: str, *, y: str = "", pump: str = "", times: Sequence[object] = (), acknowledge: Iterable[int] = ()
) -> list[Sample]:
    """Samples every second, or at `times`. `acknowledge`: at which of them, from 0, the button is pressed."""
    pressed = set(acknowledge)
    found = []
    for k, digit in enumerate(digits):
        readings = {"x": digit, "y": y[k : k + 1] or "0"}
        positions = {"pump": {"0": "off", "1": "on"}[pump[k]]} if pump and pump[k] != "." else {}
        told = {name: Fraction(value) for name, value in readings.items() if value != "."}
        found.append(Sample(Fraction(str(times[k])) if times else Fraction(k), told, positions, k in pressed))
    return found


def run(text: str, samples: Iterable[Sample]) -> list[Shown]:
    stepper = Stepper(load(HEAD + text + "\n"))
    return [stepper.step(sample) for sample in samples]


def marks(shown: Iterable[Shown], what: Callable[[Shown], object]) -> str:
    return "".join("#" if what(one) else "-" for one in shown)


def condition(text: str, digits: str, **more: Unpack[Told]) -> str:
    """When the condition c holds."""
    return marks(run(f"condition c means {text}", record(digits, **more)), lambda one: one.conditions["c"])


def applies(text: str, digits: str, **more: Unpack[Told]) -> str:
    """When the statement s applies."""
    return marks(run(f"s: {text}", record(digits, **more)), lambda one: one.applies["s", None])


def alert(text: str, digits: str, **more: Unpack[Told]) -> str:
    """When the alert of s is up."""
    return marks(run(f"s: {text}", record(digits, **more)), lambda one: ("s", None) in one.alerts)
