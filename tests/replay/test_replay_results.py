"""What replaying says of a log, against the stepper row by row and plain lists."""

from __future__ import annotations

import csv
import re
from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, Phase, assume, given, settings
from hypothesis import strategies as st

from alertlang import api
from alertlang.logs.column_map import ColumnMap, load_column_map, parse_column_map
from alertlang.meaning.readings import Sample
from alertlang.model import ruleset as m
from alertlang.replay.against import replay_against
from alertlang.replay.run import replay as replay_log
from alertlang.results.replay import ReplayComparison, ReplayResult, Worst
from alertlang.units.number import show_number
from tests.helpers import plain_replay as plain
from tests.helpers.plain_replay import PlainSegment
from tests.helpers.timed import load, timed_rulesets, traces
from tests.replay.test_engine import in_columns, in_samples

EXAMPLE = Path(__file__).parents[2] / "examples" / "02-bramble"
LOG = EXAMPLE / "logs" / "first-flight.csv"
MAP = EXAMPLE / "logs" / "recorder.toml"


def told_worst(worst: Worst | None) -> tuple[Fraction, Fraction, Fraction] | None:
    return None if worst is None else (worst.value, worst.time, worst.past)


def agree(ruleset: m.RuleSet, found: ReplayResult, segments: Sequence[PlainSegment]) -> None:
    assert [(one.samples, one.first, one.last) for one in found.segments] == [
        (len(one.times), one.times[0], one.times[-1]) for one in segments
    ]
    bands = {band.label for band in ruleset.bands}
    assert [
        (
            *(one.statement, one.element, one.text, one.level, one.segment, one.start, one.end, one.seconds),
            one.acknowledged,
            told_worst(one.worst) if one.statement in bands else None,
        )
        for one in found.alerts
    ] == plain.alerts(ruleset, segments)
    colours = plain.colours(ruleset, segments)
    assert [
        (one.quantity, one.element, one.colour, one.segment, one.start, one.end, one.seconds) for one in found.colours
    ] == colours
    in_all: dict[object, list[Fraction]] = {}
    for quantity, element, colour, _, _, _, seconds in colours:
        in_all.setdefault((quantity, element, colour), []).append(seconds)
    assert {(one.quantity, one.element, one.colour): (one.seconds, one.times) for one in found.colour_times} == {
        key: (sum(times), len(times)) for key, times in in_all.items()
    }
    assert [(one.statement, one.element, one.seconds, one.times) for one in found.band_times] == plain.bands(
        ruleset, segments
    )
    assert [
        (one.limit, one.element, one.segment, one.start, one.end, one.seconds, told_worst(one.worst))
        for one in found.violations
    ] == plain.violations(ruleset, segments)
    never = {
        (f"condition {one.why}" if one.kind == "condition" else one.why.split(":")[0], one.name)
        for one in found.unexercised
        if one.kind in {"condition", "band", "alert"}
    }
    assert never == plain.unexercised(ruleset, segments)


# ---- the example


def example_samples() -> list[Sample]:
    """The log read with the csv module; units by hand."""
    names = {"Engine speed": "rpm", "Oil press": "oil_pressure", "Bus": "volts", "Alt load": "alternator_amps"}
    names |= {"Battery": "battery_amps", "IAS": "airspeed", "Fuel": "fuel_quantity"}
    warm = {"Oil temp": "oil_temp", **{f"CHT {n}": f"cht[{n}]" for n in (1, 2, 3, 4)}}
    found = []
    with LOG.open(newline="", encoding="utf-8") as file:
        for row in csv.DictReader(file):
            values = {name: Fraction(row[column]) for column, name in names.items()}
            values |= {name: Fraction(row[column]) * 9 / 5 + 32 for column, name in warm.items()}
            positions = {"flaps": row["Flaps"], "door": row["Door"]}
            positions["alternator"] = {"off": "offline", "on": "online"}[row["Alt switch"]]
            found.append(Sample(Fraction(row["Time"]), values, positions, row["Ack"] == "1"))
    return found


@pytest.fixture(scope="module")
def bramble() -> api.Rules:
    return api.load(EXAMPLE / "bramble.alert")


@pytest.fixture(scope="module")
def in_rows(bramble: api.Rules) -> PlainSegment:
    return PlainSegment(bramble.model, example_samples())


@pytest.mark.parametrize(("block", "rows"), [(1 << 20, 32768), (5000, 32768), (1 << 20, 700)])
def test_the_example_is_what_a_row_by_row_computation_says(
    bramble: api.Rules, in_rows: PlainSegment, block: int, rows: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """However many bytes are read and however many rows are looked at at a time."""
    monkeypatch.setattr("alertlang.replay.run.ROWS", rows)
    found = replay_log(LOG, bramble.model, load_column_map(MAP), block=block)
    agree(bramble.model, found, [in_rows])


def test_the_story_of_the_example(bramble: api.Rules) -> None:
    found = api.replay_log(bramble, LOG, column_map=MAP)
    assert found.problems == ()
    up: dict[str, list[tuple[int, int | None]]] = {}
    for one in found.alerts:
        up.setdefault(one.text, []).append((int(one.start), None if one.end is None else int(one.end)))
    assert up["ENGINE COLD"] == [(202, 231)]
    assert up["SPEED 5 MIN"] == [(1101, 1137)]
    assert up["CHT 3 HOT"] == [(1171, 1172), (1173, 1227)]
    assert up["BATT DRAIN"] == [(2002, 2119)]
    assert up["FLAPS 85 KT"] == [(2645, 2657)]
    assert len([start for start, _ in up["LOW VOLTS"] if 2045 <= start <= 2125]) == 18
    metrics = {one.name: one for one in found.metrics}
    assert "volts_red" in (metrics["chattering"].names or ())
    assert all(one.source and one.status for one in found.metrics)
    assert [int(one.time) for one in found.marks] == [800, 1200, 2010, 2762]
    assert [text for _, _, text, _ in found.marks[1].alerts] == ["CHT 3 HOT", "CHT HIGH", "CHT UNEVEN"]
    hot = next(one for one in found.alerts if one.start == 1173)
    assert hot.margin is not None
    assert (hot.margin.limit, hot.margin.left) == ("cht_limit", Fraction("-7.42"))
    low = next(one for one in found.alerts if one.text == "LOW VOLTS")
    assert low.margin is None, "the only limit on low volts depends on the alternator"


# ---- any log


def written(folder: Path, ruleset: m.RuleSet, parts: Sequence[Sequence[Sample]]) -> tuple[Path, list[list[Sample]]]:
    """A log of some traces, each from time 0 on, and the samples that its numbers say."""
    exact = []
    for part in parts:
        segment = in_columns(ruleset, part)
        exact.append(in_samples(ruleset, segment))
    columns = names(ruleset)
    path = folder / "log.csv"
    with path.open("w", newline="", encoding="utf-8") as file:
        writer = csv.writer(file)
        writer.writerow(["time", *columns, *ruleset.switches, "acknowledge"])
        for samples in exact:
            for one in samples:
                cells = [show_number(one.readings[name]) if name in one.readings else "" for name in columns]
                cells += [one.positions.get(name, "?") for name in ruleset.switches]
                writer.writerow([show_number(one.time), *cells, int(one.acknowledge)])
    return path, exact


def mapped(ruleset: m.RuleSet, *buttons: str) -> ColumnMap:
    lines = ['time = {column = "time", unit = "s"}', "[columns]"]
    lines += [f'"{name}" = {{column = "{name}"}}' for name in names(ruleset)]
    lines += ["[switches]", *[f'{name} = {{column = "{name}"}}' for name in ruleset.switches]]
    lines += ["[inputs]", *[f'{name} = {{column = "{name}"}}' for name in buttons or ("acknowledge",)]]
    return parse_column_map("\n".join(lines).encode(), "map.toml")


@settings(
    max_examples=100,
    phases=[Phase.explicit, Phase.generate],
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)
@given(st.data())
def test_any_rules_any_log(tmp_path: Path, data: st.DataObject) -> None:
    ruleset = load(data.draw(timed_rulesets()))
    parts = [data.draw(traces(ruleset, longest=10)) for _ in range(data.draw(st.integers(1, 2)))]
    # A second part begins at time 0, which runs backwards only if the first went on.
    parts = parts if len(parts[0]) > 1 else parts[:1]
    path, exact = written(tmp_path, ruleset, parts)
    found = replay_log(path, ruleset, mapped(ruleset), block=data.draw(st.sampled_from([100, 1 << 20])))
    agree(ruleset, found, [PlainSegment(ruleset, samples) for samples in exact])


@settings(
    max_examples=60,
    phases=[Phase.explicit, Phase.generate],
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)
@given(st.data())
def test_any_two_rule_sets_over_any_log(tmp_path: Path, data: st.DataObject) -> None:
    text = data.draw(timed_rulesets())
    one, other = load(text), load(data.draw(st.one_of(changed(text), timed_rulesets())))
    path, exact = written(tmp_path, one, [data.draw(traces(one, longest=10))])
    shared = [only_what_it_has(other, sample) for sample in exact[0]]
    assume(any(name in names(one) for name in names(other)) or set(one.switches) & set(other.switches))
    found = replay_against(path, one, other, mapped(one), block=data.draw(st.sampled_from([100, 1 << 20])))
    runs = [PlainSegment(one, exact[0]), PlainSegment(other, shared)]
    assert differences_of(found) == differences_by_rows(runs)
    assert found.same is not bool(found.differences)


def changed(text: str) -> st.SearchStrategy[str]:
    """The same rules with one statement less, or another delay, or another colour."""
    lines = text.splitlines()
    rules = [line for line in lines if re.match(r"b\d+:", line)]
    fewer = ["\n".join(one for one in lines if one is not rule) + "\n" for rule in rules if len(rules) > 1]
    swapped = [
        text.replace("is red", "is yellow"),
        text.replace("after 1 s", "after 2 s"),
        text.replace("above", "below"),
    ]
    return st.sampled_from([*fewer, *swapped])


def names(ruleset: m.RuleSet) -> list[str]:
    """What columns feed."""
    sensors = [quantity for quantity in ruleset.quantities.values() if quantity.derived is None]
    return [m.variable(quantity.name, index) for quantity in sensors for index in quantity.indexes]


def only_what_it_has(ruleset: m.RuleSet, sample: Sample) -> Sample:
    readings = {name: value for name, value in sample.readings.items() if name in names(ruleset)}
    positions = {name: value for name, value in sample.positions.items() if name in ruleset.switches}
    return replace(sample, readings=readings, positions=positions)


def test_a_rule_set_against_itself_does_nothing_differently(bramble: api.Rules) -> None:
    found = api.replay_against(bramble, bramble, LOG, column_map=MAP)
    assert found.same
    assert found.differences == ()


def test_an_alert_that_two_statements_raise_is_up_while_either_is(tmp_path: Path) -> None:
    head = 'rules "r" version 1\nquantity x from 0 to 9\nquantity y from 0 to 9\n'
    alerts = 'when x above 5 then caution "HOT"\nwhen y above 5 then caution "HOT"\n'
    log = tmp_path / "log.csv"
    log.write_text("time,x,y\n0,0,0\n1,9,0\n2,9,9\n3,0,9\n4,0,0\n", encoding="utf-8")
    found = replay_against(log, api.loads(head).model, api.loads(head + alerts).model)
    [hot] = found.differences
    assert (hot.text, hot.start, hot.end, hot.one, hot.other) == ("HOT", Fraction(1), Fraction(4), None, "up")


def differences_of(found: ReplayComparison) -> set[tuple[object, ...]]:
    told: set[tuple[object, ...]] = set()
    for one in found.differences:
        of: tuple[object, ...] = (one.text, one.level, one.start, one.end, one.one, one.other)
        if one.kind == "colour":
            assert one.first is not None
            assert one.last is not None
            of = (one.quantity, one.element, *of[2:], one.first.value, one.last.value)
        told.add(of)
    return told


def differences_by_rows(runs: Sequence[PlainSegment]) -> set[tuple[object, ...]]:
    """Row by row what each shows of every gauge and every text; rows that differ in one way put together."""
    # Of an element or, of a text, its level.
    keys: list[tuple[str, Any]] = [key for run in runs for key in run.shown[0].colours]
    keys += [(one.text, one.level.name.lower()) for run in runs for shown in run.shown for one in shown.alerts.values()]
    found = set()
    for key in dict.fromkeys(keys):
        rows = []
        for shown in zip(*(run.shown for run in runs), strict=True):
            pair = []
            for one in shown:
                colour = one.colours.get(key)
                up = any((alert.text, alert.level.name.lower()) == key for alert in one.alerts.values())
                pair.append(colour.name.lower() if colour is not None else "up" if up else None)
            rows.append(tuple(pair))
        start = 0
        for row in range(1, len(rows) + 1):
            if row < len(rows) and rows[row] == rows[start]:
                continue
            if rows[start][0] != rows[start][1]:
                end = None if row == len(rows) else runs[0].times[row]
                ends: tuple[object, ...] = ()
                if any(key in run.shown[0].colours for run in runs):
                    name = m.variable(*key)
                    there = runs[0 if name in runs[0].shown[0].values else 1].shown
                    ends = (there[start].values[name], there[row - 1].values[name])
                found.add((*key, runs[0].times[start], end, *rows[start], *ends))
            start = row
    return found


# ---- lamps and their buttons

LAMPS = """rules "lamps" version 1
quantity x from 0 to 9
quantity y from 0 to 9
a: x above 5 is red with warning "A" latched
b: x above 7 is red with warning "B"
c: y above 5 is yellow with caution "C" after 1 s
lamp "MASTER" shows warning, sequence A, acknowledged by ack
lamp "CAUTION" shows caution, sequence M, acknowledged by ack, reset by clear
lamp "RING" shows warning, sequence R, acknowledged by ack, reset by clear
"""


@settings(
    max_examples=60,
    phases=[Phase.explicit, Phase.generate],
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)
@given(
    st.lists(
        st.tuples(st.sampled_from("0689"), st.sampled_from("06"), st.sampled_from("0001"), st.sampled_from("0001")),
        min_size=1,
        max_size=25,
    ),
    st.sampled_from([60, 1 << 20]),
)
def test_lamps_over_time(tmp_path: Path, rows: list[tuple[str, ...]], block: int) -> None:
    ruleset = load(LAMPS)
    path = tmp_path / "lamps.csv"
    lines = [f"{second},{','.join(row)}" for second, row in enumerate(rows)]
    path.write_text("time,x,y,ack,clear\n" + "\n".join(lines) + "\n", encoding="utf-8")
    found = replay_log(path, ruleset, mapped(ruleset, "ack", "clear"), block=block)
    samples = [
        Sample(
            Fraction(second),
            {"x": Fraction(x), "y": Fraction(y)},
            {},
            pressed=frozenset(name for name, cell in (("ack", ack), ("clear", clear)) if cell == "1"),
        )
        for second, (x, y, ack, clear) in enumerate(rows)
    ]
    segment = PlainSegment(ruleset, samples)
    wanted = []
    for lamp in ("MASTER", "CAUTION", "RING"):
        for state, start, end in segment.spans([one.lamps[lamp] for one in segment.shown]):
            wanted.append((lamp, state.state.value, state.light, state.sound, *segment.timed(start, end)))
    assert [
        (one.text, one.state, one.light, one.sound, one.start, one.end, one.seconds) for one in found.lamps
    ] == wanted
    latched = [
        (start, end) for up, start, end in segment.spans([("a", None) in one.alerts for one in segment.shown]) if up
    ]
    assert [(one.start, one.end) for one in found.alerts if one.statement == "a"] == [
        segment.timed(*span)[:2] for span in latched
    ]


def test_alerts_are_numbered_in_the_order_of_time(bramble: api.Rules) -> None:
    found = api.replay_log(bramble, LOG, column_map=MAP)
    ordered = sorted(found.numbers, key=lambda alert: found.numbers[alert])
    assert [found.numbers[alert] for alert in ordered] == list(range(1, len(found.alerts) + 1))
    assert [alert.start for alert in ordered] == sorted(alert.start for alert in found.alerts)
    told = found.to_dict()["alerts"]
    assert [one["number"] for one in told] == [found.numbers[alert] for alert in found.alerts]
