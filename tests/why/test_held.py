"""Why of a state that is given by hand: what is read from the words, what is judged, what comes later."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest

from alertlang import api
from alertlang.results.why import Why

RULES = """rules "r" version 1
source NOTE common practice
quantity rpm from 0 to 3000 rpm, step 10 rpm
quantity oil from -40 to 300 F
quantity cht[2] from 0 to 500 F
switch flaps up, landing
condition cold means oil below 75 F, set after 5 s
rpm at most 2600 rpm is green
fast: rpm above 2600 rpm is red with warning "FAST" after 3 s
slow_oil: when cold then rpm above 1200 rpm is red with caution "COLD"
hot: cht above 400 F is red with warning "CHT {n} HOT"
warm: assume oil at least -20 F
top: limit rpm at most 2600 rpm, source NOTE
long: limit oil at most 240 F except for 10 s, source NOTE
gear: when flaps is landing limit rpm at most 2000 rpm, source NOTE
"""


@pytest.fixture(scope="module")
def rules() -> api.Rules:
    return api.loads(RULES)


def asked(rules: api.Rules, words: str, after: int = 0, about: str | None = None) -> Why:
    return api.why_given(rules, words.split(), after=Fraction(after), about=about)


def test_what_applies_what_lost_and_what_is_missing(rules: api.Rules) -> None:
    found = asked(rules, "rpm=1500 oil=40F", 8, "rpm")
    [gauge] = found.gauges
    assert (gauge.colour, gauge.since) == ("red", Fraction(5))
    assert [(one.statement, one.applies, one.beaten_by) for one in gauge.statements] == [
        ("slow_oil", True, None),
        ("rpm_1", True, "slow_oil"),
        ("fast", False, None),
    ]
    assert gauge.statements[2].says == "does not apply: rpm 1500 rpm is not above 2600 rpm"
    assert {change.input: change.shows for change in gauge.nearest if change.reach} == {
        "rpm": "rpm green",
        "oil": "rpm green",
    }


def test_what_was_not_given_is_not_judged(rules: api.Rules) -> None:
    found = asked(rules, "rpm=1500 cht[1]=450 oil=90")
    assert found.not_judged == ("cht[1]", "cht[2]", 'warning "CHT 1 HOT"', 'warning "CHT 2 HOT"')
    assert [limit.limit for limit in found.limits] == ["top", "long"]
    with pytest.raises(api.NameOrFileError, match=r"CHT 1 HOT depends on cht\[2\] too"):
        asked(rules, "cht[1]=450", about="CHT 1 HOT")
    both = asked(rules, "cht=300F cht[2]=450", about="CHT {n} HOT")
    assert [(alert.text, alert.up) for alert in both.alerts] == [("CHT 1 HOT", False), ("CHT 2 HOT", True)]


def test_an_alert_that_waits_comes_later(rules: api.Rules) -> None:
    found = asked(rules, "rpm=2700 oil=90", 1)
    assert found.up == ()
    fast = next(alert for alert in found.alerts if alert.text == "FAST")
    assert fast.statement.says == "applies, and its alert comes after 3 s, 1 s so far"
    assert found.later is not None
    assert (found.later.time, found.later.shows) == (Fraction(3), 'warning "FAST"')
    assert asked(rules, "rpm=2000 oil=90", 1).later is None


def test_limits_and_assumptions(rules: api.Rules) -> None:
    found = asked(rules, "rpm=2100 oil=-30 flaps=up")
    assert found.broken == ("warm: oil at least -20 F",)
    limits = {limit.limit: limit for limit in found.limits}
    assert (limits["top"].left, limits["top"].counts) == (Fraction(500), True)
    assert (limits["gear"].counts, limits["gear"].says) == (False, "flaps is up, not landing")
    hot = {limit.limit: limit for limit in asked(rules, "rpm=2100 oil=250", 4).limits}
    assert (hot["long"].broken, hot["long"].left) == (False, Fraction(-10))
    assert hot["long"].says == "past its edge for 4 s, which it allows for 10 s"
    assert {limit.limit: limit for limit in asked(rules, "rpm=1 oil=250", 11).limits}["long"].broken


def test_an_assumption_that_counts_time_is_not_judged() -> None:
    """Of an assumption the run does not know since when something has been so."""
    text = "quantity x from 0 to 9\nx above 5 is red\ns1: assume when (x above 3) for at least 2 s then x below 5\n"
    rules = api.loads(f'rules "r" version 1\n{text}s2: assume x below 6\n')
    assert api.why_given(rules, ["x=7"], after=Fraction(9)).broken == ("s2: x below 6",)


def test_failed_inputs(rules: api.Rules) -> None:
    found = asked(rules, "rpm=failed oil=failed flaps=failed")
    assert found.read == {"rpm": None, "oil": None, "flaps": None}
    assert next(gauge for gauge in found.gauges if gauge.quantity == "rpm").colour is None


@pytest.mark.parametrize(
    ("words", "says"),
    [
        ("rpm=9000", "the sensor of rpm reads"),
        ("oyl=3", "have no quantity or switch oyl"),
        ("rpm=3F", "rpm"),
        ("flaps=down", "flaps"),
        ("rpm=3 rpm=4", "gives rpm twice"),
        ("cold=3", "cold is a condition"),
        ("rpm=1->quiet", "is not an input"),
        ("rpm", "is not an input"),
        ("=3", "is not an input"),
        ("rpm=", "is not an input"),
    ],
)
def test_words_that_say_nothing(rules: api.Rules, words: str, says: str) -> None:
    with pytest.raises((api.UnreadableError, api.NameOrFileError), match=says):
        asked(rules, words)


def test_what_is_asked_about_must_be_there(rules: api.Rules) -> None:
    with pytest.raises(api.NameOrFileError, match="did you mean FAST"):
        asked(rules, "rpm=3", about="FASD")
    with pytest.raises(api.NameOrFileError, match="have no gauge and no alert zzzzzz"):
        asked(rules, "rpm=3", about="zzzzzz")


def test_a_lamp_is_the_alerts_that_light_it() -> None:
    folder = Path(__file__).parents[2] / "examples" / "02-bramble"
    rules = api.load(folder / "bramble-panel.alert")
    log, columns = folder / "logs/first-flight.csv", folder / "logs/recorder.toml"
    found = api.why_recorded(rules, log, at="1200s", about="WARNING", column_map=columns)
    assert [alert.text for alert in found.up] == ["CHT 3 HOT"]
    assert {alert.level for alert in found.alerts} == {"warning"}
    [lamp] = [lamp for lamp in found.lamps if lamp.text == "WARNING"]
    assert lamp.lit_by == ('warning "CHT 3 HOT"',)


@pytest.mark.parametrize("region", ["at most 5", "below 5", "at least 3", "above 3", "from 3 to 5", "outside 3 to 5"])
@pytest.mark.parametrize("kind", ["limit", "avoid"])
def test_what_is_left_of_a_limit_has_the_sign_of_what_it_is(region: str, kind: str) -> None:
    rules = api.loads(
        f'rules "r" version 1\nsource N common practice\nquantity x from 0 to 9\n'
        f"l: {kind} x {region}, source N\nx at most 9 is green\n"
    )
    for value in range(10):
        [limit] = api.why_given(rules, [f"x={value}"]).limits
        assert limit.left is not None
        # At the edge itself it is the region that says which side it belongs to.
        assert limit.left == 0 or limit.broken is (limit.left < 0)
        ends = [int(word) for word in region.split() if word.isdecimal()]
        assert abs(limit.left) == min(abs(value - end) for end in ends)


def test_what_is_missing_is_shown_with_a_value_at_which_all_is_well() -> None:
    """A failed sensor would give a calm answer for the wrong reason."""
    found = api.loads(
        'rules "r" version 1\nquantity volts from 0 to 20 V, step 0.1 V\nquantity rpm from 0 to 3000 rpm\n'
        "switch master off, on\nvolts from 13 V to 15 V is green\n"
        'when master is on and rpm above 500 rpm then volts below 13 V is red with caution "LOW VOLTS"\n'
    )
    with pytest.raises(api.NameOrFileError) as problem:
        asked(found, "rpm=2000", about="LOW VOLTS")
    said = str(problem.value)
    assert said.endswith("give what fits, for example volts=14V master=off")
    given = said.partition("for example ")[2]
    assert asked(found, f"rpm=2000 {given}", about="LOW VOLTS").gauges[0].colour == "green"
