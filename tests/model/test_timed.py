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
    assert {(b.held, b.after, b.latched) for b in found} == {(60, 3, True)}
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
    assert (band.when.duration, band.held) == (30, 2)


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
        assert (condition.set_after, condition.cleared_after) == (5, 60)
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
    assert compared.region.numbers == (122,)
    assert ruleset.quantities_read(m.ConditionIs("c", condition.span)) == {"rpm", "oil_temp"}
    assert ruleset.switches_read(m.ConditionIs("c", condition.span)) == {"flaps"}


# ---- limits and claims


@pytest.mark.parametrize(("written", "seconds"), TIMES)
@pytest.mark.parametrize("kind", ["limit", "avoid"])
def test_times_of_a_limit(rules: Rules, written: str, seconds: Fraction, kind: str) -> None:
    text = f"source T common practice\n{kind} oil_temp from 5 to 9 F except for {written}, needs caution within 3 s, source T"
    one = _ruleset(rules(text)).ranges[1]
    assert (one.kind, one.except_for, one.allowed, one.allowed_by) == (kind, seconds, 3, "`within`")
    text = f"source T common practice\n{kind} oil_temp from 5 to 9 F, source T, needs caution within {written}"
    one = _ruleset(rules(text)).ranges[1]
    assert (one.except_for, one.allowed, one.allowed_by, one.needs) == (None, seconds, "`within`", m.Level.CAUTION)


def test_a_limit_that_says_no_time_has_two_seconds(rules: Rules) -> None:
    text = "source T common practice\nlimit oil_temp at most 5 F, needs caution, source T"
    assert [(r.except_for, r.allowed, r.allowed_by) for r in _ruleset(rules(text)).ranges] == [
        (None, 2, "common practice, no source"),
        (None, 2, "common practice, no source"),
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
        ("q1", 6, "`respond within`"),
        ("q1", 1, "`within`"),
        ("q2", 2, "common practice, no source"),
        ("q3", 9, "`respond within`"),
    ]


@pytest.mark.parametrize(("written", "seconds"), TIMES)
def test_time_of_a_claim(rules: Rules, written: str, seconds: Fraction) -> None:
    text = f"prove rpm above 5 raises warning within {written}\nprove raises caution within {written}\nprove raises caution"
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
    assert (band.held, band.after, band.latched) == (3, 1, True)
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
    assert isinstance(said, m.Failed)
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
    assert (ruleset.quantities["q"].deadband, ruleset.quantities["p"].deadband) == (5, Fraction(1, 2))


def test_follow(rules: Rules) -> None:
    ruleset = _ruleset(rules('follow "14 CFR 25.1549"\nfollow "14 CFR 25.1322(e)"'))
    assert [one.rule for one in ruleset.follows] == ["14 CFR 25.1549", "14 CFR 25.1322(e)"]


# ---- slips

# What is written, the code, what is underlined, what is said, what is advised.
SLIPS: list[tuple[str, str, str, str, str]] = [
    ("rpm above 1 for more than 5 rpm is red", "AL105", "5 rpm", "a time must stand here, and 5 rpm is a rot", "s, min or"),
    ("rpm above 1 for more than 5 sec is red", "AL110", "sec", "sec is not a unit", "did you mean s?"),
    ('rpm above 1 is red with warning "A" after 5 ft', "AL105", "5 ft", "is a length", "s, min or h"),
    ("condition c means running, set after 5 V", "AL105", "5 V", "is a voltage", "s, min or h"),
    ("condition c means running, cleared after 5 V", "AL105", "5 V", "is a voltage", "s, min or h"),
    ("condition c means running for at least 5 A", "AL105", "5 A", "is a current", "s, min or h"),
    ("condition c means running for at least 0 s", "AL112", "0 s", "a time of 0 says nothing here", "take the time away"),
    ("condition c means running for less than 0 min", "AL112", "0 min", "a time of 0 says nothing", "take the time away"),
    ("prove raises warning within 5 L", "AL105", "5 L", "is a volume", "s, min or h"),
    ("respond within 5 K", "AL105", "5 K", "is a temperature", "s, min or h"),
    ("respond within 5 s\nrespond within 5 s", "AL112", "respond within 5 s", "`respond within` is said twice", "one of"),
    ("source T common practice\nlimit rpm at most 5 rpm except for 5 %, source T", "AL105", "5 %", "is a ratio", "s, min"),
    (
        "source T common practice\nlimit rpm at most 5 rpm, needs warning within 5 m, source T",
        "AL105", "5 m", "is a length", "s, min or h",
    ),
    (
        "source T common practice\nlimit rpm at most 5 rpm, needs warning, needs caution within 5 s, source T",
        "AL112", "needs caution within 5 s", "`needs` is said twice", "take one of the two out",
    ),
    ("rpm above 1 is red after 5 s", "AL109", "5 s", "`after` holds back an alert, and this band has none", "for more than"),
    ("rpm above 1 is red latched", "AL109", "latched", "`latched` keeps an alert up, and this band has none", "out"),
    ('rpm above 1 is red with warning "A" after 5 s after 6 s', "AL112", "6 s", "said twice", "take one of the two out"),
    ("condition c means running, set after 5 s, set after 6 s", "AL112", "6 s", "said twice", "take one of the two out"),
    (
        "condition c means running, cleared after 5 s, cleared after 6 s",
        "AL112", "6 s", "said twice", "take one of the two out",
    ),
    ("condition c means running until not c", "AL112", "condition c", "c is defined by itself", "quantities"),
    ("quantity q from 0 to 5, deadband 0", "AL112", "0", "the deadband of q must be more than 0", "larger"),
    ("quantity q from 0 to 5 rpm, deadband 1 psi", "AL105", "1 psi", "the deadband of q is a rotational speed", "(rpm)"),
    ("quantity q from 0 to 5, deadband 1, deadband 2", "AL112", "2", "said twice", "take one of the two out"),
    ("condition c means cht failed", "AL113", "cht", "cht has 4 elements: of which is this said?", "any cht, every cht"),
    ("condition c means any rpm failed", "AL113", "any rpm failed", "`any` is for arrays", "take `any` away"),
    ("condition c means every cht[1] failed", "AL113", "every cht[1] failed", "is one value", "take `every` away"),
    ("condition c means cht[5] failed", "AL112", "cht[5]", "elements 1 to 4; there is no 5", "cht[1] to cht[4]"),
    ("flaps failed is red", "AL113", "flaps", "flaps is a switch, and a quantity must stand here", "flaps is up"),
    ("running failed is red", "AL113", "running", "running is a condition, and a quantity must stand here", ""),
]  # fmt: skip


@pytest.mark.parametrize(("text", "code", "underlined", "message", "advice"), SLIPS, ids=[s[0][-60:] for s in SLIPS])
def test_slip(rules: Rules, text: str, code: str, underlined: str, message: str, advice: str) -> None:
    loaded = rules(text)
    [found] = loaded.findings
    assert (found.code.code, found.path) == (code, "t.alert")
    assert found.where is not None
    assert found.where.text == underlined
    lines = text.split("\n")
    assert found.where.line == 2 + len(lines)
    assert found.where.column == lines[-1].rindex(underlined) + 1
    assert message in found.message
    assert advice in " ".join(found.advice)
    assert found.advice
    assert loaded.ruleset is None


def test_follow_belongs_into_rules(profile: Rules) -> None:
    [found] = profile('follow "14 CFR 25.1549"').findings
    assert found.code.code == "AL109"
    assert found.where is not None
    assert found.where.text == 'follow "14 CFR 25.1549"'


def test_a_wrong_time_is_said_once_for_each_place(rules: Rules) -> None:
    text = (
        "source T common practice\n"
        "limit rpm at most 5 rpm except for 5 rpm, needs warning within 6 rpm, source T\n"
        "condition c means running for less than 7 rpm until rpm below 8 for at least 8 psi\n"
        "condition d means running, set after 9 rpm, cleared after 10 rpm"
    )
    found = rules(text).findings
    assert {f.code.code for f in found} == {"AL105"}
    assert [f.where.text for f in found if f.where] == ["5 rpm", "6 rpm", "7 rpm", "8 psi", "9 rpm", "10 rpm"]
