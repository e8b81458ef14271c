"""An alert guards a limit where it is news: cases with their brothers, and two brute forces."""

from __future__ import annotations

import random

import pytest
from hypothesis import HealthCheck, assume, given, seed, settings
from hypothesis import strategies as st

import alertlang.api as api
from alertlang.checks import late_alert, lost_guard, missing_alert, news, silent_danger
from alertlang.checks.context import Context
from alertlang.checks.limits_table import limits_table
from alertlang.checks.run import run
from alertlang.findings.finding import Finding, WitnessReading
from alertlang.logic.solver import Answer
from alertlang.logic.terms import AtValue, Flag, Term, both, conjunction, in_interval, negate
from alertlang.model.snapshot import PLAIN, held_flag
from alertlang.units.interval import Interval
from tests.helpers.agreeing import drawn
from tests.helpers.generate import HEAD
from tests.helpers.news_told import Everything, Told
from tests.helpers.one_check import by_itself, found
from tests.helpers.oracle import Oracle
from tests.helpers.shown import box_of, check_region, check_witness, element, primary
from tests.helpers.verdicts import Held, lasting, news_at_rest
from tests.helpers.watched import remembering, watched

RPM = "quantity rpm from 0 to 3500 rpm, step 10 rpm\nswitch canopy closed, open\n"
LIMIT = f"{RPM}redline: limit rpm at most 2750 rpm, needs warning, source NOTE\n"
GAUGE = f"{LIMIT}rpm at most 2750 rpm is green\nrpm above 2750 rpm is red\n"
CLOSED = 'when canopy is closed and rpm above 2750 rpm then warning "OVERSPEED"\n'
CANOPY = 'when canopy is open and rpm above 1500 rpm then warning "CANOPY OPEN"\n'
OIL = "quantity oil from 0 to 100 psi, step 1 psi\n"
FLAPS = (
    "quantity airspeed from 0 to 200 kt, step 1 kt\nswitch flaps up, takeoff, landing\n"
    "t: when flaps is takeoff limit airspeed at most 95 kt, needs caution, source NOTE\n"
    "l: when flaps is landing limit airspeed at most 85 kt, needs caution, source NOTE\n"
    "when flaps is takeoff then airspeed above 95 kt is red\nwhen flaps is landing then airspeed above 85 kt is red\n"
    "when flaps is not landing then airspeed at most 95 kt is green\n"
    "when flaps is landing then airspeed at most 85 kt is green\n"
    'when flaps is not up and airspeed above 85 kt then caution "FLAP SPEED"\n'
)
SHARED = (
    f"{GAUGE}{OIL}condition running means rpm above 400 rpm\n"
    "low: when running limit oil at least 10 psi, needs warning, source NOTE\n"
    "oil at least 10 psi is green\nwhen running then oil below 10 psi is red\n"
    'when rpm above 2750 rpm or (running and oil below 10 psi) then warning "ENGINE"\n'
)
HEADS = (
    "quantity cht[2] from 0 to 600 F, step 1 F\nhot: limit cht at most 460 F, needs warning, source NOTE\n"
    "cht at most 460 F is green\ncht above 460 F is red"
)
SPREAD = (
    "quantity cht[2] from 0 to 600 F, step 1 F\nlet spr = spread of cht\nswitch canopy closed, open\n"
    "uneven: limit spr at most 100 F, needs warning, source NOTE\nspr at most 100 F is green\nspr above 100 F is red\n"
)
MOVING = (
    f"{RPM}quantity map from 10 to 30 inHg\ncurve top over map: 10 inHg -> 3000 rpm, 30 inHg -> 2000 rpm\n"
    "redline: limit rpm at most top, needs warning, source NOTE\nrpm at most top is green\nrpm above top is red\n"
)
SLOW = (
    f"{RPM}quantity map from 10 to 30 inHg\ncurve top over map: 10 inHg -> 3500 rpm, 30 inHg -> 2000 rpm\n"
    "slow: limit rpm at least 500 rpm, needs caution, source NOTE\n"
    "rpm below 500 rpm is red\nrpm at least 500 rpm is green\n"
    'when rpm at most top then caution "LOW"\n'
)


def limits_without(text: str) -> set[str | None]:
    """The limits of which missing-alert says something."""
    return {one.limit for one in found(missing_alert, text)}


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        pytest.param(GAUGE + CLOSED + CANOPY, {"redline"}, id="about-something-else"),
        pytest.param(GAUGE + CLOSED + CANOPY.replace("1500", "2750"), set(), id="both-news"),
        pytest.param(
            f'{LIMIT}{CLOSED}{CANOPY}accept unwatched-quantity on rpm because "a lamp and no gauge"\n',
            {"redline"},
            id="without-a-gauge",
        ),
        # With the engine stopped ENGINE is down, so for the engine speed it comes early; for the oil it is old.
        pytest.param(SHARED, {"low"}, id="shared"),
        pytest.param(f"{SHARED}normal rpm from 700 to 2600 rpm, source NOTE\n", {"low", "redline"}, id="shared-normal"),
        pytest.param(f'{GAUGE}when rpm above 2720 rpm then warning "OVERSPEED"\n', set(), id="early"),
        pytest.param(FLAPS, set(), id="early-for-two-limits"),
        pytest.param(f"{FLAPS}normal airspeed from 48 to 120 kt, source NOTE\n", set(), id="early-in-a-normal-range"),
        pytest.param(
            f"{FLAPS}normal airspeed from 86 to 94 kt, source NOTE\n", {"t"}, id="up-throughout-the-normal-range"
        ),
        pytest.param(
            f"{GAUGE}normal rpm from 700 to 2600 rpm, source NOTE\n{CLOSED.replace('2750', '2720')}"
            f"{CANOPY.replace('1500', '2720')}",
            set(),
            id="early-split",
        ),
        pytest.param(
            f"{GAUGE}when canopy is closed normal rpm from 700 to 2600 rpm, source NOTE\n{CLOSED}{CANOPY}",
            {"redline"},
            id="a-normal-range-of-another-context",
        ),
        pytest.param(
            f"{GAUGE}{CLOSED.replace('2750', '2720')}{CANOPY.replace('1500', '2720')}",
            {"redline"},
            id="split-and-no-normal-range",
        ),
        pytest.param(
            f"{GAUGE}normal rpm from 700 to 2600 rpm, source NOTE\n"
            f"{CLOSED.replace('2750', '2720')}{CANOPY.replace('1500', '2500')}",
            {"redline"},
            id="up-in-the-normal-range",
        ),
        # What has lasted is as it is; a memory that the reading itself can set is forgotten.
        pytest.param(
            f"{GAUGE}{OIL}condition starved means rpm above 400 rpm for at least 30 s and oil below 10 psi\n"
            'when rpm above 2750 rpm then warning "OVERSPEED" unless starved\nwhen starved then warning "OIL PRESS"\n',
            {"redline"},
            id="old-by-time",
        ),
        pytest.param(
            f"{GAUGE}condition fast means rpm above 2750 rpm until rpm below 2000 rpm\n"
            'when fast then warning "OVERSPEED"\n',
            set(),
            id="a-memory-of-the-reading",
        ),
        pytest.param(
            f"{GAUGE}{OIL}condition dry means oil below 10 psi until oil above 20 psi or rpm below 100 rpm\n"
            'when dry and rpm above 0 rpm then warning "DRY"\n'
            'when rpm above 2750 rpm then warning "OVERSPEED" unless dry\n',
            {"redline"},
            id="a-memory-of-something-else",
        ),
        pytest.param(
            f"{GAUGE}{CLOSED}{CANOPY.replace('rpm then', 'rpm for more than 10 s then')}", set(), id="one-that-waits"
        ),
        # What waits is not shown yet where nothing is wrong.
        pytest.param(
            f"{GAUGE}{CLOSED}{CANOPY}rpm above 1000 rpm for more than 60 s is yellow\n",
            {"redline"},
            id="yellow-that-waits",
        ),
        # A caution on a yellow band is news where the gauge can be calm, and only there.
        pytest.param(
            f"{RPM}redline: limit rpm at most 2750 rpm, needs caution, source NOTE\nrpm below 2500 rpm is green\n"
            'rpm at least 2500 rpm is yellow with caution "HIGH"\nrpm above 2750 rpm is red\n',
            set(),
            id="yellow-below",
        ),
        pytest.param(
            f"{RPM}redline: limit rpm at most 2750 rpm, needs caution, source NOTE\n"
            'rpm at least 0 rpm is yellow with caution "HIGH"\nrpm above 2750 rpm is red\n',
            {"redline"},
            id="yellow-everywhere",
        ),
        # The time that another limit allows has just begun; its own is over.
        pytest.param(
            f"{RPM}redline: limit rpm at most 2750 rpm, needs warning, source NOTE\n"
            "hour: limit rpm at most 2500 rpm except for 60 s, needs caution, source NOTE\n"
            "rpm at most 2750 rpm is green\nrpm above 2750 rpm is red\n"
            f'{CLOSED}{CANOPY.replace("1500", "2500")}when rpm above 2500 rpm then caution "HOUR"\n',
            {"redline"},
            id="the-time-of-another-limit",
        ),
        pytest.param(
            f"{RPM}redline: limit rpm at most 2750 rpm, needs warning, source NOTE\n"
            "hour: limit rpm at most 2500 rpm, needs caution, source NOTE\n"
            "rpm at most 2500 rpm is green\nrpm above 2500 rpm is red\n"
            f'{CLOSED}{CANOPY.replace("1500", "2500")}when rpm above 2500 rpm then caution "HOUR"\n',
            set(),
            id="another-limit-broken-first",
        ),
        pytest.param(
            f"{RPM}rough: avoid rpm from 1800 to 2000 rpm, needs warning, source NOTE\nrpm at least 0 rpm is green\n"
            f"rpm from 1800 to 2000 rpm is red\n"
            f"{CANOPY}when canopy is closed and rpm from 1800 to 2000 rpm then warning \"ROUGH\"\n",
            {"rough"},
            id="avoid",
        ),
        # One end of a limit knows nothing of the other.
        pytest.param(
            f"{RPM}both: limit rpm from 500 to 2750 rpm, needs warning, source NOTE\n"
            "rpm from 500 to 2750 rpm is green\nrpm outside 500 to 2750 rpm is red\n"
            'when rpm above 2700 rpm then warning "HIGH"\nwhen rpm below 550 rpm then warning "LOW"\n',
            set(),
            id="early-at-each-end",
        ),
        pytest.param(f'{HEADS} with warning "CHT {{n}} HOT"\n', set(), id="an-array-element-by-element"),
        # Its second head is too hot already, so of the first nothing new comes up.
        pytest.param(f'{HEADS}\nwhen any cht above 460 F then warning "CHT"\n', {"hot"}, id="an-array-as-a-whole"),
        pytest.param(f'{SPREAD}when spr above 100 F then warning "UNEVEN"\n', set(), id="a-let"),
        pytest.param(
            f'{SPREAD}when spr above 100 F and canopy is closed then warning "UNEVEN"\n'
            'when canopy is open and any cht above 100 F and spr at least 0 F then warning "OPEN"\n',
            {"uneven"},
            id="a-let-and-what-it-is-worked-out-from",
        ),
        pytest.param(f'{MOVING}when rpm above top then warning "TOP"\n', set(), id="a-moving-end"),
        pytest.param(
            f'{MOVING}when rpm above top and canopy is closed then warning "TOP"\n{CANOPY}',
            {"redline"},
            id="a-moving-end-and-something-else",
        ),
        pytest.param(f'{MOVING}when rpm above 1900 rpm then warning "TOP"\n', set(), id="early-below-a-moving-end"),
        # It is down at a calm value in each of these states, but at a fixed one only at the very end.
        pytest.param(f"{SLOW}assume map above 10 inHg\n", set(), id="down-at-the-end-of-the-sensor"),
        pytest.param(
            f"{SLOW.replace('3500 rpm,', '3000 rpm,')}normal rpm at most 3000 rpm, source NOTE\n"
            "assume map above 10 inHg\n",
            set(),
            id="down-at-the-end-of-the-normal-range",
        ),
        pytest.param(
            f"{SLOW.replace('10 inHg -> 3500', '10 inHg -> 3000')}let more = rpm - 1000 rpm\n"
            "avoid more above 2000 rpm, source NOTE\nassume map above 10 inHg\n"
            "rpm above 3000 rpm is red\n",
            set(),
            id="down-at-the-end-of-what-is-calm",
        ),
        # A state that an assumption forbids is none to be old in.
        pytest.param(
            f"{GAUGE}{CLOSED}{CANOPY}assume when canopy is open then rpm above 2750 rpm\n"
            'when canopy is open and rpm above 2750 rpm then caution "OPEN"\n',
            set(),
            id="forbidden-by-an-assumption",
        ),
    ],
)  # fmt: skip
def test_an_alert_guards_where_it_is_news(text: str, wanted: set[str]) -> None:
    assert limits_without(text) == wanted


def test_the_old_alert_is_named_with_a_state_in_which_it_is_up() -> None:
    [one] = found(missing_alert, GAUGE + CLOSED + CANOPY)
    assert one.message.endswith(
        'no warning comes up whenever canopy is open: "CANOPY OPEN" (alert_2) is up already at rpm 2120 rpm'
    )
    assert one.statements[0] == "alert_2"
    # The shown state itself says nothing of the values that are only beside it.
    assert set(one.witness or {}) == {"rpm", "canopy"}


def test_a_guard_that_comes_early_is_old_in_the_one_state_in_which_it_is_never_down() -> None:
    for one in found(missing_alert, SLOW):
        witness = one.witness or {}
        assert isinstance(witness["map"], WitnessReading)
        assert witness["map"].value == 10
    assert "rpm below 500 rpm breaks" in one.message
    assert "whenever map is exactly 10 inHg:" in one.message


LATE = (
    CLOSED
    + CANOPY
    + CANOPY.replace("1500", "2750").replace("CANOPY OPEN", "OVERSPEED").replace('"\n', '" after 60 s\n')
)


def test_the_alert_that_is_news_must_come_in_time() -> None:
    assert limits_without(GAUGE + LATE) == set()
    [one] = found(late_alert, GAUGE + LATE)
    assert "warning comes only after 1 min whenever canopy is open" in one.message
    assert '"CANOPY OPEN" (alert_2) is up already at rpm 2120 rpm' in one.message
    assert found(late_alert, GAUGE + CLOSED + LATE.replace(" after 60 s", "")) == []


def test_what_is_there_at_once_is_not_late_where_it_cannot_be_told_whether_it_counts() -> None:
    text = (
        "quantity speed from 0 to 10\nquantity temp from -4 to 4 C\n"
        "curve frost over speed: 0 -> -2 C, 8 -> 2 C\nl1: limit temp from 0 to 2 C, needs caution, source NOTE\n"
        'temp from 1 to 1 C for more than 3 s is yellow with caution "B1"\n'
        'when temp outside 1 to 2 C then temp at least frost is white with warning "B3"\n'
    )
    rules = api.loads(HEAD + text).model
    context = Context(rules)
    [limit] = [one for one in rules.ranges if one.label == "l1"]
    assert not all(news.of_limit(context, limit, None).is_exact(rule) for rule in news.alerts_for(rules, limit))
    assert limits_without(text) == {"l1"}
    assert found(late_alert, text) == []


def test_a_claim_keeps_its_words_and_names_the_alerts_it_rests_on() -> None:
    text = HEAD + GAUGE + LATE + "c: prove rpm above 2750 rpm raises warning within 2 s\n"
    [claim] = api.loads(text).prove()
    assert claim.verdict.value == "proved"
    assert claim.covers.endswith("it rests on alert_1 and alert_2")


BLIND = (
    f"{GAUGE}{OIL}"
    'when rpm above 2750 rpm then warning "OVERSPEED" unless oil failed\n'
    'when rpm above 1000 rpm and oil failed then warning "OIL SENSOR"\n'
)


def test_with_a_sensor_failed_an_old_alert_is_no_guard() -> None:
    [one] = by_itself(lost_guard, api.loads(HEAD + BLIND).model)
    assert one.limit == "redline"
    assert "with oil failed" in one.message
    assert by_itself(lost_guard, api.loads(HEAD + BLIND.replace("1000", "2750")).model) == []


def test_red_beside_an_old_alert_is_silent() -> None:
    text = (
        f"{RPM}redline: limit rpm at most 2750 rpm, needs warning, source NOTE\nrpm from 500 to 2750 rpm is green\n"
        'rpm above 2750 rpm is red with warning "OVERSPEED"\nrpm below 500 rpm is red\n'
        'when canopy is closed and rpm below 500 rpm then caution "LOW"\n'
    )
    old = 'when canopy is open and rpm below 1500 rpm then caution "CANOPY"\n'
    [one] = found(silent_danger, text + old)
    assert '"CANOPY" (alert_2) is up already at rpm 500 rpm' in one.message
    assert found(silent_danger, text + old.replace("1500", "500")) == []


def test_the_report_counts_the_same_way() -> None:
    context = Context(api.loads(HEAD + GAUGE + CLOSED + CANOPY).model)
    [line] = limits_table(context, ())
    assert line.alert is not None
    assert line.alert.labels == ("alert_1",)
    assert line.alert.everywhere is False


@seed(81)
@settings(max_examples=100, deadline=None, suppress_health_check=list(HealthCheck))
@given(watched())
def test_what_is_found_is_what_counting_says(text: str) -> None:
    """Every state, region and witness, in both directions."""
    rules = api.loads(text).model
    oracle = Oracle(rules)
    assume(oracle.possible != 0)
    shown: dict[tuple[str | None, int | None], list[Finding]] = {}
    for member in by_itself(missing_alert, rules):
        assert not member.undecided
        assert member.region is not None
        shown.setdefault((member.limit, element(primary(member.region))), []).append(member)
    for one in rules.ranges:
        if one.needs is None or not oracle.bands(one.quantity):
            continue
        for index in rules.elements(one.quantity):
            problem = oracle.silent(one, index) & oracle.possible
            members = shown.pop((one.label, index), [])
            assert bool(members) == (problem != 0)
            told = 0
            for member in members:
                assert member.region is not None
                assert member.witness is not None
                check_region(oracle, member.region, problem)
                check_witness(oracle, member.witness, member.region, problem)
                told |= box_of(oracle, member.region)
            assert len(members) == 4 or problem & ~told == 0, "a state in no region"
    assert shown == {}


@seed(81)
@settings(max_examples=40, deadline=None, suppress_health_check=list(HealthCheck))
@given(remembering())
def test_with_memory_time_and_derived_readings_it_is_what_telling_says(text: str) -> None:
    """In states with a counting alert and in states without. Where it is not exact, it may be said of too many."""
    rules = api.loads(text).model
    everything = Everything(rules)
    assume(everything.states)
    context = Context(rules)
    context.encoder.condition("memory")
    context.encoder.condition("lasting")
    for one in rules.ranges:
        if one.needs is None:
            continue
        silent = set(everything.silent(one))
        goal = both(context.encoder.violated(one, None), news.silent(context, one, None))
        loud = news.alerts_for(rules, one)
        exact = all(news.of_limit(context, one, None).is_exact(rule) for rule in loud)
        broken = [state for state in everything.states if everything.broken(one, state)]
        for wanted in (True, False):
            some = [state for state in broken if (state in silent) is wanted]
            for state in some[:: max(1, len(some) // 10)]:
                answer = context.is_satisfiable(both(goal, _at(context, state)))
                assert (answer is Answer.YES) is wanted or (answer is Answer.YES and not exact), state
    for name in rules.quantities:
        # No finding without a state that the reference evaluator confirms.
        for finding in missing_alert.check_quantity(context, name):
            assert not finding.undecided


@seed(81)
@settings(max_examples=40, deadline=None, suppress_health_check=list(HealthCheck))
@given(st.one_of(watched(), remembering()))
def test_in_a_state_that_lasts_it_is_what_the_stepper_says(share: int, text: str) -> None:
    rules, chance = api.loads(text).model, random.Random(81)
    held = Held(rules, run(rules))
    for _ in range(12 // share):
        state = drawn(rules, chance, PLAIN, ())
        if state is not None:
            told = news_at_rest(held, state, lasting(held.watched, state), chance)
            assert [kind for kind, _ in told if not kind.startswith("wider")] == []


def _at(context: Context, state: Told) -> Term:
    """One state, for the solver."""
    [held] = context.ruleset.held
    flags = {"memory": state.memory, held_flag(context.ruleset, held): state.lasting}
    return conjunction(
        (
            in_interval("q", Interval.point(state.q)),
            in_interval("r", Interval.point(state.r)),
            AtValue("s", state.s),
            *(Flag(name) if holds else negate(Flag(name)) for name, holds in flags.items()),
        )
    )
