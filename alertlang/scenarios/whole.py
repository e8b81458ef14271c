"""What no single statement of a scenario can tell: that something happens, can fail, ends, and has all it needs."""

from __future__ import annotations

from fractions import Fraction

from alertlang.model import ruleset as m
from alertlang.model.scope import Scope
from alertlang.scenarios import scenario as s
from alertlang.scenarios.names import example_value
from alertlang.syntax import scenario_tree as st
from alertlang.syntax import tree as t
from alertlang.text.lists import listed


def check_whole(
    scope: Scope,
    rules: m.RuleSet,
    header: t.Header,
    written: list[st.AtStatement],
    wanted: tuple[s.What, ...],
    given: frozenset[str],
    times: tuple[Fraction, ...],
    spacing: Fraction,
) -> None:
    """Reports the first thing that is wrong with the lines that are `written`; `given` is what the first one gives."""
    if not written:
        scope.report(
            "bad-value", "the scenario has no line, so nothing happens in it", header.span, "write: at 0 s: ..."
        )
    elif not wanted:
        scope.report(
            "bad-value",
            "the scenario expects nothing, so nothing could ever be wrong with it",
            header.span,
            "say what must be shown, for example: at 10 s -> quiet",
        )
    elif s.samples_in(times, spacing) > s.MOST_SAMPLES:
        scope.report(
            "bad-value",
            f"these are more than {s.MOST_SAMPLES} samples",
            written[-1].time.span,
            "write a longer time after `sample every`, or check the times",
        )
    else:
        _missing(scope, rules, written[0], wanted, given)


def _missing(
    scope: Scope, rules: m.RuleSet, line: st.AtStatement, wanted: tuple[s.What, ...], given: frozenset[str]
) -> None:
    """The first line gives everything on which something that is expected can depend."""
    sensors, switches = s.needs(rules, wanted)
    said: list[str] = []
    for quantity in rules.quantities.values():
        readings = [m.variable(quantity.name, index) for index in quantity.indexes]
        if quantity.name not in sensors or given.issuperset(readings):
            continue
        value = example_value(quantity)
        if quantity.size is None or given.isdisjoint(readings):
            said.append(f"{'' if quantity.size is None else 'every '}{quantity.name} {value}")
        else:
            said += [f"{reading} {value}" for reading in readings if reading not in given]
    for switch in rules.switches.values():
        if switch.name in switches and switch.name not in given:
            said.append(f"{switch.name} {switch.positions[0]}")
    if said:
        names = [text.removeprefix("every ").split()[0] for text in said]
        scope.report(
            "bad-value",
            f"the first line does not say what {listed(names)} {'is' if len(names) == 1 else 'are'}, and what is "
            "expected depends on it",
            line.span,
            f"add to it what fits, for example: {', '.join(said)}",
            "a sensor that does not work is given too: NAME failed",
        )
