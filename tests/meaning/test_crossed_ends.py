"""`from X to Y` holds nothing where its ends have crossed, in every implementation, whatever a deadband keeps."""

from __future__ import annotations

from fractions import Fraction
from itertools import product

import pytest

import alertlang.api as api
from alertlang.checks.context import Context
from alertlang.logic.solver import Answer
from alertlang.logic.terms import Flag, both, conjunction, in_interval
from alertlang.meaning.instant import Instant, State
from alertlang.meaning.readings import Sample
from alertlang.meaning.stepper import Stepper
from alertlang.model import snapshot as s
from alertlang.units.interval import Interval
from tests.helpers.one_check import HEAD
from tests.replay.test_engine import agree, in_columns

TEXT = """\
quantity mp from 0 to 4 C
quantity rpm from 0 to 10 rpm, deadband 2 rpm
curve low over mp: 0 C -> 2 rpm, 4 C -> 8 rpm
curve high over mp: 0 C -> 6 rpm, 4 C -> 4 rpm
both: rpm from low to high is red
first: rpm from low to 5 rpm is red
second: rpm from 5 rpm to high is red
out: rpm outside low to high is green
condition inside means rpm from low to high
when inside then rpm at least 0 rpm is yellow
"""

MP = [Fraction(n) for n in range(5)]
RPM = [Fraction(n, 2) for n in range(21)]
RULES = api.loads(HEAD + TEXT).model
BANDS = {band.label: band for band in RULES.bands}


def ends(label: str, mp: Fraction) -> tuple[Fraction, Fraction]:
    low, high = 2 + mp * Fraction(3, 2), 6 - mp / 2
    return (Fraction(5) if label == "second" else low), (Fraction(5) if label == "first" else high)


def expected(label: str, mp: Fraction, rpm: Fraction, kept: bool) -> bool:
    low, high = ends(label, mp)
    if label == "out":
        return not low <= rpm <= high or (kept and (rpm < low + 2 or rpm > high - 2))
    if low > high:
        return False
    return low <= rpm <= high or (kept and low - 2 < rpm < high + 2)


@pytest.mark.parametrize("label", ["both", "first", "second", "out"])
def test_one_instant_and_the_solver(label: str) -> None:
    band = BANDS[label]
    context = Context(RULES)
    term = context.encoder.applies(band, None)
    flag = s.lingers_flag(RULES, band, None)
    crossed = 0
    for mp, rpm, kept in product(MP, RPM, (False, True)):
        there = {"mp": mp, "rpm": rpm}
        instant = Instant(RULES, State(there, {}, {flag: kept}))
        said = expected(label, mp, rpm, kept)
        crossed += ends(label, mp)[0] > ends(label, mp)[1]
        assert instant.applies(band, None) is said, (mp, rpm, kept)
        assert instant.applies(band, None, linger=False) is expected(label, mp, rpm, False)
        here = conjunction(in_interval(name, Interval.point(value)) for name, value in there.items())
        if kept or rpm.denominator == 1:
            free = both(here, term, *([Flag(flag)] if kept else []))
            wide = said or (not kept and expected(label, mp, rpm, True))
            assert context.decider.is_satisfiable(free) is (Answer.YES if wide else Answer.NO), (mp, rpm, kept)
        within = context.encoder.interior("rpm", None, band.region)
        if rpm.denominator == 1 and kept:
            low, high = ends(label, mp)
            inner = low < rpm < high if label != "out" else not low <= rpm <= high
            assert context.decider.is_satisfiable(both(here, within)) is (Answer.YES if inner else Answer.NO)
    assert crossed > 0


def test_over_time_and_over_a_log() -> None:
    for before, mp, rpm in product(((Fraction(0), Fraction(4)), (Fraction(0), Fraction(0))), MP, RPM):
        samples = [
            Sample(Fraction(k), {"mp": m, "rpm": r}, {}, False, frozenset())
            for k, (m, r) in enumerate((before, (mp, rpm)))
        ]
        stepper = Stepper(RULES)
        shown = [stepper.step(sample) for sample in samples]
        for label in ("both", "first", "second", "out"):
            was = shown[0].applies[label, None]
            assert was is expected(label, *before, False)
            assert shown[1].applies[label, None] is expected(label, mp, rpm, was), (label, mp, rpm)
        low, high = ends("both", mp)
        assert shown[1].conditions["inside"] is (low <= rpm <= high)
        agree(RULES, in_columns(RULES, samples), [2])


def test_a_deadband_keeps_nothing_of_it_in_a_proof() -> None:
    text = (
        "quantity mp from 10 to 30 inHg, step 1 inHg\nquantity rpm from 0 to 3500 rpm, step 10 rpm, deadband 50 rpm\n"
        "curve low_end over mp: 10 inHg -> 1000 rpm, 30 inHg -> 2000 rpm\n"
        "curve high_end over mp: 10 inHg -> 2000 rpm, 30 inHg -> 1960 rpm\nrpm at least 0 rpm is green\n"
        'rpm from low_end to high_end is red with warning "BAND"\nq: prove when mp at least {} inHg then quiet\n'
    )
    crossed, not_yet = api.loads(HEAD + text.format(30)).check(), api.loads(HEAD + text.format(29)).check()
    assert [one.verdict.value for one in crossed.claims] == ["proved"]
    assert [one.verdict.value for one in not_yet.claims] == ["refuted"]


def test_outside_holds_everywhere_where_they_have_crossed() -> None:
    text = (
        "quantity mp from 10 to 30 inHg\nquantity rpm from 0 to 3500 rpm\n"
        "curve low over mp: 10 inHg -> 1000 rpm, 30 inHg -> 2000 rpm\n"
        "curve high over mp: 10 inHg -> 2000 rpm, 30 inHg -> 1900 rpm\n"
        "limit rpm from low to high, needs warning, source NOTE\nrpm from low to high is green\n"
        'rpm outside low to high is red with warning "RANGE"\n'
        "prove when mp at least 30 inHg then rpm at most 3500 rpm is red\n"
    )
    report = api.loads(HEAD + text).check()
    assert [one.verdict.value for one in report.claims] == ["proved"]
    assert {one.code.name for one in report.findings} <= {"lost-guard", "blank-on-failure"}
