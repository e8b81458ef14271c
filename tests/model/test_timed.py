"""Every word of time and failure comes to the right field of the rule set: exact seconds, whatever their unit."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction

import pytest

from alertlang.model import ruleset as m
from alertlang.model.load import Loaded
from tests.model.conftest import Load

Rules = Callable[[str], Loaded]

# A time as it is written, and in seconds.
TIMES = [("5 s", Fraction(5)), ("1.5 min", Fraction(90)), ("0.1 min", Fraction(6)), ("2 h", Fraction(7200)),
         ("0.1 s", Fraction(1, 10)), ("0.005 h", Fraction(18)), ("0 s", Fraction(0))]  # fmt: skip


def _ruleset(loaded: Loaded) -> m.RuleSet:
    assert [f.message for f in loaded.findings] == []
    assert loaded.ruleset is not None
    return loaded.ruleset


def _band(loaded: Loaded) -> m.Band:
    [band] = _ruleset(loaded).bands
    return band


def _condition(loaded: Loaded, name: str = "c") -> m.Condition:
    return _ruleset(loaded).conditions[name]


# ---- statements


@pytest.mark.parametrize(("written", "seconds"), TIMES)
def test_times_of_a_band(rules: Rules, written: str, seconds: Fraction) -> None:
    band = _band(rules(f'rpm above 1 for more than {written} is red with warning "A"'))
    assert (band.held, band.in_total, band.after, band.latched) == (seconds, False, None, False)
    band = _band(rules(f'rpm above 1 for more than {written} in total is red with warning "A"'))
    assert (band.held, band.in_total, band.after, band.latched) == (seconds, True, None, False)
    band = _band(rules(f'rpm above 1 is red with warning "A" after {written} latched'))
    assert (band.held, band.in_total, band.after, band.latched) == (None, False, seconds, True)


@pytest.mark.parametrize(("written", "seconds"), TIMES)
def test_times_of_an_alert(rules: Rules, written: str, seconds: Fraction) -> None:
    [alert] = _ruleset(rules(f'when running for more than {written} then warning "A"')).alerts
    assert (alert.held, alert.in_total, alert.after, alert.latched) == (seconds, False, None, False)
    [alert] = _ruleset(rules(f'when running for more than {written} in total then warning "A"')).alerts
    assert (alert.held, alert.in_total, alert.after, alert.latched) == (seconds, True, None, False)
    [alert] = _ruleset(rules(f'when running then warning "A" latched after {written}')).alerts
    assert (alert.held, alert.in_total, alert.after, alert.latched) == (None, False, seconds, True)


def test_what_follows_a_band_comes_in_any_order(rules: Rules) -> None:
    words = ["after 3 s", "latched", "unless running"]
    found = [
        _band(rules(f'rpm above 1 for more than 1 min is red with warning "A" {one} {other} {last}'))
        for one in words for other in words for last in words if len({one, other, last}) == 3
    ]  # fmt: skip
    assert {(b.held, b.after, b.latched) for b in found} == {(Fraction(60), Fraction(3), True)}
    assert all(b.unless is not None for b in found)


def test_for_more_than_times_the_whole_formula_and_for_at_least_its_last_part(rules: Rules) -> None:
    [alert] = _ruleset(rules('when running and rpm above 5 for more than 2 s then warning "A"')).alerts
    assert isinstance(alert.when, m.And)
    assert alert.held == 2
    [alert] = _ruleset(rules('when running and rpm above 5 for at least 2 s then warning "A"')).alerts
    assert alert.held is None
    assert isinstance(alert.when, m.And)
    assert isinstance(alert.when.parts[0], m.ConditionIs)
    assert isinstance(alert.when.parts[1], m.Held)
    [alert] = _ruleset(rules('when (running and rpm above 5) for at least 2 s then warning "A"')).alerts
    assert isinstance(alert.when, m.Held)
    assert isinstance(alert.when.part, m.And)


def test_both_words_in_one_statement(rules: Rules) -> None:
    band = _band(rules("when running for at least 30 s then rpm above 5 for more than 2 s is red"))
    assert isinstance(band.when, m.Held)
    assert (band.when.duration, band.held) == (Fraction(30), Fraction(2))


@pytest.mark.parametrize(("written", "seconds"), [one for one in TIMES if one[1]])
@pytest.mark.parametrize(("words", "at_least"), [("for at least", True), ("for less than", False)])
def test_how_long_something_has_been_so(
    rules: Rules, written: str, seconds: Fraction, words: str, at_least: bool
) -> None:
    said = _condition(rules(f"condition c means running {words} {written}")).formula
    assert isinstance(said, m.Held)
    assert (said.at_least, said.duration) == (at_least, seconds)
    assert isinstance(said.part, m.ConditionIs)


def test_what_is_not_so_for_a_time_in_both_readings(rules: Rules) -> None:
    inner = _condition(rules("condition c means (not running) for at least 5 s")).formula
    outer = _condition(rules("condition c means not (running for at least 5 s)")).formula
    assert isinstance(inner, m.Held)
    assert isinstance(inner.part, m.Not)
    assert isinstance(outer, m.Not)
    assert isinstance(outer.part, m.Held)


# ---- conditions


@pytest.mark.parametrize(("written", "seconds"), TIMES)
def test_delays_of_a_condition(rules: Rules, written: str, seconds: Fraction) -> None:
    condition = _condition(rules(f"condition c means running, set after {written}"))
    assert (condition.set_after, condition.cleared_after, condition.until) == (seconds, None, None)
    condition = _condition(rules(f"condition c means running, cleared after {written}"))
    assert (condition.set_after, condition.cleared_after, condition.until) == (None, seconds, None)
    # A delay of nothing is none.
    assert condition.is_delayed is bool(seconds)


def test_clauses_of_a_condition_in_any_order(rules: Rules) -> None:
    text = "source T common practice\ncondition c means running until rpm below 5, {}"
    clauses = ["set after 5 s", "cleared after 1 min", "source T"]
    for turn in range(3):
        condition = _condition(rules(text.format(", ".join(clauses[turn:] + clauses[:turn]))))
        assert (condition.set_after, condition.cleared_after) == (Fraction(5), Fraction(60))
        assert [source.name for source in condition.sources] == ["T"]
        assert isinstance(condition.formula, m.ConditionIs)
        assert isinstance(condition.until, m.Compare)
        assert condition.until.region.kind == "below"
        assert condition.parts == (condition.formula, condition.until)


def test_what_clears_a_condition_is_read_by_it(rules: Rules) -> None:
    ruleset = _ruleset(rules("condition c means running until oil_temp below 50 C or flaps is up"))
    condition = ruleset.conditions["c"]
    assert isinstance(condition.until, m.Or)
    compared = condition.until.parts[0]
    assert isinstance(compared, m.Compare)
    assert compared.region.numbers == (Fraction(122),)
    assert ruleset.quantities_read(m.ConditionIs("c", condition.span)) == {"rpm", "oil_temp"}
    assert ruleset.switches_read(m.ConditionIs("c", condition.span)) == {"flaps"}


# ---- limits and claims


@pytest.mark.parametrize(("written", "seconds"), TIMES)
@pytest.mark.parametrize("kind", ["limit", "avoid"])
def test_times_of_a_limit(rules: Rules, written: str, seconds: Fraction, kind: str) -> None:
    head = f"source T common practice\n{kind} oil_temp from 5 to 9 F"
    text = f"{head} except for {written}, needs caution within 3 s, source T"
    one = _ruleset(rules(text)).ranges[1]
    assert (one.kind, one.except_for, one.allowed, one.allowed_by) == (kind, seconds, Fraction(3), "`within`")
    one = _ruleset(rules(f"{head}, source T, needs caution within {written}")).ranges[1]
    assert (one.except_for, one.allowed, one.allowed_by, one.needs) == (None, seconds, "`within`", m.Level.CAUTION)


def test_a_limit_that_says_no_time_has_two_seconds(rules: Rules) -> None:
    text = "source T common practice\nlimit oil_temp at most 5 F, needs caution, source T"
    assert [(r.except_for, r.allowed, r.allowed_by) for r in _ruleset(rules(text)).ranges] == [
        (None, Fraction(2), "common practice, no source"),
        (None, Fraction(2), "common practice, no source"),
    ]


def test_respond_within_is_for_the_limits_of_its_file_that_say_nothing_else(load: Load) -> None:
    limits = "source S common practice\nquantity q{0} from 0 to 9\nlimit q{0} at most 5, source S\n"
    timed = "limit q1 at most 6, needs warning within 1 s, source S\n"
    loaded = load(
        {
            "a.profile": f'profile "a" version 1\n{limits.format(1)}{timed}respond within 0.1 min\n',
            "b.profile": f'profile "b" version 1\n{limits.format(2)}',
            "t.alert": f'rules "t" version 1\nuse profile "a"\nuse profile "b"\nrespond within 9 s\n{limits.format(3)}',
        }
    )
    assert [(r.quantity, r.allowed, r.allowed_by) for r in _ruleset(loaded).ranges] == [
        ("q1", Fraction(6), "`respond within`"),
        ("q1", Fraction(1), "`within`"),
        ("q2", Fraction(2), "common practice, no source"),
        ("q3", Fraction(9), "`respond within`"),
    ]


@pytest.mark.parametrize(("written", "seconds"), TIMES)
def test_time_of_a_claim(rules: Rules, written: str, seconds: Fraction) -> None:
    text = f"prove rpm above 5 raises warning within {written}\nprove raises caution within {written}\n"
    text += "prove raises caution"
    assert [(c.kind, c.within) for c in _ruleset(rules(text)).claims] == [
        ("raises", seconds),
        ("any_raises", seconds),
        ("any_raises", None),
    ]


# ---- failure


def test_a_band_on_a_failed_sensor_colours_no_value(rules: Rules) -> None:
    ruleset = _ruleset(rules('cht failed for more than 3 s is yellow with caution "CHT {n} PROBE" after 1 s latched'))
    [band] = ruleset.bands
    assert (band.region.kind, band.quantity, band.index, band.colour) == ("failed", "cht", None, m.Colour.YELLOW)
    assert (band.region.bounds, band.region.numbers, band.region.moves) == ((), (), False)
    assert band.region.values.is_empty
    assert (band.held, band.after, band.latched) == (Fraction(3), Fraction(1), True)
    assert ruleset.bands_by_quantity["cht"] == ()
    assert _band(rules("cht[2] failed is yellow")).index == 2


@pytest.mark.parametrize(
    ("written", "quantity", "index", "quantifier", "size"),
    [
        ("oil_temp failed", "oil_temp", None, None, None),
        ("cht[3] failed", "cht", 3, None, None),
        ("any cht failed", "cht", None, "any", 4),
        ("every cht failed", "cht", None, "every", 4),
    ],
)
def test_failed_in_a_formula(
    rules: Rules, written: str, quantity: str, index: int | None, quantifier: str | None, size: int | None
) -> None:
    said = _condition(rules(f"condition c means {written}")).formula
    assert isinstance(said, m.Compare)
    assert said.region.is_failed
    assert (said.quantity, said.index, said.quantifier, said.size) == (quantity, index, quantifier, size)


def test_which_sensors_a_formula_asks_the_failure_of(rules: Rules) -> None:
    ruleset = _ruleset(
        rules(
            "let apart = oil_temp - average of cht\ncondition blind means apart failed\n"
            'when blind and rpm above 5 then warning "A"\nwhen cht[2] failed then warning "B"\n'
            'when oil_temp above 5 then warning "C"'
        )
    )
    heads = {f"cht[{n}]" for n in (1, 2, 3, 4)}
    assert [ruleset.failures_read(alert.when) for alert in ruleset.alerts] == [
        {"oil_temp", *heads},
        {"cht[2]"},
        set(),
    ]


def test_deadband_is_a_difference(rules: Rules) -> None:
    ruleset = _ruleset(rules("quantity q from 0 to 100 C, deadband 9 F\nquantity p from 0 to 5 rpm, deadband 0.5"))
    assert (ruleset.quantities["q"].deadband, ruleset.quantities["p"].deadband) == (Fraction(5), Fraction(1, 2))


def test_follow(rules: Rules) -> None:
    ruleset = _ruleset(rules('follow "14 CFR 25.1549"\nfollow "14 CFR 25.1322(e)" as of 2012-05-10'))
    assert [(one.rule, one.as_of) for one in ruleset.follows] == [
        ("14 CFR 25.1549", None),
        ("14 CFR 25.1322(e)", "2012-05-10"),
    ]


@pytest.mark.parametrize(
    ("words", "momentary"),
    [
        ("rpm above 5 rpm and not running", True),
        ("remembered", False),
        ("delayed or running", False),
        ("rpm above 5 rpm for at least 2 s", False),
        ("builds_on_it", False),
        ("rising above 5 rpm", False),
    ],
)
def test_what_goes_by_its_own_instant_alone(rules: Rules, words: str, momentary: bool) -> None:
    found = _ruleset(
        rules(
            "let rising = rise of rpm per s, from -100 to 100 rpm\n"
            "condition remembered means rpm above 5 until rpm below 3\ncondition delayed means running, set after 2 s\n"
            f"condition builds_on_it means not remembered\ncondition c means {words}\n"
        )
    )
    assert found.is_momentary(found.conditions["c"].formula) is momentary
