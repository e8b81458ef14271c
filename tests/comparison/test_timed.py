"""Over time: what is said to be the same shows the same on every recording."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from hypothesis import HealthCheck, Phase, assume, given, settings
from hypothesis import strategies as st

from alertlang.comparison import compare
from alertlang.meaning.readings import Sample
from alertlang.model import ruleset as m
from alertlang.model.load import parse_ruleset
from tests.helpers.timed import load, stepped, timed_rulesets, traces
from tests.helpers.told import check_histories, differences, is_told

SETTINGS = settings(
    deadline=None,
    max_examples=40,
    phases=[Phase.explicit, Phase.generate],
    suppress_health_check=list(HealthCheck),
)
# Each way to write the same or nearly the same.
CHANGES = (
    ("at most", "below"),
    ("at least", "above"),
    ("1 s", "1.5 s"),
    ("1.5 s", "1 s"),
    ("2 s", "3 s"),
    ("3 s", "1 s"),
    (" latched", ""),
    ("deadband 2", "deadband 1"),
    ("otherwise 4", "otherwise 8"),
    ("cyl[1]", "cyl[2]"),
    (" and ", " or "),
    ("until", "and not"),
    ("at least", "less than"),
    ("failed", "above 2"),
    ("4 rpm", "6 rpm"),
    ("33.8 F", "1 C"),
    (" is red", " is yellow"),
    (" until ", " or "),
    ("pump is low", "not (pump is not low)"),
    (" in total", ""),
)


def seen(rules: m.RuleSet, samples: Sequence[Sample]) -> list[object]:
    found: list[object] = []
    for one in stepped(rules, samples):
        up = sorted({(a.level, a.text) for a in one.alerts.values()})
        found.append(({k: v for k, v in one.colours.items() if v is not None}, up))
    return found


def _loaded(text: str) -> m.RuleSet | None:
    return parse_ruleset(text.encode(), shown="timed.alert", folder=Path(".")).ruleset


@st.composite
def changed(draw: st.DrawFn) -> tuple[str, str]:
    # A recording keeps no assumption, and only a rule set without one is the same on all of them.
    text = draw(timed_rulesets(assumptions=(0, 0)))
    there = [(old, new) for old, new in CHANGES if old in text]
    if not there:
        return text, text
    old, new = draw(st.sampled_from(there))
    parts = text.split(old)
    place = draw(st.integers(1, len(parts) - 1))
    return text, old.join(parts[:place]) + new + old.join(parts[place:])


@SETTINGS
@given(st.data())
def test_the_same_is_the_same_on_every_recording(data: st.DataObject) -> None:
    text, other = data.draw(changed())
    first, second = load(text), _loaded(other)
    assume(second is not None)
    assert second is not None
    found = compare(first, second)
    if not found.same:
        return
    for _ in range(3):
        samples = [
            type(s)(s.time, s.readings, {n: s.positions.get(n, "off") for n in first.switches}, s.acknowledge)
            for s in data.draw(traces(first))
        ]
        assert seen(first, samples) == seen(second, samples), other


@SETTINGS
@given(st.data())
def test_what_is_told_is_shown_and_what_is_shown_is_told(data: st.DataObject) -> None:
    text, other = data.draw(changed())
    first, second = load(text), _loaded(other)
    assume(second is not None)
    assert second is not None
    found = compare(first, second)
    check_histories(found, first, second)
    assert (load(text).origin.text == other) is found.same
    for _ in range(4):
        samples = data.draw(traces(first))
        # A rise or fall has failed at the first sample, and is asked about from the second one on.
        for subject, way in differences(first, second, samples):
            trends = any(q.is_trend for q in first.quantities.values())
            assert trends or is_told(found, subject, way), (subject, way, [c.message for c in found.changes], other)


@SETTINGS
@given(timed_rulesets())
def test_a_rule_set_is_the_same_as_itself(text: str) -> None:
    assert compare(load(text), load(text)).same
