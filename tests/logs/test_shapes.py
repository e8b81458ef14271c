"""One flight in every shape that recorders give it: proposed map and replay tell the same alerts, or that they may not.

Source: the flight is invented; what it must tell is what its plain shape tells under a map written by hand, whose
reading other tests hold against other readers. Never may a shape tell something else and be trusted.
"""

from __future__ import annotations

import re
from dataclasses import replace
from fractions import Fraction
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from alertlang.api import loads
from alertlang.logs.column_map import parse_column_map
from alertlang.logs.log_error import LogError
from alertlang.logs.propose import propose
from alertlang.output.replay import replay_lines
from alertlang.replay.run import replay
from alertlang.replay.wanted import wanted_of
from alertlang.results.replay import ReplayResult
from tests.helpers.shaped_log import (
    COMMENTS,
    LAST,
    MAP,
    PADDED,
    PLAIN,
    RAGGED,
    RULES,
    SHAPES,
    SWITCHES,
    TIMES,
    Flight,
    Shape,
)
from tests.helpers.shaped_log import flight as flown

RULESET = loads(RULES).model
WANTED = wanted_of(RULESET)

ASKED = {
    "switches: 0, 1, 2": True,
    "switches: a name that is unlike": False,
    "switches: blank": True,
    "switches: numbers without a meaning": False,
    "switches: 1 is closed": False,
    "Celsius, no units": True,
    "no units": True,
}
"""What no name and no value settles, and whether what is proposed with a doubt is right all the same."""

Told = tuple[list[tuple[str, int | None, Fraction, Fraction | None]], ...]


def told(found: ReplayResult) -> Told:
    """Alerts and broken limits, in seconds from the first sample."""
    zero = found.segments[0].first

    def since(time: Fraction | None) -> Fraction | None:
        return None if time is None else time - zero

    alerts = [(up.statement, up.element, up.start - zero, since(up.end)) for up in found.alerts]
    broken = [(one.limit, one.element, one.start - zero, since(one.end)) for one in found.violations]
    return tuple(sorted(those, key=str) for those in (alerts, broken))


def replayed(path: Path, data: bytes, column_map: str) -> ReplayResult:
    path.write_bytes(data)
    return replay(path, RULESET, parse_column_map(column_map.encode(), "map.toml"))


def proposed(path: Path, data: bytes) -> str:
    path.write_bytes(data)
    return propose(path, WANTED, "log.csv")


def is_told_first(found: ReplayResult) -> bool:
    """Whether the first that is said of the run is why it may not be trusted."""
    text = "\n".join("".join(part for _, part in line) for line in replay_lines(found, 80))
    _, _, after = text.partition("Look at this first\n")
    return after.lstrip().startswith(tuple(problem.kind for problem in found.doubts))


@pytest.fixture(scope="module")
def flight(share: int) -> Flight:
    """Fifty minutes; a quarter of an hour with every kind of alert in it where fewer cases are asked for."""
    return flown(LAST if share == 1 else 900)


@pytest.fixture(scope="module")
def wanted(flight: Flight, tmp_path_factory: pytest.TempPathFactory) -> Told:
    found = replayed(tmp_path_factory.mktemp("plain") / "log.csv", PLAIN.written(flight), MAP)
    assert {alert.statement for alert in found.alerts} == {
        rule.label for rule in RULESET.rules if rule.alert is not None
    }
    assert found.trusted
    return told(found)


@pytest.mark.parametrize("name", SHAPES)
def test_every_shape_tells_the_same_or_that_it_may_not_be_trusted(
    name: str, flight: Flight, wanted: Told, tmp_path: Path
) -> None:
    path, data = tmp_path / "log.csv", SHAPES[name].written(flight)
    text = proposed(path, data)
    found = replayed(path, data, text)
    if name not in ASKED:
        assert (told(found), [problem.name for problem in found.doubts]) == (wanted, [])
        return
    assert not found.trusted
    assert is_told_first(found)
    if ASKED[name]:
        settled = re.sub(r', doubt = "(?:[^"\\]|\\.)*"', "", text)
        found = replayed(path, data, settled)
        assert (told(found), found.trusted) == (wanted, True)


# ---- random shapes of a damaged flight

SHORT = flown(300)

shapes = st.builds(
    Shape,
    time=st.sampled_from(sorted(TIMES)),
    switches=st.sampled_from(sorted(SWITCHES)),
    units=st.sampled_from(["brackets", "brackets", "row", "nowhere"]),
    types=st.booleans(),
    mixed=st.booleans(),
    above=st.sampled_from([(), PADDED, RAGGED, COMMENTS]),
    again=st.sampled_from([None, None, 100]),
    ends=st.sampled_from(["\n", "\r\n", "\r"]),
    encoding=st.sampled_from(["utf-8", "utf-8-sig", "utf-16", "latin-1"]),
    trailing=st.booleans(),
    celsius=st.booleans(),
)
dialects = st.sampled_from([(",", "."), (";", "."), (";", ","), ("\t", "."), ("\t", ",")])
# Even seconds, so that a column that is written every other second is damaged as the others are.
stretches = st.tuples(st.integers(0, 140), st.integers(1, 20)).map(lambda one: (2 * one[0], 2 * (one[0] + one[1])))
damage = st.lists(
    st.one_of(
        st.tuples(st.just("dead"), st.sampled_from(sorted(SHORT.columns)), stretches),
        st.tuples(st.just("gap"), st.just(""), stretches),
        st.tuples(st.just("clock"), st.just(""), stretches),
    ),
    max_size=3,
)


def damaged(what: Flight, how: list[tuple[str, str, tuple[int, int]]]) -> Flight:
    """A probe that is dead for a while, rows that are missing, one row whose time was not read."""
    seconds, columns = list(what.seconds), {name: list(values) for name, values in what.columns.items()}
    gone: set[int] = set()
    for kind, column, (start, end) in how:
        if kind == "dead":
            columns[column][start:end] = [None] * len(columns[column][start:end])
        elif kind == "gap":
            gone |= set(range(start, end))
        else:
            seconds[start + 1] = None
    rows = [row for row in range(len(seconds)) if row not in gone]
    return Flight(
        tuple(seconds[row] for row in rows),
        {name: tuple(values[row] for row in rows) for name, values in columns.items()},
    )


@settings(max_examples=120)
@given(shapes, dialects, damage)
def test_no_shape_of_a_damaged_flight_is_quietly_wrong(
    shape: Shape, dialect: tuple[str, str], how: list[tuple[str, str, tuple[int, int]]]
) -> None:
    what = damaged(SHORT, how)
    shape = replace(shape, separator=dialect[0], decimal=dialect[1])
    if shape.encoding == "latin-1":
        shape = replace(shape, above=("Ger\u00e4t{s}Willow 3",))
    data = shape.written(what)
    with TemporaryDirectory() as folder:
        path = Path(folder) / "log.csv"
        try:
            text = proposed(path, data)
            found = replayed(path, data, text)
        except LogError:
            return
        if not found.trusted:
            assert is_told_first(found)
            return
        plain = replayed(path, replace(PLAIN, again=shape.again).written(what), MAP)
        assert told(found) == told(plain), text
