"""stuck-condition: every pair of regions, and every place in which something is timed."""

from __future__ import annotations

from fractions import Fraction
from itertools import product

import pytest
from hypothesis import HealthCheck, Phase, event, given, settings
from hypothesis import strategies as st

import alertlang.api as api
from alertlang.checks import stuck_condition
from tests.checks.test_set_clear_overlap import REGIONS, VALUES, condition_of
from tests.helpers.cells import inside
from tests.helpers.every_history import every_moment
from tests.helpers.one_check import HEAD, by_itself, found

INPUTS = [({"a": Fraction(a)}, {"s": s}) for a, s in product((3, 6, 8), ("y", "z"))]
X = "quantity x from 0 to 4\nquantity y from 0 to 4\n"


@pytest.mark.alike
@pytest.mark.parametrize("sets", REGIONS)
def test_every_pair_of_regions(sets: str) -> None:
    for clear in REGIONS:
        text = f"quantity x from 0 to 4\ncondition c means x {sets} until x {clear}\n"
        ruleset, setting, clearing = condition_of(text)
        sets_at = [v for v in VALUES if inside(setting, v)]
        clears_at = [v for v in VALUES if inside(clearing, v) and not inside(setting, v)]
        messages = [one.message for one in by_itself(stuck_condition, ruleset)]
        never = not sets_at and len(clears_at) == len(VALUES)
        always = len(sets_at) == len(VALUES)
        if never or always:
            # constant-condition says it.
            assert messages == []
        elif not sets_at:
            assert ["never become true" in message for message in messages] == [True]
        elif not clears_at:
            assert ["stays true for ever" in message for message in messages] == [True]
        else:
            assert messages == []


def test_what_constant_condition_says_is_not_said_twice() -> None:
    for text in ("x above 4 until x at least 0", "x at least 0 until x below 2"):
        report = api.loads(f'{HEAD}{X}condition c means {text}\nwhen c then advisory "C"\n').check()
        names = {one.code.name for one in report.findings}
        assert "constant-condition" in names
        assert "stuck-condition" not in names


def test_the_assumption_that_rules_it_out_is_named() -> None:
    text = X + "condition c means x below 1 until x above 3\nlow: assume x below 2\nother: assume y below 2\n"
    [one] = found(stuck_condition, text)
    assert one.message == "once c is true it stays true for ever: no state clears it with low"
    assert one.statements == ("c", "low")


def test_cleared_only_where_it_is_set() -> None:
    [one] = found(stuck_condition, X + "condition c means x below 3 until x below 1\n")
    assert one.message.endswith("what clears it holds only where it is set as well")


def test_another_reading_may_clear_it() -> None:
    assert found(stuck_condition, X + "condition c means x below 3 until x below 1 and y above 1\n") != []
    assert found(stuck_condition, X + "condition c means x below 3 until x above 1 and y above 1\n") == []


# ---- what is timed


@pytest.mark.parametrize(
    ("statement", "count"),
    [
        pytest.param("condition c means y above 1 or x above 4 for at least 3 s\n", 1, id="condition"),
        pytest.param("condition c means y above 1 or x above 4 for less than 3 s\n", 1, id="less-than"),
        pytest.param("condition c means y above 1 or x above 3 for at least 3 s\n", 0, id="it-can-hold"),
        pytest.param("condition c means x above 4 for at least 3 s\n", 0, id="a-whole-condition-that-is-never-true"),
        pytest.param("condition c means y above 1 until (x above 4 for at least 3 s) or y below 1\n", 1, id="until"),
        pytest.param('when y above 1 or x above 4 for at least 3 s then advisory "A"\n', 1, id="when"),
        pytest.param(
            'when y above 1 then advisory "A" unless y above 3 or x above 4 for at least 3 s\n', 1, id="unless"
        ),
        pytest.param("when y above 1 or x above 4 for at least 3 s limit x at most 3, source NOTE\n", 1, id="limit"),
        pytest.param("when y above 1 or x above 4 for at least 3 s then x below 3 is green\n", 1, id="band"),
        pytest.param("prove when y above 1 or x above 4 for at least 3 s then quiet\n", 1, id="claim"),
        pytest.param("assume when y above 1 or x above 4 for at least 3 s then y below 4\n", 1, id="assumption"),
        pytest.param(
            "assume y at least 0 and (y above 0 or y below 1 or x above 4 for at least 3 s)\n", 0, id="always"
        ),
        pytest.param('when x above 4 for at least 3 s then advisory "A"\n', 0, id="dead-alert-says-it"),
        pytest.param(
            "condition c means y above 1 or (y above 2 or (x above 4 for at least 3 s)) for at least 5 s\n",
            1,
            id="the-innermost",
        ),
        pytest.param(
            "condition c means y above 1 or (x above 4 for at least 3 s and y above 2) for at least 5 s\n",
            1,
            id="the-innermost-of-two",
        ),
        pytest.param(
            "condition d means x above 4\ncondition c means y above 1 or d for at least 3 s\n",
            0,
            id="a-name-is-judged-once",
        ),
        pytest.param(
            "condition c means y above 1 or (x below 2 and x above 3) for at least 3 s\n", 1, id="no-state-for-an-and"
        ),
    ],
)
def test_where_something_is_timed(statement: str, count: int) -> None:
    assert len(found(stuck_condition, X + statement)) == count


def test_what_is_said_of_it() -> None:
    [one] = found(stuck_condition, X + "condition c means y above 1 or x above 4 for at least 90 s\n")
    assert one.message == (
        "in the condition c, `x above 4` for at least 90 s never holds: no state makes it true even for an instant"
    )


def test_arrays_derived_quantities_and_failures() -> None:
    text = "quantity cht[2] from 0 to 500 F\nlet apart = spread of cht\n"
    assert len(found(stuck_condition, text + "condition c means apart below 50 until apart above 500\n")) == 1
    assert found(stuck_condition, text + "condition c means apart below 50 until apart at least 500\n") == []
    apart = "condition c means any cht above 300 until every cht above 400 and any cht below 300\n"
    assert len(found(stuck_condition, text + apart)) == 1
    assert found(stuck_condition, text + "condition c means any cht above 300 until every cht below 200\n") == []
    blind = "condition c means cht[1] above 300 until {}\n"
    assert found(stuck_condition, text + blind.format("any cht failed")) == []
    assert found(stuck_condition, text + blind.format("cht[1] failed and cht[1] above 300")) != []


# ---- against every history


SCENARIO = """\
switch starter off, on
condition used means starter is on until starter is off for at least 60 s
condition pause means used and starter is off{}
condition soon means starter is on and pause until starter is off
when soon then caution "REST FIRST"
"""


def test_what_holds_only_until_conditions_settle_sets() -> None:
    assert found(stuck_condition, SCENARIO.format(", cleared after 2 s")) == []
    for delay in ("", ", set after 2 s"):
        [one] = found(stuck_condition, SCENARIO.format(delay))
        assert one.message == "soon can never become true: no state sets it"


def test_what_never_comes_about_is_not_still_true() -> None:
    text = X + (
        "condition far means x above 4, cleared after 2 s\ncondition c means far and y below 1 until y above 3\n"
        "condition further means far, cleared after 2 s\ncondition d means further and y below 1 until y above 3\n"
    )
    assert {one.statements[0] for one in found(stuck_condition, text)} == {"c", "d"}


@st.composite
def remembering(draw: st.DrawFn) -> str:
    """A delayed condition, and one with a memory that reads it."""

    def one_of(*some: str) -> str:
        return draw(st.sampled_from(some))

    atoms = ("s is y", "s is z", "a below 6 rpm", "a at least 6 rpm", "a above 10 rpm")
    atom = st.sampled_from(atoms)
    slow = one_of("{}", "{} and {}", "{} or {}").format(draw(atom), draw(atom))
    delays = one_of(", set after 3 s", ", cleared after 3 s", ", set after 5 s, cleared after 3 s", "")
    parts = [
        one_of("{}", "k", "not k", "{} and k", "{} and not k", "{} or k").replace("{}", draw(atom)) for _ in range(2)
    ]
    return (
        f"quantity a from 0 to 10 rpm\nswitch s y, z\ncondition k means {slow}{delays}\n"
        f'condition q means {parts[0]} until {parts[1]}\nwhen q then advisory "Q"\n'
    )


@settings(
    max_examples=80, deadline=None, phases=[Phase.explicit, Phase.generate], suppress_health_check=list(HealthCheck)
)
@given(remembering())
def test_stuck_is_what_no_history_sets_or_clears(text: str) -> None:
    rules = api.loads(HEAD + text)
    findings = [one for one in rules.check().findings if one.code.name in {"stuck-condition", "constant-condition"}]
    of_q = [one for one in findings if one.statements[0] == "q"]
    moments = list(every_moment(rules.model, INPUTS))
    is_set = any(moment.shown.conditions["q"] for moment in moments)
    is_cleared = any(moment.before.get("q") and not moment.shown.conditions["q"] for moment in moments)
    event(f"set {is_set} cleared {is_cleared}")
    # What follows from k being never so, or always, may be said of k alone.
    if of_q or not any(one.statements[0] == "k" for one in findings):
        assert bool(of_q) is not (is_set and is_cleared), [one.message for one in of_q]
    for one in of_q:
        if one.code.name == "stuck-condition":
            assert ("can never become true" in one.message) is not is_set
