"""The places that a rule set needs in a box are the fewest there can be: held against brute force over all states."""

from __future__ import annotations

from itertools import combinations

from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from alertlang.api import loads
from alertlang.fit.need import Need
from alertlang.model import ruleset as m
from alertlang.model.display import Display
from tests.helpers.cells import Grid
from tests.helpers.displays import parse_display

HEAD = """\
rules "slots" version 1
quantity rpm "Engine speed" from 0 to 40 rpm, step 10 rpm
quantity temp "Temperature" from 0 to 30 C, step 10 C
switch flaps up, half, down
"""
ATOMS = ("rpm above 10", "rpm at most 10", "temp below 20", "flaps is up", "flaps is not up", "flaps is down")


def display(text: str) -> Display:
    loaded = parse_display(f'display "box" version 1\n{text}'.encode(), shown="box.display")
    assert loaded.display is not None, [one.message for one in loaded.findings]
    return loaded.display


FORMULAS = st.recursive(
    st.sampled_from(ATOMS),
    lambda inner: st.one_of(
        st.tuples(inner, st.sampled_from(("and", "or")), inner).map(lambda t: f"({t[0]} {t[1]} {t[2]})"),
        inner.map(lambda text: f"not ({text})"),
    ),
    max_leaves=3,
)


def healthy_classes(grid: Grid, rules: m.RuleSet) -> set[int]:
    """The sets of states in which the contexts hold, those that hold always left out."""
    found = {
        grid.true(alert.when) & ~grid.true(alert.unless) if alert.unless else grid.true(alert.when)
        for alert in rules.alerts
    }
    return found - {grid.all}


def failed_classes(rules: m.RuleSet, grid: Grid) -> set[tuple[int, int, int, int]]:
    """The same, told apart by any choice of failed sensors too: a comparison with one of them is false."""

    def told(formula: m.Formula | None, gone: frozenset[str]) -> int:
        if formula is None:
            return 0
        if isinstance(formula, m.Compare):
            return 0 if formula.quantity in gone else grid.true(formula)
        if isinstance(formula, m.Not):
            return grid.all & ~told(formula.part, gone)
        if isinstance(formula, m.And | m.Or):
            parts = [told(part, gone) for part in formula.parts]
            return grid.all_of(parts) if isinstance(formula, m.And) else grid.any_of(parts)
        return grid.true(formula)

    sets = [frozenset(some) for n in range(3) for some in combinations(("rpm", "temp"), n)]
    found = {tuple(told(a.when, gone) & ~told(a.unless, gone) for gone in sets) for a in rules.alerts}
    return {one for one in found if one != (grid.all,) * 4}  # type: ignore[misc]


@settings(max_examples=60, deadline=None, phases=[Phase.explicit, Phase.generate])
@given(st.lists(st.tuples(FORMULAS, st.none() | FORMULAS), min_size=1, max_size=6))
def test_as_many_slots_as_there_are_classes_of_equal_contexts(drawn: list[tuple[str, str | None]]) -> None:
    lines = [
        f'when {when} then caution "A{i}"' + (f" unless {unless}" if unless else "")
        for i, (when, unless) in enumerate(drawn)
    ]
    rules = loads(HEAD + "\n".join(lines) + "\n").model
    contexts = Need(rules, display("allows 4 contexts")).contexts
    grid = Grid(rules)
    assert contexts.proved
    assert contexts.needed == len(failed_classes(rules, grid))
    assert contexts.needed >= len(healthy_classes(grid, rules))


def need(text: str) -> Need:
    return Need(loads(HEAD + text).model, display("allows 4 contexts"))


def test_equal_contexts_share_a_slot_however_they_are_written() -> None:
    text = 'when flaps is not up then caution "A"\nwhen flaps is half or flaps is down then caution "B"\n'
    assert need(text).contexts.needed == 1
    # While the sensor has failed, these two differ.
    text = 'when rpm above 10 then caution "A"\nwhen not rpm at most 10 then caution "B"\n'
    assert need(text).contexts.needed == 2


def test_conditions_with_a_memory_share_a_slot_if_set_and_cleared_alike() -> None:
    one = "condition a means rpm above 20 until rpm below 10\n"
    two = "condition b means rpm above 20 until rpm {}\n"
    rules = 'when a then caution "A"\nwhen b then caution "B"\n'
    assert need(one + two.format("below 10") + rules).contexts.needed == 1
    # A condition and a context that is the condition are one; another memory is another one.
    assert need(one + two.format("at most 10") + rules).contexts.needed == 2


def test_a_condition_inside_a_context_takes_a_slot_of_its_own_if_it_remembers() -> None:
    plain = 'condition a means rpm above 20\nwhen a and flaps is up then caution "A"\n'
    kept = 'condition a means rpm above 20 until rpm below 10\nwhen a and flaps is up then caution "A"\n'
    late = 'condition a means rpm above 20, set after 1 s\nwhen a and flaps is up then caution "A"\n'
    assert [need(text).contexts.needed for text in (plain, kept, late)] == [1, 2, 2]


def test_timers_are_shared_only_by_the_same_start_and_the_same_time() -> None:
    def timers(*statements: str) -> int:
        return need("".join(f"{one}\n" for one in statements)).timers.needed

    a = 'when flaps is not up then caution "A" after 2 s'
    assert timers(a, 'when flaps is half or flaps is down then caution "B" after 2 s') == 1
    assert timers(a, 'when flaps is half or flaps is down then caution "B" after 3 s') == 2
    assert timers(a, 'when flaps is half then caution "B" after 2 s') == 2
    assert timers(a, 'when flaps is not up for more than 2 s then caution "B"') == 2
    assert timers('when flaps is not up then caution "A" latched') == 0
    assert timers("condition c means rpm above 20, set after 1 s, cleared after 1 s", 'when c then caution "A"') == 2
    array = "quantity cht[4] from 0 to 500 F"
    assert timers(array, 'cht above 460 is red with warning "CHT {n}" after 2 s') == 4
    assert timers(array, 'cht[2] above 460 is red with warning "CHT {n}" after 2 s') == 1


def test_a_deadband_keeps_by_the_region_so_that_the_same_rest_is_not_enough() -> None:
    statements = (
        "when p above 10 then p above 5 for more than 3 s is yellow\n"
        'p above 10 for more than 3 s is red with caution "P"\n'
    )
    plain, kept = "quantity p from 0 to 20 psi\n", "quantity p from 0 to 20 psi, deadband 1 psi\n"
    assert need(plain + statements).timers.needed == 1
    assert need(kept + statements).timers.needed == 2
