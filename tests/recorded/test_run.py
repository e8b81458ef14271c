"""What is said of a moment from what a replay keeps is what stepping from the first row comes to, for any log."""

from __future__ import annotations

import csv
from collections.abc import Sequence
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from alertlang import api
from alertlang.findings.finding import WitnessReading
from alertlang.logs.column_map import ColumnMap, parse_column_map
from alertlang.logs.read import stream_log
from alertlang.meaning.readings import Sample
from alertlang.meaning.stepper import Stepper
from alertlang.model import ruleset as m
from alertlang.output.replay import replay_lines
from alertlang.output.why import why_lines
from alertlang.recorded.rows import LogSource, sample_range
from alertlang.recorded.run import KeptRun
from alertlang.replay.kept import kept
from alertlang.replay.wanted import wanted_of
from alertlang.units.number import show_number
from alertlang.why.answer import Asked, answer
from alertlang.why.moment import PlainRun
from alertlang.why.subject import alert_places, alert_subject, gauge_subject, gauges_of
from tests.helpers.timed import load, timed_rulesets, traces
from tests.replay.test_engine import in_columns, in_samples
from tests.replay.test_replay_results import names

BUTTONS = ("acknowledge", "reset")


def recorded(folder: Path, ruleset: m.RuleSet, samples: Sequence[Sample]) -> Path:
    """A log of some samples, every button in a column of its own."""
    exact = in_samples(ruleset, in_columns(ruleset, samples))
    path = folder / "log.csv"
    with path.open("w", newline="", encoding="utf-8") as file:
        writer = csv.writer(file)
        writer.writerow(["time", *names(ruleset), *ruleset.switches, *BUTTONS, *ruleset.buttons])
        for there, sample in zip(exact, samples, strict=True):
            cells = [show_number(there.readings[name]) if name in there.readings else "" for name in names(ruleset)]
            cells += [there.positions.get(name, "?") for name in ruleset.switches]
            # Every third sample is a reset, of all that there are.
            held = [int(sample.acknowledge), int(sample.time % 3 == 0)]
            held += [int(name in sample.pressed) for name in ruleset.buttons]
            writer.writerow([show_number(sample.time), *cells, *held])
    return path


def mapped(ruleset: m.RuleSet) -> ColumnMap:
    lines = ['time = {column = "time", unit = "s"}', "[columns]"]
    lines += [f'"{name}" = {{column = "{name}"}}' for name in names(ruleset)]
    lines += ["[switches]", *[f'{name} = {{column = "{name}"}}' for name in ruleset.switches]]
    lines += ["[inputs]", *[f'{name} = {{column = "{name}"}}' for name in (*BUTTONS, *ruleset.buttons)]]
    return parse_column_map("\n".join(lines).encode(), "map.toml")


@settings(
    max_examples=60,
    deadline=None,
    phases=[Phase.explicit, Phase.generate],
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)
@given(st.data())
def test_any_moment_of_any_log(tmp_path: Path, data: st.DataObject) -> None:
    ruleset = load(data.draw(timed_rulesets(lamps=True)))
    samples = data.draw(traces(ruleset, longest=12))
    path = recorded(tmp_path, ruleset, samples)
    source = LogSource(path, ruleset, mapped(ruleset), "log.csv", data.draw(st.sampled_from([100, 1 << 20])))
    [segment] = kept(stream_log(path, source.column_map, wanted_of(ruleset), block=source.block), ruleset)
    run = KeptRun(source, 1, segment)
    exact = sample_range(source, 1, 0, len(samples))
    assert [sample.time for sample in exact] == [sample.time for sample in samples]
    plain = PlainRun(ruleset, exact)
    row = data.draw(st.integers(0, len(samples) - 1))
    assert answer(run, row, Asked()) == answer(plain, row, Asked())
    # What was known then leads on as the run itself did.
    here = run.at(row)
    assert here.since == plain.at(row).since
    going = Stepper(ruleset)
    going.memory = here.before
    stepper = Stepper(ruleset)
    shown = [stepper.step(sample) for sample in exact]
    assert [going.step(sample) for sample in exact[row:]] == shown[row:]


@settings(
    max_examples=30,
    deadline=None,
    phases=[Phase.explicit, Phase.generate],
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)
@given(st.data())
def test_what_alone_is_asked_about(tmp_path: Path, data: st.DataObject) -> None:
    ruleset = load(data.draw(timed_rulesets()))
    samples = data.draw(traces(ruleset, longest=8))
    source = LogSource(recorded(tmp_path, ruleset, samples), ruleset, mapped(ruleset), "log.csv")
    [segment] = kept(stream_log(source.path, source.column_map, wanted_of(ruleset)), ruleset)
    subjects = [gauge_subject(ruleset, *gauge) for gauge in gauges_of(ruleset)]
    subjects += [alert_subject(ruleset, text) for _, _, text in alert_places(ruleset)]
    asked = Asked("it", data.draw(st.sampled_from(subjects)))
    row = len(samples) - 1
    plain = PlainRun(ruleset, sample_range(source, 1, 0, row))
    assert answer(KeptRun(source, 1, segment), row, asked) == answer(plain, row, asked)


MEMORIES = """rules "r" version 1
quantity x from 0 to 9, deadband 2
switch pump off, on
condition warm means x above 5 until x below 2, set after 2 s, cleared after 3 s
condition long means (x above 3 for at least 3 s) or pump is on
a: x above 6 is red with warning "A" after 1 s latched
b: when warm then x above 4 for more than 4 s in total is yellow with caution "B"
c: when long then x below 9 for more than 2 s is yellow with advisory "C" latched
lamp "L" shows warning and advisory, sequence M, acknowledged by ack, reset by rst
"""


@pytest.mark.parametrize("pressed", [(), (2, 3, 9, 14), (0, 5, 6, 7, 19), (11, 12, 21)])
def test_every_row_of_a_run_that_remembers_much(tmp_path: Path, pressed: tuple[int, ...]) -> None:
    """Alerts that stay, that were acknowledged before they came up or after, and times that add up."""
    ruleset = load(MEMORIES)
    samples = [
        Sample(
            Fraction(second),
            {"x": Fraction(digit)} if digit != "." else {},
            {"pump": "on" if second in (8, 9, 16) else "off"},
            second in pressed,
            frozenset(["rst"] if second in (18, 23) else []),
        )
        for second, digit in enumerate("17785516.778896444188771")
    ]
    source = LogSource(recorded(tmp_path, ruleset, samples), ruleset, mapped(ruleset), "log.csv")
    [segment] = kept(stream_log(source.path, source.column_map, wanted_of(ruleset)), ruleset)
    run = KeptRun(source, 1, segment)
    exact = sample_range(source, 1, 0, len(samples))
    stepper = Stepper(ruleset)
    shown = [stepper.step(sample) for sample in exact]
    assert {alert.text for row in shown for alert in row.alerts.values()} == {"A", "B", "C"}
    for row in range(len(exact)):
        going = Stepper(ruleset)
        going.memory = run.at(row).before
        assert [going.step(sample) for sample in exact[row:]] == shown[row:]
        assert answer(run, row, Asked()) == answer(PlainRun(ruleset, exact), row, Asked())


@pytest.mark.parametrize(("at", "row"), [("0", 0), ("0.5", 0), ("1", 1), ("3", 2), ("9", 2)])
def test_the_row_of_a_time_is_the_last_one_no_later(tmp_path: Path, at: str, row: int) -> None:
    ruleset = load('rules "r" version 1\nquantity x from 0 to 9\nx above 5 is red\n')
    log = tmp_path / "log.csv"
    log.write_text("time,x\n0,1\n1,2\n2.5,3\n", encoding="utf-8")
    for block in (4, 1 << 20):
        [segment] = kept(stream_log(log, None, wanted_of(ruleset), block=block), ruleset, Fraction(at))
        assert segment.at == row


SWITCHED = """rules "r" version 1
quantity x from 0 to 9
switch master "Master" off, on
switch flaps up, landing
x above 5 is red with warning "HOT"
"""


def _switched(folder: Path) -> dict[str, object]:
    """No statement goes by the master; it goes off at 3 s, and nobody knows it at 6 s. Nothing feeds the flaps."""
    log = folder / "switched.csv"
    cells = ["on", "on", "on", "off", "off", "off", "?", "on"]
    rows = [f"{time},{9 if time == 5 else 0},{cell}" for time, cell in enumerate(cells)]
    log.write_text("time,x,master\n" + "\n".join(rows) + "\n", encoding="utf-8")
    return {"rules": api.loads(SWITCHED), "log": log}


def test_the_positions_of_all_switches_are_told_whether_or_not_a_rule_goes_by_them(tmp_path: Path) -> None:
    found = api.why_recorded(**_switched(tmp_path), alert="HOT")  # type: ignore[arg-type]
    told = [(switch.switch, switch.position, int(switch.since)) for switch in found.switches]
    assert told == [("master", "off", 3), ("flaps", None, 0)]
    text = "\n".join("".join(part for _, part in line) for line in why_lines(found, 80))
    assert "Switches\n  master off since 0:03\n  flaps at no known position since 0:00" in text
    assert found.to_dict()["switches"][0] == {"switch": "master", "position": "off", "since": "3"}
    with pytest.raises(api.NameOrFileError, match=r"flaps is a switch.*ask without it"):
        api.why_recorded(**_switched(tmp_path), at="1s", about="flaps")  # type: ignore[arg-type]


def test_how_long_each_position_lasted_is_told_with_the_readings(tmp_path: Path) -> None:
    found = api.replay_log(**_switched(tmp_path))  # type: ignore[arg-type]
    master, flaps = found.switches
    assert (flaps.column, flaps.changes) == (None, ())
    assert [(one.position, int(one.seconds), one.times) for one in master.positions] == [
        ("off", 3, 1), ("on", 3, 2), (None, 1, 1)
    ]  # fmt: skip
    assert [(one.position, int(one.start), one.end and int(one.end)) for one in master.changes] == [
        ("on", 0, 3), ("off", 3, 6), (None, 6, 7), ("on", 7, None)
    ]  # fmt: skip
    text = "\n".join("".join(part for _, part in line) for line in replay_lines(found, 80, everything=True))
    assert "  master: off 3 s, on 3 s, unknown 1 s (master)\n  flaps: no column feeds it\n" in text
    assert found.to_dict()["switches"][0]["changes"][1]["position"] == "off"


TIMED = """rules "r" version 1
quantity x from 0 to 9, step 1
quantity y from 0 to 9, step 1
switch flaps up, landing
condition moving means y above 2, set after 2 s
slow: when moving then x above 5 for more than 3 s is red with warning "SLOW"
quick: when flaps is landing and x above 3 then caution "QUICK"
"""
ROWS = [(0, 0), (7, 5), (7, 5), (8, 5), (7, 5), (7, 1), (7, 5), (8, 5), (8, 5), *[(9, 5), (7, 5)] * 6]


def _timed(folder: Path, name: str, rows: Sequence[Sequence[object]]) -> Path:
    log = folder / name
    lines = [",".join(str(cell) for cell in (time, *row)) for time, row in enumerate(rows)]
    log.write_text("\n".join(["time,x,y,flaps", *lines, ""]), encoding="utf-8")
    return log


def test_a_change_of_one_sample_is_told_with_what_the_whole_log_so_changed_shows(tmp_path: Path) -> None:
    rules = api.loads(TIMED)
    rows: list[list[object]] = [[x, y, "landing" if time in {2, 9, 12} else "up"] for time, (x, y) in enumerate(ROWS)]
    log = _timed(tmp_path, "log.csv", rows)
    seen = []
    for number, alert in enumerate(sorted(api.replay_log(rules, log).alerts, key=lambda up: up.start), 1):
        found = api.why_recorded(rules, log, alert=number)
        (why,) = found.alerts
        for change in why.nearest:
            tried = change.tried.value if isinstance(change.tried, WitnessReading) else (change.tried or "")
            changed = [list(row) for row in rows]
            changed[int(alert.start)][["x", "y", "flaps"].index(change.input)] = tried
            again = api.replay_log(rules, _timed(tmp_path, "changed.csv", changed)).alerts
            later = [one.start for one in again if one.text == alert.text and one.start > alert.start]
            assert not any(one.text == alert.text and one.start == alert.start for one in again)
            assert change.comes == min(later, default=None), (number, change)
            assert change.until == (len(rows) - 1 if change.comes is None else change.comes)
            seen.append(change.comes)
    assert None in seen
    assert len({*seen}) > 4


def test_what_would_only_have_been_put_off_is_not_told_as_kept_away(tmp_path: Path) -> None:
    rows = [[9, 5, "up"] for _ in range(20)]
    found = api.why_recorded(api.loads(TIMED), _timed(tmp_path, "log.csv", rows), alert="SLOW")
    text = "\n".join("".join(part for _, part in line) for line in why_lines(found, 80))
    assert "would not have come up" not in text
    assert "  with another value at 0:06 alone it would have come up\n    at 0:11 with x at most 5 (4 less)\n" in text
    assert "at 0:11 had x failed, which would have hidden it so long\n" in text
