"""The vectorised engine against the stepper, on every trace there is: random rule sets, recordings and chunks."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from fractions import Fraction
from math import lcm
from typing import Any, Unpack

import numpy as np
import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from alertlang.logs.table import Column, Segment, exact
from alertlang.meaning.readings import Sample
from alertlang.meaning.stepper import Shown
from alertlang.model import ruleset as m
from alertlang.replay.engine import ReplayEngine, Trace, cut
from alertlang.replay.intervals import Recorder, record
from tests.helpers.recordings import HEAD, Told
from tests.helpers.recordings import record as recorded
from tests.helpers.timed import load, stepped, timed_rulesets, traces

# How a log may say it: the number in the log is (value - offset) / scale.
PLAIN = (Fraction(1), Fraction(0))
UNITS = (
    PLAIN,
    (Fraction(5, 9), Fraction(-160, 9)),
    (Fraction(6894757293168361, 10**15), Fraction(0)),
    (Fraction(3), Fraction(1, 3)),
)
Units = Mapping[str, tuple[Fraction, Fraction]]
# What is shown at a row, each truth and colour as a number: by kind, then by name or place.
Row = dict[str, dict[Any, int]]


def in_columns(ruleset: m.RuleSet, samples: Sequence[Sample], units: Units | None = None) -> Segment:
    """A recording as a log. A value that no double stands for in the log's unit becomes the one next to it."""
    tick = Fraction(1, lcm(*(sample.time.denominator for sample in samples)))
    columns: dict[str, Column] = {}
    for quantity in ruleset.quantities.values():
        for index in quantity.indexes if quantity.derived is None else ():
            name = m.variable(quantity.name, index)
            scale, offset = (units or {}).get(name, PLAIN)
            numbers = np.full(len(samples), np.nan)
            for row, sample in enumerate(samples):
                value = sample.readings.get(name)
                if value is not None:
                    number = float((value - offset) / scale)
                    if quantity.low <= exact(number) * scale + offset <= quantity.high:
                        numbers[row] = number
            columns[name] = Column(numbers, scale, offset)
    positions = {
        name: np.array(
            [
                switch.positions.index(p) if (p := one.positions.get(name)) in switch.positions else -1
                for one in samples
            ],
            np.int8,
        )
        for name, switch in ruleset.switches.items()
    }
    return Segment(
        np.array([int(sample.time / tick) for sample in samples], np.int64),
        tick,
        np.arange(1, len(samples) + 1),
        columns,
        positions,
        {"acknowledge": np.array([sample.acknowledge for sample in samples], np.bool_)},
        np.zeros(len(samples), np.bool_),
    )


def in_samples(ruleset: m.RuleSet, segment: Segment) -> list[Sample]:
    """A log as a recording, its numbers exact."""
    found = []
    for row in range(len(segment)):
        values = {name: column.value(row) for name, column in segment.columns.items()}
        positions = {
            name: ruleset.switches[name].positions[p[row]] for name, p in segment.positions.items() if p[row] >= 0
        }
        known = {name: value for name, value in values.items() if value is not None}
        pressed = "acknowledge" in segment.inputs and bool(segment.inputs["acknowledge"][row])
        found.append(Sample(segment.seconds(row), known, positions, pressed))
    return found


def chunks(engine: ReplayEngine, segment: Segment, sizes: Sequence[int]) -> list[Trace]:
    """The sizes are taken in turn until there are no rows left."""
    found, start, turn = [], 0, 0
    while start < len(segment):
        size = sizes[turn % len(sizes)]
        found.append(engine.feed(cut(segment, start, start + size), continues=start > 0))
        start, turn = start + size, turn + 1
    return found


def rows_of(found: Sequence[Trace]) -> list[Row]:
    """What is shown row by row, in the stepper's terms."""
    rows: list[Row] = []
    for trace in found:
        dense = {
            kind: {key: one.array for key, one in getattr(trace, kind).items()}
            for kind in ("conditions", "applies", "alerts", "colours", "violated")
        }
        rows += [
            {kind: {key: int(one[row]) for key, one in some.items()} for kind, some in dense.items()}
            for row in range(len(trace))
        ]
    return rows


def expected(ruleset: m.RuleSet, shown: Sequence[Shown]) -> list[Row]:
    rows: list[Row] = []
    for one in shown:
        rules = {rule.label for rule in ruleset.rules if rule.alert is not None}
        rows.append(
            {
                "conditions": {key: int(value) for key, value in one.conditions.items()},
                "applies": {key: int(value) for key, value in one.applies.items()},
                "alerts": {place: int(place in one.alerts) for place in one.applies if place[0] in rules},
                "colours": {key: -1 if value is None else int(value) for key, value in one.colours.items()},
                "violated": {key: int(value) for key, value in one.violated.items()},
            }
        )
    return rows


def agree(ruleset: m.RuleSet, segment: Segment, sizes: Sequence[int]) -> None:
    samples = in_samples(ruleset, segment)
    found = chunks(ReplayEngine(ruleset), segment, sizes)
    shown = stepped(ruleset, samples)
    wanted = expected(ruleset, shown)
    assert rows_of(found) == wanted
    for trace in found:
        for row in range(len(trace)):
            values = shown[trace.start + row].values
            assert {name: trace.exact(name, row) for name in values} == values
    in_intervals(found, wanted)


def in_intervals(found: Sequence[Trace], wanted: Sequence[Row]) -> None:
    """The intervals of all chunks together say of every row what is shown there."""
    recorder = Recorder()
    for trace in found:
        recorder.feed(trace)
    recording = recorder.recording()
    assert recording is not None
    assert recording.rows == len(wanted)
    times = [trace.chunk.seconds(row) for trace in found for row in range(len(trace))]
    for kind in wanted[0]:
        for key, track in getattr(recording, kind).items():
            said: list[int] = []
            for one in track.every():
                assert one.start_row == len(said)
                assert one.start == times[one.start_row]
                assert one.end == (None if one.end_row is None else times[one.end_row])
                said += [one.value] * ((len(wanted) if one.end_row is None else one.end_row) - one.start_row)
            assert said == [row[kind][key] for row in wanted]
            assert all(a != b for a, b in zip(track.values, track.values[1:], strict=False))


@settings(max_examples=250, phases=[Phase.explicit, Phase.generate])
@given(st.data())
def test_any_rules_any_recording_any_chunks(data: st.DataObject) -> None:
    ruleset = load(data.draw(timed_rulesets()))
    samples = data.draw(traces(ruleset, longest=16))
    units: dict[str, tuple[Fraction, Fraction]] = {
        m.variable(quantity.name, index): data.draw(st.sampled_from(UNITS))
        for quantity in ruleset.quantities.values()
        if quantity.derived is None
        for index in quantity.indexes
    }
    sizes = data.draw(st.lists(st.integers(1, 6), min_size=1, max_size=4))
    agree(ruleset, in_columns(ruleset, samples, units), sizes)


MANY = """
let spread_of = spread of cht
let mean = average of cht
let off = deviation of cht
let sum = x / 3 + y - cht[1] / 7
let climb = rise of y per min, from -90 to 90
let turn = rise of climb per s, from -50 to 50
curve top over x: 1 -> 2, 4 -> 3, 9 -> 3, otherwise 5
condition a means spread_of at least 3 until mean below 4.5, set after 2 s
condition b means climb at least 60 or turn above 0 or any off at most -1.5
s1: y above top is red with warning "A" after 1 s latched
s2: cht above mean for more than 3 s is yellow with caution "B {n}" latched
s3: when sum at least 1 and not a then y from 2 to top for more than 20 s in total is green
s4: when (b for at least 2 s) and pump is not off then advisory "D"
l1: limit cht outside 0 to mean except for 2 s, source S
l2: avoid y from 4 to top, source S
"""


@pytest.mark.alike
@pytest.mark.parametrize("units", [{}, {"x": UNITS[1], "cht[2]": UNITS[3]}], ids=["own units", "other units"])
@pytest.mark.parametrize("grain", [1, 10])
def test_many_rows_with_derived_values_at_their_edges(units: Units, grain: int, seed: int) -> None:
    """Whole and tenth numbers, so that sums, averages, rates and curves are often exactly at a bound."""
    ruleset = load(HEAD + MANY)
    rng = np.random.default_rng([grain, seed])
    size = 400
    ticks = np.cumsum(rng.choice([1, 1, 2, 3], size))
    columns = {}
    for name in ("x", "y", "cht[1]", "cht[2]"):
        scale, offset = units.get(name, PLAIN)
        values = [Fraction(int(n), grain) for n in rng.integers(0, 9 * grain, size, endpoint=True)]
        numbers = np.array([float((value - offset) / scale) for value in values])
        for row, number in enumerate(numbers):
            if not 0 <= exact(float(number)) * scale + offset <= 9 or rng.random() < 0.03:
                numbers[row] = np.nan
        # Now and then it stays as it was.
        for row in range(1, size):
            if rng.random() < 0.6:
                numbers[row] = numbers[row - 1]
        columns[name] = Column(numbers, scale, offset)
    segment = Segment(
        ticks.astype(np.int64),
        Fraction(1, 2),
        np.arange(1, size + 1),
        columns,
        {"pump": rng.integers(-1, 2, size).astype(np.int8)},
        {"acknowledge": rng.random(size) < 0.2},
        np.zeros(size, np.bool_),
    )
    for sizes in ([size], [1], [7, 100, 1, 33]):
        agree(ruleset, segment, sizes)


def shown_as(text: str, digits: str, kind: str, key: object, **more: Unpack[Told]) -> str:
    """The marks of tests.helpers.recordings, by the engine, the same in one chunk and row by row."""
    ruleset = load(HEAD + text + "\n")
    segment = in_columns(ruleset, recorded(digits, **more))
    said = set()
    for sizes in ([len(digits)], [1], [2, 1]):
        rows = rows_of(chunks(ReplayEngine(ruleset), segment, sizes))
        said.add("".join("#" if row[kind][key] else "-" for row in rows))
    assert len(said) == 1
    return said.pop()


@pytest.mark.parametrize(("last", "due", "more"), [("1.999", "-", "-"), ("2", "#", "-"), ("2.001", "#", "#")])
def test_the_instant_at_which_a_time_is_over(last: str, due: str, more: str) -> None:
    times: tuple[str, ...] = ("0", "1", last)

    def said(text: str, kind: str, key: object) -> str:
        return shown_as(text, "999", kind, key, times=times)[-1]

    assert said("condition c means x above 5, set after 2 s", "conditions", "c") == due
    assert said("condition c means x above 5 for at least 2 s", "conditions", "c") == due
    assert said("condition c means x above 5 for less than 2 s", "conditions", "c") == {"-": "#", "#": "-"}[due]
    assert said('s: x above 5 is red with warning "S" after 2 s', "alerts", ("s", None)) == due
    assert said("s: x above 5 for more than 2 s is red", "applies", ("s", None)) == more
    assert said("s: x above 5 for more than 2 s in total is red", "applies", ("s", None)) == more
    assert said("l: limit x at most 5 except for 2 s, source S", "violated", ("l", None)) == more
    times = (
        ("0", "1", "2", str(Fraction(last) + 1))
        if last == "2"
        else ("0", "1", "2", f"{3 if last[0] == '2' else 2}{last[1:]}")
    )
    cleared = shown_as("condition c means x above 5, cleared after 2 s", "9000", "conditions", "c", times=times)
    assert cleared == "###" + {"#": "-", "-": "#"}[due]


def test_edges_of_regions_in_the_logs_own_unit() -> None:
    """212 F is 100 C, 212.1 F is more, 211.9 F is less: decided by the number that is written."""
    ruleset = load(
        'rules "r" version 1\nquantity t from 0 to 200 C, deadband 10 C\n'
        "b1: t below 100 C is red\nb2: t at most 100 C is red\nb3: t above 100 C is red\nb4: t at least 100 C is red\n"
        "condition c1 means t below 100 C\ncondition c2 means t at most 100 C\n"
        "condition c3 means t above 100 C\ncondition c4 means t at least 100 C\n"
    )
    numbers = np.array([211.9, 212.0, 212.1, np.nan, 229.9, 230.0, 212.0, 229.9, 230.0, 211.9, 230.0])
    count = len(numbers)
    segment = Segment(
        np.arange(count),
        Fraction(1),
        np.arange(count),
        {"t": Column(numbers, *UNITS[1])},
        {},
        {},
        np.zeros(count, np.bool_),
    )
    rows = rows_of(chunks(ReplayEngine(ruleset), segment, [count]))
    said = {name: "".join("#" if row["conditions"][name] else "-" for row in rows) for name in ("c1", "c2", "c3", "c4")}
    assert said == {"c1": "#--------#-", "c2": "##----#--#-", "c3": "--#-##-##-#", "c4": "-##-#####-#"}
    agree(ruleset, segment, [2])


def test_a_duration_that_is_no_whole_number_of_ticks() -> None:
    text = "condition c means x above 5, set after 1.5 s\ns: x above 5 for more than 1.5 s is red"
    assert shown_as(text, "9999", "conditions", "c") == "--##"
    assert shown_as(text, "9999", "applies", ("s", None)) == "--##"
    more = "condition c means x above 5, set after 2.5 s\ns: x above 5 for more than 2 s is red"
    assert shown_as(more, "9999", "conditions", "c") == "---#"
    assert shown_as(more, "9999", "applies", ("s", None)) == "---#"


def test_equal_changes_over_different_times_are_different_rates() -> None:
    """A rise of a tenth in a tenth of a second is at the bound, which doubles do not tell, and one in 0.2 s is not."""
    text = "let climb = rise of x per s, from -5 to 5\ncondition c means climb at least 1"
    digits = "34" * 60
    ruleset = load(HEAD + text + "\n")
    times = [0]
    for row in range(1, len(digits)):
        times.append(times[-1] + (1, 1, 1, 1, 2)[row % 5])
    log = in_columns(ruleset, recorded(digits, times=times))
    columns = {name: Column(one.numbers / 10) if name == "x" else one for name, one in log.columns.items()}
    numbers = np.array([float(f"0.{digit}") for digit in digits])
    segment = replace(log, tick=Fraction(1, 10), columns={**columns, "x": Column(numbers)})
    agree(ruleset, segment, [len(digits)])
    rows = rows_of(chunks(ReplayEngine(ruleset), segment, [len(digits)]))
    said = "".join("#" if row["conditions"]["c"] else "-" for row in rows)
    assert said.count("#") == 48
    assert said[:12] == "-#-#-#-#---#"


def test_a_press_is_for_what_was_up_before_it() -> None:
    text = 's: x above 5 is red with warning "S" latched'
    alert = ("alerts", ("s", None))
    assert shown_as(text, "0900090", *alert) == "-######"
    assert shown_as(text, "0900090", *alert, acknowledge=[1]) == "-######"
    assert shown_as(text, "0900090", *alert, acknowledge=[3]) == "-##--##"
    assert shown_as(text, "0999009", *alert, acknowledge=[2]) == "-###--#"
    assert shown_as(text, "0900090", *alert, acknowledge=[1, 2, 3]) == "-######"


def test_chunks_that_cannot_follow_are_refused() -> None:
    ruleset = load(HEAD)
    segment = in_columns(ruleset, recorded("123"))
    engine = ReplayEngine(ruleset)
    with pytest.raises(ValueError, match="at least one row"):
        engine.feed(cut(segment, 0, 0))
    engine.feed(cut(segment, 0, 2))
    with pytest.raises(ValueError, match="cannot begin before"):
        engine.feed(cut(segment, 1, 3), continues=True)
    assert record(engine.run(cut(segment, 0, 0))) is None
