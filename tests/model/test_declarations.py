"""One name in two files, conditions in circles and towers, and labels that nobody wrote."""

from __future__ import annotations

import time
from collections.abc import Callable

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from alertlang.model.load import Loaded
from tests.model.conftest import Load

Rules = Callable[[str], Loaded]
USE_BOTH = 'rules "t" version 1\nuse profile "a"\nuse profile "b"\n'


def _two(load: Load, first: str, second: str) -> Loaded:
    profiles = {f"{n}.profile": f'profile "{n}" version 1\n{text}\n' for n, text in (("a", first), ("b", second))}
    return load({**profiles, "t.alert": USE_BOTH})


QUANTITY = 'quantity q[2] "Title" from 0 to 100 psi, step 1 psi, accuracy 2 psi'


@pytest.mark.parametrize("other", [QUANTITY, QUANTITY.replace("Title", "Another"), QUANTITY.replace("100", "100.0")])
def test_same_quantity_in_two_profiles(load: Load, other: str) -> None:
    loaded = _two(load, QUANTITY, other)
    assert loaded.findings == ()
    assert loaded.ruleset is not None
    assert loaded.ruleset.quantities["q"].title == "Title"


@pytest.mark.parametrize(
    ("other", "said"),
    [
        (QUANTITY.replace("100", "120"), "the range runs from 0 to 100 psi there, from 0 to 120 psi here"),
        (QUANTITY.replace("from 0", "from 1"), "the range runs from 0 to 100 psi there, from 1 to 100 psi here"),
        (QUANTITY.replace("psi", "bar"), "the unit is psi there, bar here"),
        (QUANTITY.replace("[2]", "[3]"), "the number of elements is 2 there, 3 here"),
        (QUANTITY.replace("[2]", ""), "the number of elements is 2 there, none here"),
        (QUANTITY.replace("step 1", "step 2"), "the step is 1 psi there, 2 psi here"),
        (QUANTITY.replace("step 1 psi, ", ""), "the step is 1 psi there, none here"),
        (QUANTITY.replace("accuracy 2", "accuracy 3"), "the accuracy is 2 psi there, 3 psi here"),
        (QUANTITY + ", deadband 1 psi", "the deadband is none there, 1 psi here"),
    ],
)
def test_different_quantity_in_two_profiles(load: Load, other: str, said: str) -> None:
    loaded = _two(load, QUANTITY, other)
    [found] = loaded.findings
    assert (found.code.code, found.path) == ("AL106", "b.profile")
    assert f"q is declared differently in a.profile line 2: {said}" in found.message
    assert found.where is not None
    assert found.where.text == "q"


def test_switch_in_two_profiles(load: Load) -> None:
    assert _two(load, "switch s on, off", "switch s on, off").findings == ()
    # The order counts: the first position is the one at rest.
    [found] = _two(load, "switch s on, off", "switch s off, on").findings
    assert (found.code.code, found.path) == ("AL106", "b.profile")


def test_source_counts_in_its_own_file(load: Load) -> None:
    text = "quantity q{0} from 0 to 1\nsource S {1}\nlimit q{0} at most 1, source S"
    loaded = _two(load, text.format(1, "common practice"), text.format(2, "from memory"))
    assert loaded.ruleset is not None
    assert [r.sources[0].status for r in loaded.ruleset.ranges] == ["common practice", "from memory"]


# ---- conditions


def _circles(loaded: Loaded) -> list[str]:
    assert loaded.ruleset is None
    assert {f.code.code for f in loaded.findings} == {"AL112"}
    return [f.message for f in loaded.findings]


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("condition c means c", ["c is defined by itself"]),
        ("condition c means not c or running", ["c is defined by itself"]),
        ("condition a means b\ncondition b means a", ["circle: a -> b -> a"]),
        # The circle is not entered at the condition that comes first in it.
        ("condition a means c\ncondition b means c\ncondition c means b", ["circle: b -> c -> b"]),
        ("condition z means y\ncondition y means z\ncondition a means z", ["circle: z -> y -> z"]),
        # Circles that hang together are one mistake, others are two.
        ("condition b means c\ncondition c means d\ncondition d means c or b", ["circle"]),
        ("condition a means a\ncondition b means b", ["a is defined by itself", "b is defined by itself"]),
        ("condition a means a\ncondition b means c or a\ncondition c means b", ["a is defined", "circle: b -> c -> b"]),
    ],
)
def test_conditions_in_a_circle(rules: Rules, text: str, said: list[str]) -> None:
    found = _circles(rules(text + '\nwhen a then warning "A"' if "condition a" in text else text))
    assert len(found) == len(said)
    assert all(part in message for part, message in zip(said, found, strict=True))


def test_place_of_a_circle(rules: Rules) -> None:
    [found] = rules("condition  c  means c").findings
    assert found.where is not None
    assert found.where.text == "condition  c"


def test_conditions_on_conditions_are_no_circle(rules: Rules) -> None:
    text = "condition d means b and c\ncondition b means a\ncondition c means a or b\ncondition a means running"
    loaded = rules(text)
    assert loaded.findings == ()
    assert loaded.ruleset is not None
    assert set(loaded.ruleset.conditions) == {"running", "a", "b", "c", "d"}


@given(st.lists(st.sets(st.integers(0, 5), min_size=1, max_size=3), min_size=6, max_size=6))
@settings(suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow])
def test_circles_are_found_exactly_where_there_are_some(rules: Rules, reads: list[set[int]]) -> None:
    text = "\n".join(f"condition c{i} means {' or '.join(f'c{j}' for j in sorted(js))}" for i, js in enumerate(reads))
    loaded = rules(f"condition c5x means running\n{text}\ncondition c6 means running")
    reached = [set(js) for js in reads]
    for _ in reads:
        reached = [js | {k for j in js for k in reached[j]} for js in reached]
    circular = [i for i in range(6) if i in reached[i]]
    # Every one of them reads another and there are only six, so some are always in a circle.
    groups = {frozenset(j for j in circular if j in reached[i] and i in reached[j]) for i in circular}
    assert groups
    assert len(_circles(loaded)) == len(groups)


def test_tower_of_conditions(rules: Rules) -> None:
    tower = "condition c0 means running\n" + "".join(f"condition c{i} means not c{i - 1}\n" for i in range(1, 2_000))
    start = time.process_time()
    [found] = rules(tower).findings
    assert time.process_time() - start < 5
    assert "more than 100 levels deep" in found.message
    low = "condition c0 means running\n" + "".join(f"condition c{i} means not c{i - 1}\n" for i in range(1, 45))
    assert rules(low).findings == ()


def test_circle_of_two_thousand(rules: Rules) -> None:
    ring = "".join(f"condition c{i} means c{(i + 1) % 2_000}\n" for i in range(2_000))
    [message] = _circles(rules(ring))
    assert message.startswith("conditions define each other in a circle: c0 -> c1 -> ")
    assert len(message) < 300


# ---- labels


def test_labels_are_derived_from_quantity_and_kind(rules: Rules) -> None:
    loaded = rules(
        "source S common practice\nrpm above 5 is red\nrpm above 6 is red\ncht above 5 is red\n"
        'when running then warning "A"\nlimit rpm at most 5 rpm, source S\nprove quiet\nassume rpm below 3000\n'
    )
    ruleset = loaded.ruleset
    assert ruleset is not None
    assert [(band.label, band.labelled) for band in ruleset.bands] == [
        ("rpm_1", False),
        ("rpm_2", False),
        ("cht_1", False),
    ]
    assert [one.label for one in ruleset.alerts] == ["alert_1"]
    assert [one.label for one in ruleset.ranges] == ["redline", "rpm_limit_1"]
    assert [one.label for one in ruleset.claims] == ["prove_1"]
    assert [one.label for one in ruleset.assumptions] == ["assume_1"]


def test_derived_label_is_never_one_that_is_written_or_declared(rules: Rules) -> None:
    loaded = rules("quantity rpm_2 from 0 to 1\nrpm above 5 is red\nrpm above 6 is red\nrpm_1: rpm above 7 is red")
    assert loaded.ruleset is not None
    assert [band.label for band in loaded.ruleset.bands] == ["rpm_3", "rpm_4", "rpm_1"]


def test_derived_label_can_be_named(rules: Rules) -> None:
    loaded = rules('rpm above 5 is red\naccept gap on rpm_1 because "x"')
    assert loaded.ruleset is not None
    assert [a.target for a in loaded.ruleset.acceptances] == ["rpm_1"]
