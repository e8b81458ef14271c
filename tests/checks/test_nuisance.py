"""nuisance: against counted states, and the words of the clock, arrays and derived quantities."""

from __future__ import annotations

import re
from fractions import Fraction

import pytest
from hypothesis import HealthCheck, assume, given, settings

import alertlang.api as api
from alertlang.checks import nuisance
from alertlang.findings.finding import WitnessReading
from alertlang.model import ruleset as m
from tests.helpers.cells import ends_of, inside, subformulas
from tests.helpers.generate import Text, rule_sets
from tests.helpers.one_check import HEAD, by_itself, found, mended
from tests.helpers.oracle import Oracle
from tests.helpers.shown import state_of

STILL = "with the engine standing still"
ENGINE = (
    "quantity rpm from 0 to 3000 rpm, step 10 rpm\nquantity oil_temp from 0 to 300 F, step 1 F\n"
    "condition running means rpm above 400 rpm\n"
)


# ---- by counting


def above(region: m.Region, value: Fraction) -> bool:
    """A value beyond the high side of a region in which it should be."""
    if region.kind not in {"at_most", "below", "within"}:
        return False
    top = ends_of(region)[1]
    return value >= top if region.kind == "below" else value > top


def too_high(one: m.Range, value: Fraction, others: list[m.Range]) -> bool:
    """A value that a limit, an avoid range or a precaution keeps an engine that stands still from, by its high side."""
    x, y = ends_of(one.region)
    if one.kind == "limit":
        return above(one.region, value) or (one.region.kind == "outside" and hit(x, y, value, others))
    if one.region.kind in {"below", "at_most"}:
        return False
    if one.region.kind == "outside":
        return value > y
    return hit(x, y, value, others) if one.region.kind == "within" else inside(one.region, value)


def hit(x: Fraction, y: Fraction, value: Fraction, others: list[m.Range]) -> bool:
    """Inside a stretch that does not lie below what is normal."""
    starts = []
    for other in others:
        if other.kind == "normal" and other.region.kind in {"above", "at_least", "within"}:
            starts.append(ends_of(other.region)[0])
        if other.kind == "normal" and other.region.kind == "outside":
            starts.append(ends_of(other.region)[1])
    return x <= value <= y and not any(start >= y for start in starts)


def calm(oracle: Oracle, still: bool) -> int:
    states = oracle.all
    rules = oracle.rules
    for switch in rules.switches:
        states &= oracle.at(switch, [0])
    for quantity in rules.quantities.values():
        for index in quantity.indexes:
            name = quantity.name if index is None else f"{quantity.name}[{index}]"
            ranges = [r for r in rules.ranges if r.quantity == quantity.name and r.index in {None, index}]
            values = oracle.values(quantity.name)
            normal = [r for r in ranges if r.kind == "normal"]
            for one in ranges:
                if one.kind == "normal":
                    continue
                if still:
                    bad = oracle.at(name, (i for i, v in enumerate(values) if too_high(one, v, ranges)))
                    states &= ~(oracle.true(one.when) & bad)
                elif one.kind == "precaution":
                    states &= ~(oracle.true(one.when) & oracle.reads_in(quantity.name, index, one.region))
                else:
                    states &= ~oracle.broken(one, index)
            some, none = 0, oracle.all
            for one in normal:
                good = [
                    i for i, v in enumerate(values) if (not above(one.region, v) if still else inside(one.region, v))
                ]
                some |= oracle.true(one.when) & oracle.at(name, good)
                none &= ~oracle.true(one.when)
            if normal:
                states &= some | none
    return states


def is_known(oracle: Oracle, rule: m.Band | m.Alert) -> bool:
    names = {rule.quantity} if isinstance(rule, m.Band) else oracle.quantities_read(rule.when)
    known = {one.quantity for one in oracle.limits("limit", "normal")}
    return names <= known


def known_now(oracle: Oracle, rule: m.Band | m.Alert) -> dict[int | None, int]:
    """The states in which a limit or normal range holds on all that the alert is about; by element for a band."""

    def told(name: str, index: int | None) -> int:
        ranges = [r for r in oracle.limits("limit", "normal") if r.quantity == name and r.index in {None, index}]
        return oracle.any_of(oracle.true(one.when) for one in ranges)

    if isinstance(rule, m.Band):
        return {i: told(rule.quantity, i) for i in oracle.elements(rule.quantity, rule.index)}
    read = {(p.quantity, i) for p in compared(oracle, rule.when) for i in elements_of(oracle, p)}
    return {None: oracle.all_of(told(name, index) for name, index in read)}


def compared(oracle: Oracle, formula: m.Formula) -> list[m.Compare]:
    """The comparisons in a formula, conditions looked into."""
    found_: list[m.Compare] = []
    for part in subformulas(formula):
        if isinstance(part, m.Compare) and not part.region.is_failed:
            found_.append(part)
        elif isinstance(part, m.ConditionIs):
            found_ += compared(oracle, oracle.rules.conditions[part.name].formula)
    return found_


def elements_of(oracle: Oracle, part: m.Compare) -> tuple[int | None, ...]:
    return oracle.elements(part.quantity, part.index)


def up(oracle: Oracle, rule: m.Band | m.Alert, *, known: bool = False) -> int:
    """The alert is up; with `known` in a state in which something says what is normal there."""
    told = known_now(oracle, rule)
    if isinstance(rule, m.Alert):
        return oracle.context(rule) & (told[None] if known else oracle.all)
    return oracle.any_of(oracle.applies(rule, i) & (told[i] if known else oracle.all) for i in told)


@settings(max_examples=300, deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much])
@given(rule_sets(assumptions=(0, 1), bands=(1, 4)))
def test_what_is_found_is_what_counting_says(generated: Text) -> None:
    text = re.sub(r"\bc1\b", "running", generated.text)
    oracle = Oracle(api.loads(text).model)
    assume(oracle.possible != 0)
    counted(text, oracle)


@pytest.mark.parametrize("kind", ["limit", "avoid", "precaution", "normal"])
@pytest.mark.parametrize(
    "region", ["below 20", "above 20", "at most 20", "at least 20", "from 20 to 30", "outside 10 to 20"]
)
def test_at_an_end_too_it_is_what_counting_says(kind: str, region: str) -> None:
    """Drawn sets seldom have an alert that is up at one value alone."""
    alerts = (f'rpm from {at} to {at} is yellow with caution "AT {at}"\n' for at in (5, 10, 15, 20, 25, 30, 35))
    text = f"{HEAD}quantity rpm from 0 to 40\n{kind} rpm {region}, source NOTE\n{''.join(alerts)}"
    counted(text, Oracle(api.loads(text).model))


def counted(text: str, oracle: Oracle) -> None:
    rules = oracle.rules
    loud = [rule for rule in rules.rules if rule.alert is not None and rule.alert.level >= m.Level.CAUTION]
    loud = [rule for rule in loud if is_known(oracle, rule)]
    running = oracle.true(rules.conditions["running"].formula) if "running" in rules.conditions else None
    problems: dict[tuple[str, bool], int] = {}
    for rule in loud:
        normal = up(oracle, rule, known=True) & calm(oracle, False)
        problems[rule.label, False] = normal if running is None else normal & running
        if running is not None:
            problems[rule.label, True] = up(oracle, rule) & calm(oracle, True) & ~running
    findings = by_itself(nuisance, rules)
    keys = [(one.statements[0], STILL in one.message) for one in findings]
    assert sorted(keys) == sorted(key for key, states in problems.items() if oracle.exists(states))
    for key, one in zip(keys, findings, strict=True):
        assert one.witness is not None
        # The witness leaves out what has nothing to do with the alert: some state of the rest goes with it.
        assert oracle.exists(problems[key] & state_of(oracle, one.witness))
        if one.suggestion is not None:
            place = one.suggestion.replaces
            assert place is not None
            after = api.loads(text[: place.start] + one.suggestion.text + text[place.end :]).model
            assert key not in [(f.statements[0], STILL in f.message) for f in by_itself(nuisance, after)]


# ---- case by case


@pytest.mark.parametrize(
    ("text", "count"),
    [
        pytest.param('rpm above 2000 is yellow with caution "FAST"\n', 1, id="inside-the-normal-range"),
        pytest.param('rpm above 2500 is yellow with caution "FAST"\n', 0, id="beyond-the-normal-range"),
        pytest.param('rpm at least 2500 is yellow with caution "FAST"\n', 1, id="at-its-end"),
        pytest.param('rpm above 2000 is green with advisory "FAST"\n', 0, id="an-advisory"),
        pytest.param('when oil_temp above 100 then caution "OIL"\n', 0, id="of-which-nothing-is-known"),
        pytest.param('when rpm above 2000 and oil_temp above 100 then caution "X"\n', 0, id="of-half-of-which"),
        pytest.param('when gear is up then warning "GEAR"\n', 1, id="at-the-first-position"),
        pytest.param('when gear is down then warning "GEAR"\n', 0, id="at-another-position"),
        pytest.param(
            'limit oil_temp at most 240 F, source NOTE\nwhen oil_temp above 230 then caution "HOT"\n',
            1,
            id="below-a-limit",
        ),
        pytest.param(
            'precaution rpm from 2000 to 2500 rpm, source NOTE\nrpm above 2000 is yellow with caution "FAST"\n',
            0,
            id="in-a-precaution",
        ),
        pytest.param(
            'avoid rpm from 2000 to 2100 rpm, source NOTE\nrpm from 2000 to 2100 is red with caution "SHAKING"\n',
            0,
            id="in-an-avoid-range",
        ),
        pytest.param(
            'avoid rpm from 2000 to 2100 rpm, source NOTE\nrpm from 2000 to 2101 is red with caution "SHAKING"\n',
            1,
            id="beside-an-avoid-range",
        ),
        pytest.param(
            "limit oil_temp at most 240 F, needs caution, source NOTE\nquantity egt from 0 to 900 C\n"
            "when oil_temp above 240 normal egt at most 700 C, source NOTE\n"
            'when egt above 700 then caution "EGT"\n',
            0,
            id="where-no-normal-range-holds",
        ),
    ],
)
def test_without_a_word_on_running(text: str, count: int) -> None:
    declared = ENGINE.replace("condition running means rpm above 400 rpm\n", "") + "switch gear up, down\n"
    normal = "normal rpm from 500 to 2500 rpm, source NOTE\n"
    findings = found(nuisance, declared + normal + text)
    assert len(findings) == count
    assert all("with everything normal" in one.message for one in findings)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        pytest.param('rpm below 500 is yellow with caution "SLOW"\n', [STILL], id="low-when-stopped"),
        pytest.param('rpm below 500 is yellow with caution "SLOW" unless not running\n', [], id="spared"),
        pytest.param('when running then rpm below 500 is yellow with caution "SLOW"\n', [], id="only-running"),
        pytest.param('oil_temp above 240 is red with warning "HOT"\n', [], id="too-hot-after-stopping"),
        pytest.param('oil_temp above 230 is yellow with caution "WARM"\n', ["normal", STILL], id="warm-after-stopping"),
        pytest.param('oil_temp below 100 is yellow with caution "COLD"\n', [STILL], id="cold-before-starting"),
        pytest.param('oil_temp below 180 is yellow with caution "COLD"\n', ["normal", STILL], id="cold-when-normal"),
        pytest.param('when gear is up then warning "GEAR"\n', ["normal", STILL], id="first-position"),
        pytest.param('when gear is up then warning "GEAR" unless not running\n', ["normal"], id="first-when-running"),
        pytest.param('when gear is down then warning "GEAR"\n', [], id="second-position"),
    ],
)
def test_with_a_word_on_running(text: str, said: list[str]) -> None:
    declared = (
        f"{ENGINE}switch gear up, down\nwhen running normal rpm from 500 to 2500 rpm, source NOTE\n"
        "limit oil_temp at most 240 F, needs warning, source NOTE\nnormal oil_temp from 150 to 240 F, source NOTE\n"
    )
    findings = found(nuisance, declared + text)
    assert len(findings) == len(said)
    assert all(word in one.message for word, one in zip(said, findings, strict=True))


def test_low_side_and_high_side() -> None:
    """A precaution below what is normal is passed on the way down; one above it is not."""
    text = (
        f"{ENGINE}normal oil_temp from 150 to 200 F, source NOTE\nprecaution oil_temp from 100 to 150 F, source NOTE\n"
        "precaution oil_temp from 200 to 240 F, source NOTE\n"
    )
    low = 'oil_temp from 100 to 140 is yellow with caution "COOL"\n'
    high = 'oil_temp from 210 to 240 is yellow with caution "WARM"\n'
    assert [one.statements for one in found(nuisance, text + low)] == [("oil_temp_1",)]
    assert found(nuisance, text + high) == []


def test_the_suggestion_spares_the_stopped_engine() -> None:
    text = f"{ENGINE}when running normal rpm from 500 to 2500 rpm, source NOTE\n"
    text += 'slow: when rpm below 500  # idle\n  then caution "SLOW" after 2 s latched\n'
    [one] = found(nuisance, text)
    assert one.suggestion is not None
    assert one.suggestion.text == 'slow: when rpm below 500 then caution "SLOW" after 2 s latched unless not running'
    assert found(nuisance, mended(text, one)) == []


def test_the_suggestion_beside_an_unless() -> None:
    text = f"{ENGINE}switch gear up, down\nwhen running normal rpm from 500 to 2500 rpm, source NOTE\n"
    text += 'slow: when rpm below 500 then caution "SLOW" unless gear is down or rpm below 20\n'
    [one] = found(nuisance, text)
    assert one.suggestion is not None
    assert one.suggestion.text.endswith("unless (gear is down or rpm below 20) or not running")
    assert found(nuisance, mended(text, one)) == []


def test_no_suggestion_takes_a_guard_away() -> None:
    """The limit holds with the engine stopped too; to keep the alert quiet then would leave it without one."""
    text = f"{ENGINE}idle: limit rpm at least 500 rpm, needs caution, source NOTE\n"
    text += 'slow: when rpm below 500 then caution "SLOW"\n'
    [one] = found(nuisance, text)
    assert one.suggestion is None
    assert one.limit == "idle"
    assert "say `when running` there" in one.advice[1]
    only_running = text.replace("idle: limit", "idle: when running limit")
    [one] = found(nuisance, only_running)
    assert one.suggestion is not None
    codes = {f.code.name for f in api.loads(HEAD + mended(only_running, one)).check().findings}
    assert "missing-alert" not in codes


# ---- what else is normal


def test_other_quantities_must_be_normal_too() -> None:
    """The limit on the speed leaves no normal state in which the oil is cold."""
    text = (
        f"{ENGINE}normal oil_temp from 50 to 250 F, source NOTE\nwhen oil_temp below 100 limit rpm at most 100 rpm, "
        'source NOTE\nwhen running and oil_temp below 100 then caution "COLD"\n'
    )
    text = text.replace("condition running means rpm above 400 rpm\n", "condition turning means rpm above 400 rpm\n")
    text = text.replace("when running and", "normal rpm from 500 to 2500 rpm, source NOTE\nwhen turning and")
    assert found(nuisance, text) == []
    assert len(found(nuisance, text.replace("limit rpm at most 100 rpm", "limit rpm at most 1000 rpm"))) == 1


def test_what_hangs_together_only_by_way_of_others() -> None:
    """The alert reads `a`; a normal `b` is tied to it by an assumption, and a normal `c` to that."""
    text = (
        "quantity a from 0 to 10\nquantity b from 0 to 10\nquantity c from 0 to 10\n"
        "normal a from 0 to 10, source NOTE\nnormal b from 0 to 4, source NOTE\nnormal c from 0 to {}, source NOTE\n"
        "assume when a above 5 then b above 3\nassume when b above 3 then c above 6\n"
        'when a above 5 then caution "A"\n'
    )
    assert found(nuisance, text.format(6)) == []
    [one] = found(nuisance, text.format(7))
    assert one.witness is not None


def test_a_state_that_leaves_no_room_for_the_rest() -> None:
    """Above 5 of `a` no value of `b` is right, so the alert is a nuisance only up to there."""
    text = (
        "quantity a from 0 to 10, step 1\nquantity b from 0 to 10, step 1\nnormal a from 0 to 10, source NOTE\n"
        "normal b from 0 to 4, source NOTE\nwhen a above 5 limit b at least 6, source NOTE\n"
    )
    [one] = found(nuisance, text + 'when a above 3 then caution "A"\n')
    assert one.witness is not None
    fact = one.witness["a"]
    assert isinstance(fact, WitnessReading)
    assert 3 < fact.value <= 5
    assert found(nuisance, text + 'when a above 5 then caution "A"\n') == []


def test_no_state_is_normal_at_all() -> None:
    text = "quantity a from 0 to 10\nquantity b from 0 to 10\nnormal a from 0 to 10, source NOTE\n{}"
    text += 'when a above 5 then caution "A"\n'
    impossible = "normal b from 2 to 4, source NOTE\nassume b above 5\n"
    assert len(found(nuisance, text.format(""))) == 1
    assert found(nuisance, text.format(impossible)) == []


# ---- the clock, arrays, derived quantities, failures


def test_times_count_as_over() -> None:
    text = f"{ENGINE}when running normal rpm from 500 to 2500 rpm, source NOTE\n"
    findings = found(nuisance, text + 'rpm above 2000 for more than 5 min is yellow with caution "LONG"\n')
    assert ["rpm above 2000 up to 2500 rpm" in one.message for one in findings] == [True]


def test_a_limit_with_an_exception_is_broken_from_the_start() -> None:
    text = f"{ENGINE}limit rpm at most 2500 rpm except for 5 min, needs caution, source NOTE\n"
    assert found(nuisance, text + 'rpm above 2500 for more than 5 min is red with caution "LONG"\n') == []


def test_what_a_deadband_keeps_up_does_not_count() -> None:
    text = ENGINE.replace("step 10 rpm", "step 10 rpm, deadband 50 rpm")
    text += 'normal rpm at most 2500 rpm, source NOTE\nrpm above 2500 is yellow with caution "FAST"\n'
    assert found(nuisance, text) == []


def test_each_element_must_be_normal() -> None:
    text = (
        "quantity cht[3] from 0 to 500 F, step 1 F\nnormal cht from 200 to 400 F, source NOTE\n"
        "normal cht[2] from 200 to 420 F, source NOTE\n"
    )
    assert found(nuisance, text + 'when any cht above 420 then caution "CHT"\n') == []
    [one] = found(nuisance, text + 'when any cht above 400 then caution "CHT"\n')
    assert one.witness is not None
    hot = [name for name, fact in one.witness.items() if isinstance(fact, WitnessReading) and fact.value > 400]
    assert hot == ["cht[2]"]
    [one] = found(nuisance, text + 'hot: cht above 400 is yellow with caution "CHT {n}"\n')
    assert one.message.startswith('the caution "CHT {n}" is up with everything normal, with cht[2] above 400 up to 420')


def test_a_difference_counts_by_what_it_is_of() -> None:
    text = "quantity cht[2] from 0 to 500 F, step 1 F\nlet apart = spread of cht\n{}"
    text += 'when apart above 150 then caution "A"\n'
    assert found(nuisance, text.format("")) == []
    assert len(found(nuisance, text.format("normal cht from 200 to 400 F, source NOTE\n"))) == 1
    assert found(nuisance, text.format("normal cht from 200 to 340 F, source NOTE\n")) == []
    assert (
        found(
            nuisance, text.format("normal cht from 200 to 400 F, source NOTE\nlimit apart at most 150 F, source NOTE\n")
        )
        == []
    )


def test_all_that_a_difference_is_of_must_be_known() -> None:
    text = "quantity a from 0 to 100\nquantity b from 0 to 100\nlet gain = a - b\n"
    text += 'normal a at most 50, source NOTE\nwhen gain above 10 then caution "GAIN"\n'
    assert found(nuisance, text) == []
    assert len(found(nuisance, text + "normal b at most 50, source NOTE\n")) == 1


def test_a_rate_counts_by_its_own_ranges() -> None:
    text = (
        "quantity cht[2] from 0 to 500 F, step 1 F\nlet cooling = fall of cht per min, from 0 to 200 F\n"
        'normal cht from 200 to 400 F, source NOTE\n{}cooling above 60 is yellow with caution "COOLING {{n}}"\n'
    )
    assert found(nuisance, text.format("")) == []
    assert len(found(nuisance, text.format("limit cooling at most 100 F, source NOTE\n"))) == 1
    assert found(nuisance, text.format("limit cooling at most 60 F, source NOTE\n")) == []


def test_every_sensor_works() -> None:
    text = f"{ENGINE}normal rpm from 0 to 3000 rpm, source NOTE\n"
    assert (
        found(nuisance, text + 'when rpm failed then caution "RPM PROBE"\nrpm failed is yellow with caution "RPM"\n')
        == []
    )


def test_running_with_a_memory() -> None:
    """Between setting and clearing the engine may be standing still."""
    text = (
        "quantity rpm from 0 to 3000 rpm, step 10 rpm\ncondition running means rpm above 600 until rpm below 400\n"
        'when running normal rpm at least 700, source NOTE\nwhen rpm from 450 to 500 then caution "SPEED"\n'
    )
    findings = found(nuisance, text)
    assert [STILL in one.message for one in findings] == [True]
