"""Which clock is proved to hold only where another does, where of the terms only what is the same is known to be."""

from __future__ import annotations

from fractions import Fraction

import pytest

from alertlang.comparison.clocks import implied
from alertlang.logic.history import Clock, Delayed, Lasting, LatchedAlert, Lingering, Until
from alertlang.logic.terms import Flag, Term

A, B, C = (Flag(name) for name in "abc")
TWO, THREE = Fraction(2), Fraction(3)


@pytest.mark.parametrize(
    ("inner", "outer", "proved"),
    [
        (Lasting(A, TWO, more=True), Lasting(A, TWO, more=True), True),
        (Lasting(A, TWO, more=True), Lasting(A, TWO, more=False), True),
        (Lasting(A, TWO, more=False), Lasting(A, TWO, more=True), False),
        (Lasting(A, THREE, more=False), Lasting(A, TWO, more=True), True),
        (Lasting(A, TWO, more=True), Lasting(A, THREE, more=True), False),
        (Lasting(A, TWO, more=True), Lasting(B, TWO, more=True), False),
        (Lasting(A, TWO, more=True, in_total=True), Lasting(A, TWO, more=True), False),
        (Lasting(A, TWO, more=True), Lasting(A, TWO, more=True, in_total=True), True),
        (Lasting(A, TWO, more=False), Lasting(A, TWO, more=False, in_total=True), False),
        (Lasting(A, TWO, more=False), Delayed(A, TWO, THREE), True),
        (Lasting(A, TWO, more=False), Delayed(A, THREE, TWO), False),
        (Lasting(A, TWO, more=False), Delayed(B, TWO, THREE), False),
        (Lasting(A, TWO, more=False, in_total=True), Delayed(A, TWO, THREE), False),
        (Lasting(A, TWO, more=False), Until(A, B), True),
        (Lasting(A, TWO, more=False), Until(B, A), False),
        (Delayed(A, TWO, TWO), Delayed(A, TWO, TWO), True),
        (Delayed(A, THREE, TWO), Delayed(A, TWO, THREE), True),
        (Delayed(A, TWO, TWO), Delayed(A, THREE, TWO), False),
        (Delayed(A, TWO, THREE), Delayed(A, TWO, TWO), False),
        (Delayed(A, TWO, TWO), Delayed(B, TWO, TWO), False),
        (Lingering(A, B), Lingering(A, B), True),
        (Lingering(A, B), Lingering(A, C), False),
        (Lingering(A, B), Lingering(C, B), False),
        (LatchedAlert(A, B), LatchedAlert(A, B), True),
        (LatchedAlert(A, B), LatchedAlert(A, C), False),
        (LatchedAlert(A, B), LatchedAlert(C, B), False),
        (Until(A, B), Until(A, B), False),
        (Until(A, B), Lingering(A, B), False),
    ],
)
def test_what_is_proved(inner: Clock, outer: Clock, proved: bool) -> None:
    assert implied(inner, outer, lambda _: False) is proved


def test_a_memory_is_let_go_no_later() -> None:
    asked: list[Term] = []

    def never(term: Term) -> bool:
        asked.append(term)
        return True

    assert implied(Until(A, B), Until(A, C), never)
    # While it lasts nothing ends the outer one alone.
    [term] = asked
    assert term.reads == {"a", "b", "c"}
