"""The worst reaction time against runs of the stepper: never exceeded, and reached by some run."""

from __future__ import annotations

import random
from collections.abc import Iterator
from fractions import Fraction
from itertools import product

import pytest
from hypothesis import HealthCheck, Phase, assume, given, settings
from hypothesis import strategies as st

from alertlang.checks import late_alert
from alertlang.checks.context import Context
from alertlang.checks.late_alert import guard_of, worst_reaction
from alertlang.logic.solver import Answer
from alertlang.logic.terms import both, disjunction, negate
from alertlang.meaning.readings import Sample
from alertlang.meaning.stepper import Stepper
from alertlang.model import ruleset as m
from tests.helpers.timed import load, timed_rulesets, traces, values_of

# Every duration of a generated rule set is a multiple of it.
STEP = Fraction(1, 2)
LONG = 60


def worst_of(context: Context, one: m.Range, index: int | None) -> Fraction | None:
    """The worst time until red, as the check works it out; none if some state that breaks the limit never shows red."""
    reds = [b for b in context.ruleset.bands_by_quantity[one.quantity] if b.colour is m.Colour.RED]
    guards = [guard_of(context.ruleset, band, alert=False) for band in reds]
    shows = disjunction(context.encoder.applies(band, index, eventually=True) for band in reds)
    if context.is_satisfiable(both(context.encoder.violated(one, index), negate(shows))) is not Answer.NO:
        return None
    return worst_reaction(context, one, guards, index)


def time_to_red(rules: m.RuleSet, before: list[Sample], last: Sample, one: m.Range, index: int | None) -> Fraction:
    """Seconds from the first of the samples that stay as they are until the gauge is red."""
    stepper = Stepper(rules)
    for sample in before:
        stepper.step(sample)
    for k in range(LONG):
        shown = stepper.step(Sample(last.time + k * STEP, last.readings, last.positions))
        if shown.colours[one.quantity, index] is m.Colour.RED:
            return k * STEP
    raise AssertionError("never red")


def breaks(rules: m.RuleSet, last: Sample, one: m.Range, index: int | None) -> bool:
    """Whether a limit without a context of its own is broken by a sample."""
    shown = Stepper(rules).step(Sample(Fraction(0), last.readings, last.positions))
    value = shown.values[m.variable(one.quantity, index)]
    return value is not None and one.region.values.contains(value) is (one.kind == "avoid")


@settings(
    max_examples=150,
    deadline=None,
    phases=[Phase.explicit, Phase.generate],
    suppress_health_check=list(HealthCheck),
)
@given(st.data())
def test_no_run_takes_longer(data: st.DataObject) -> None:
    text = data.draw(timed_rulesets(conditions=(1, 2), rules=(2, 5), limits=(0, 0), assumptions=(0, 0), failures=False))
    bands = [line for line in text.splitlines() if line.startswith("b") and " is red" in line]
    assume(bands)
    rules = load(text + "l: limit speed at most 4 rpm, source NOTE\n" if "quantity speed" in text else text)
    context = Context(rules)
    for one in rules.ranges:
        index = rules.elements(one.quantity)[0]
        worst = worst_of(context, one, index)
        if worst is None:
            continue
        for _ in range(5):
            samples = list(data.draw(traces(rules, failures=False, acknowledge=False)))
            last = samples.pop()
            if breaks(rules, last, one, index):
                # Being held more than D shows one sample later.
                assert time_to_red(rules, samples, last, one, index) <= worst + STEP


HEAD = """\
rules "osier" version 1
source NOTE common practice
quantity speed from 0 to 10 rpm
quantity temp from -4 to 4 C
"""
ALWAYS = "l: limit speed at most 4 rpm, source NOTE\n"
COLD = "l: when temp below 0 limit speed at most 4 rpm, source NOTE\n"
MILD = "l: when temp at least 0 limit speed at most 4 rpm, source NOTE\n"


@pytest.mark.alike
@pytest.mark.parametrize(
    ("text", "worst"),
    [
        pytest.param(ALWAYS + "speed above 4 is red", 0, id="at-once"),
        pytest.param(ALWAYS + "speed above 4 for more than 3 s is red", 3, id="for-more-than"),
        pytest.param(
            COLD + "condition c means temp below 0, set after 5 s, cleared after 2 s\nwhen c then speed above 4 is red",
            5,
            id="set-after",
        ),
        pytest.param(
            MILD + "condition c means temp below 0, set after 2 s, cleared after 4 s\nspeed above 4 is red unless c",
            4,
            id="cleared-after",
        ),
        pytest.param(
            COLD
            + "condition c means temp below 0 until temp above 2, set after 1 s, cleared after 4 s\n"
            + "when c then speed above 4 for more than 2 s is red",
            3,
            id="set-after-and-for-more-than",
        ),
        pytest.param(
            COLD
            + "condition c means temp below 0, set after 2 s\ncondition d means c, set after 3 s\n"
            + "when d then speed above 4 is red",
            5,
            id="conditions-on-conditions",
        ),
        pytest.param(
            ALWAYS
            + "condition c means temp below 0, set after 5 s, cleared after 2 s\n"
            + "when c then speed above 4 is red\nwhen not c then speed above 4 is red",
            0,
            id="handed-over-without-a-gap",
        ),
        pytest.param(
            ALWAYS
            + "condition c means temp below 0, set after 5 s, cleared after 2 s\n"
            + "when temp below 0 then speed above 4 is red\nspeed above 4 is red unless c",
            2,
            id="handed-over-late",
        ),
        pytest.param(
            COLD
            + "condition c means temp below 0, set after 4 s\ncondition d means c or temp below 2, set after 2 s\n"
            + "when d then speed above 4 is red",
            2,
            id="what-is-true-at-once-waits-for-nothing-below-it",
        ),
        pytest.param(
            COLD
            + "condition c means temp below 0, set after 4 s\ncondition d means c or temp below 2, set after 2 s\n"
            + "when c and d then speed above 4 is red",
            4,
            id="side-by-side-and-not-one-after-the-other",
        ),
        pytest.param(
            COLD
            + "condition c means temp below 0, set after 4 s\ncondition d means c or temp below 2, set after 2 s\n"
            + "when c and d then speed above 4 for more than 3 s is red",
            7,
            id="side-by-side-and-a-statement-that-waits",
        ),
        pytest.param(
            "condition c means temp below 0, set after 4 s\n"
            + "l: when c limit speed at most 4 rpm, source NOTE\nwhen c then speed above 4 is red",
            0,
            id="the-limit-waits-for-the-same-condition",
        ),
        pytest.param(
            "condition c means temp below 0, set after 4 s\n"
            + "l: when c limit speed at most 4 rpm, source NOTE\nwhen c then speed above 4 for more than 3 s is red",
            3,
            id="the-limit-waits-for-the-same-condition-and-the-statement-on",
        ),
    ],
)
def test_the_worst_is_reached(text: str, worst: int, seed: int) -> None:
    rules = load(HEAD + text + "\n")
    context = Context(rules)
    (one,) = rules.ranges
    assert worst_of(context, one, None) == worst
    longest = max(late_by(rules, before, last, one) for before, last in runs(rules, one, seed, held=LONG))
    assert worst - STEP <= longest <= worst + STEP


@pytest.mark.parametrize(
    ("text", "told"),
    [
        pytest.param(
            "condition c means temp at least 0, cleared after 3 s\n"
            "l: limit speed at most 4 rpm, needs caution within 0 s, source NOTE\n"
            'when not c then speed above 4 for more than 2 s is red with caution "B1"\n'
            'when c then speed above 4 is red with caution "B2"\n',
            ["only after at most 5 s"],
            id="red-at-once-that-goes-and-comes-again",
        ),
        pytest.param(
            "condition c means temp below 0, set after 1 s\ncondition d means not c or temp below 0, set after 3 s\n"
            "l: when not d limit speed at most 4 rpm, needs caution within 0 s, source NOTE\n"
            'speed above 4 for more than 2 s is red with caution "B"\n',
            [],
            id="a-limit-whose-own-context-ends",
        ),
    ],
)
def test_what_is_told_of_what_lasts(text: str, told: list[str]) -> None:
    messages = [f.message for f in late_alert.check_quantity(Context(load(HEAD + text)), "speed")]
    assert len(messages) == len(told)
    assert all(words in message for words, message in zip(told, messages, strict=True))


DELAYED = ("c", "not c", "d", "not d", "c and d", "c or d", "temp below 0", "not c and d")


@pytest.mark.alike
@pytest.mark.parametrize("seed", range(30))
def test_late_is_never_exceeded_and_reached_or_at_most(seed: int, share: int) -> None:
    """Conditions built on one another: no run takes longer than is told, and where it is not told as the most there can
    be some run takes so long."""
    rng = random.Random(seed)
    some = [f"temp {region}" for region in ("below 0", "below 2", "at least 0")]

    def delays() -> str:
        text = f", set after {rng.choice((1, 2, 3))} s" if rng.random() < 0.7 else ""
        return text + (f", cleared after {rng.choice((1, 2, 3))} s" if rng.random() < 0.7 else "")

    waits = rng.choice(("", "", " for more than 2 s"))
    context = rng.choice(("", "", "when temp below 0 ", "when c ", "when not d "))
    rules = load(
        f"{HEAD}condition c means {rng.choice(some)}{delays()}\n"
        f"condition d means {rng.choice(('c', 'not c'))} {rng.choice(('and', 'or'))} {rng.choice(some)}{delays()}\n"
        f"l: {context}limit speed at most 4 rpm, needs caution within 0 s, source NOTE\nspeed at least 0 is green\n"
        f'b1: when {rng.choice(DELAYED)} then speed above 4{waits} is red with caution "B1"\n'
        f'b2: when {rng.choice(DELAYED)} then speed above 4{rng.choice(("", waits))} is red with caution "B2"\n'
        f'b3: when temp above 2 then speed above 4 is red with caution "B3"\n'
    )
    (one,) = rules.ranges
    worst = worst_of(Context(rules), one, None)
    if worst is None:
        return
    longest = max((late_by(rules, before, last, one) for before, last in runs(rules, one, 4, LONG, share)), default=0)
    # Each clock of a chain may show one sample later.
    assert longest <= worst + 2 * STEP
    told = [f.message for f in late_alert.check_quantity(Context(rules), "speed")]
    assert bool(told) is (worst > 0)
    if told and "only after at most" not in told[0]:
        if longest < worst - STEP:
            # Chance has not met it.
            longest = max(late_by(rules, before, last, one) for before, last in in_turn(rules))
        assert longest >= worst - STEP, told


def late_by(rules: m.RuleSet, before: list[Sample], last: Sample, one: m.Range) -> Fraction:
    """Seconds from where the limit is broken, in the samples that stay as they are, until the gauge is red. None where
    the limit's own context ends: it is about states that last."""
    stepper = Stepper(rules)
    for sample in before:
        stepper.step(sample)
    begins = red = None
    for k in range(LONG):
        shown = stepper.step(Sample(last.time + k * STEP, last.readings, last.positions))
        if not shown.violated[one.label, None]:
            begins = red = None
        elif begins is None:
            begins = k * STEP
        if begins is not None and red is None and shown.colours["speed", None] is m.Colour.RED:
            red = k * STEP
    return Fraction(0) if begins is None or red is None else red - begins


def in_turn(rules: m.RuleSet) -> Iterator[tuple[list[Sample], Sample]]:
    """Every run in which one state lasts long, then another one for up to four seconds, then a third."""
    temps = values_of(rules, rules.quantities["temp"])
    for first, second, third in product(temps, repeat=3):
        for steps in range(9) if second != third else ():
            before = [Sample(time, {"speed": Fraction(2), "temp": first}, {}) for time in (Fraction(-20), -STEP)]
            before += [Sample(k * STEP, {"speed": Fraction(2), "temp": second}, {}) for k in range(steps)]
            yield before, Sample(steps * STEP, {"speed": Fraction(10), "temp": third}, {})


def runs(
    rules: m.RuleSet, one: m.Range, seed: int, held: int = 1, share: int = 1
) -> Iterator[tuple[list[Sample], Sample]]:
    """Runs that break the limit at their end, or `held` samples later, and go on so: what came before changes now and
    then."""
    rng = random.Random(seed)
    temps = values_of(rules, rules.quantities["temp"])
    for _ in range(300 // share):
        samples: list[Sample] = []
        now = Fraction(0)
        temp = rng.choice(temps)
        for _ in range(rng.randrange(0, 12)):
            if rng.random() < 0.3:
                temp = rng.choice(temps)
            samples.append(Sample(now, {"speed": Fraction(rng.choice((0, 2))), "temp": temp}, {}))
            now += STEP * rng.choice((1, 2, 3))
        last = Sample(now, {"speed": Fraction(10), "temp": rng.choice(temps)}, {})
        stepper = Stepper(rules)
        after = [Sample(now + k * STEP, last.readings, {}) for k in range(held)]
        if any(stepper.step(sample).violated[one.label, None] for sample in after):
            yield samples, last
