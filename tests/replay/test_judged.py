"""Which alerts and limits a log could have tested: by hand, and held against the stepper row by row."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from alertlang import api
from alertlang.meaning.look import RunLook
from alertlang.meaning.readings import Sample
from alertlang.meaning.stepper import Stepper
from alertlang.model import ruleset as m
from alertlang.output.replay import replay_lines
from alertlang.replay.run import replay
from alertlang.results.replay import Judged
from tests.helpers.timed import load, timed_rulesets, traces
from tests.replay.test_replay_results import mapped, written

RULES = """rules "r" version 1
source NOTE common practice "made up"
quantity x from 0 to 9
quantity y from 0 to 9
quantity cht[2] from 0 to 9
switch flaps up, down
fast: when flaps is down then x above 5 is red with warning "FAST"
hot: cht above 5 is red with warning "HOT {n}"
dead: when x failed then warning "X DEAD"
odd: when y above 5 then caution "ODD" unless flaps is up
any_hot: when flaps is up and any cht above 6 then caution "ANY"
top: when flaps is down limit x at most 5, source NOTE
"""


def judged(folder: Path, log: str) -> dict[str, Judged]:
    path = folder / "log.csv"
    path.write_text(log, encoding="utf-8")
    found = api.replay_log(api.loads(RULES), path)
    return {m.variable(judged.statement, judged.element): judged for judged in found.judged}


def test_what_no_column_feeds_is_told(tmp_path: Path) -> None:
    found = judged(tmp_path, "time,x,flaps,cht[1]\n0,1,up,2\n1,1,up,2\n")
    assert {name: judged.why for name, judged in found.items() if not judged.judged} == {
        "fast": "its case never arose: flaps is down",
        "hot[2]": "no column feeds cht[2]",
        "odd": "no column feeds y",
        "any_hot": "no column feeds cht[2]",
        "top": "its case never arose: flaps is down",
    }
    assert found["dead"].inputs == ()
    assert found["odd"].missing == ("y",)
    assert (found["hot[1]"].share, found["hot[1]"].context) == (Fraction(1), None)
    assert (found["fast"].context, found["any_hot"].context) == (Fraction(0), Fraction(1))


def test_what_was_never_read_and_what_never_met(tmp_path: Path) -> None:
    log = "time,x,y,flaps,cht[1],cht[2]\n0,,9,up,1,\n1,1,,down,7,\n2,1,,down,1,\n3,1,9,up,1,\n4,1,1,?,1,\n"
    found = judged(tmp_path, log)
    assert found["hot[2]"].why == "nothing was read of cht[2]"
    assert found["odd"].why == "what it reads was never all known while its case was there"
    # From 1 s to 3 s the flaps are down, of 4 s.
    assert (found["fast"].judged, found["fast"].share, found["fast"].context) == (True, Fraction(1, 2), Fraction(1, 2))
    assert (found["odd"].context, found["odd"].share) == (Fraction(1, 2), Fraction(0))


def test_one_dead_probe_does_not_hide_that_the_others_called(tmp_path: Path) -> None:
    log = "time,x,y,flaps,cht[1],cht[2]\n0,1,1,up,1,\n1,1,1,up,8,\n2,1,1,up,8,\n"
    assert judged(tmp_path, log)["any_hot"].judged


def test_it_is_told_before_none_came_up(tmp_path: Path) -> None:
    path = tmp_path / "log.csv"
    path.write_text("time,x,flaps\n0,1,up\n1,1,up\n", encoding="utf-8")
    found = api.replay_log(api.loads(RULES), path)
    said = "\n".join("".join(text for _, text in line) for line in replay_lines(found, 80))
    assert said.index("Could not be judged") < said.index("none came up of the 1 of 6 that could be judged")
    assert '  no column feeds cht[1]: warning "HOT 1"' in said
    assert "Limits broken\n  none could be judged" in said
    assert found.to_dict()["judged"][0]["statement"] == "fast"


@settings(
    max_examples=40,
    phases=[Phase.explicit, Phase.generate],
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)
@given(st.data())
def test_any_rules_any_log(tmp_path: Path, data: st.DataObject) -> None:
    ruleset = load(data.draw(timed_rulesets()))
    path, exact = written(tmp_path, ruleset, [data.draw(traces(ruleset, longest=10))])
    found = replay(path, ruleset, mapped(ruleset))
    up = {(alert.statement, alert.element) for alert in found.alerts}
    broken = {(violation.limit, violation.element) for violation in found.violations}
    for judged in found.judged:
        place = (judged.statement, judged.element)
        assert judged.judged or place not in up | broken
        assert bool(judged.why) is not judged.judged
        assert 0 <= judged.share <= 1
        assert judged.missing == ()
        statement = next(s for s in (*ruleset.rules, *ruleset.ranges) if s.label == judged.statement)
        if isinstance(statement, m.Alert):
            continue
        wanted = by_rows(ruleset, exact[0], statement, judged)
        if wanted is not None:
            assert judged.judged is any(wanted)


def by_rows(
    ruleset: m.RuleSet, samples: Sequence[Sample], statement: m.Band | m.Range, judged: Judged
) -> list[bool] | None:
    """At which samples it could be judged; none where what is worked out makes it more than a matter of sensors."""
    reads = (statement.when,) if isinstance(statement, m.Range) else (statement.when, statement.unless)
    names = {*ruleset.quantities_read(*reads), statement.quantity, *(e.quantity for e in statement.region.moving)}
    if any(ruleset.quantities[name].derived is not None for name in names) or ruleset.failures_read(*reads):
        return None
    stepper = Stepper(ruleset)
    found = []
    for sample in samples:
        look = RunLook(stepper, stepper.step(sample))
        context = look.holds(statement.when)
        if not isinstance(statement, m.Range) and statement.unless is not None:
            context = context and not look.holds(statement.unless)
        facts = {**look.readings.values, **look.readings.positions}
        known = all(facts.get(name) is not None for name in judged.inputs)
        place = (judged.statement, judged.element)
        shows = look.shown.violated[place] if isinstance(statement, m.Range) else look.shown.applies[place]
        found.append((context and known) or shows)
    return found


def test_everything_of_the_example_that_had_its_case_is_judged() -> None:
    folder = Path(__file__).parents[2] / "examples" / "02-bramble"
    rules = api.load(folder / "bramble.alert")
    found = api.replay_log(rules, folder / "logs/first-flight.csv", column_map=folder / "logs/recorder.toml")
    assert [judged.statement for judged in found.not_judged] == []
    assert next(judged for judged in found.judged if judged.statement == "fuel_low").context == pytest.approx(
        0.97, abs=0.02
    )
