"""What two rule sets would have done differently over one log, interval by interval.

What makes a sample of a row is in the log alone, so both rule sets see the same segments of the same rows, and their
intervals can be laid side by side. A last pass over the log reads the values at which they differ, and which rows of
the file they are.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from pathlib import Path

import numpy as np

from alertlang.logs.column_map import ColumnMap
from alertlang.logs.csv_rows import BLOCK
from alertlang.logs.read import LogStream, stream_log
from alertlang.model import ruleset as m
from alertlang.replay.engine_values import Before, Values
from alertlang.replay.exceedance import subject_of
from alertlang.replay.intervals import IntervalRecording, Recorder, TimeInterval, Track
from alertlang.replay.paired import paired
from alertlang.replay.run import Progress, alert_text, colour_word, stretches, told_problems, traces
from alertlang.replay.wanted import wanted_of
from alertlang.results import replay as d
from alertlang.results.report import FileName

_NOTHING = -1

# A segment, from 1, and a row of it, from 0.
_At = tuple[int, int]


@dataclass(frozen=True, slots=True)
class _Apart:
    """Rows over which two tracks differ, and what is on either side."""

    start_row: int
    end_row: int | None
    start: Fraction
    end: Fraction | None
    one: int
    other: int


@dataclass(frozen=True, slots=True)
class _ReplaySide:
    ruleset: m.RuleSet
    stream: LogStream
    recordings: tuple[IntervalRecording, ...]


def replay_against(
    path: Path,
    ruleset: m.RuleSet,
    other: m.RuleSet,
    column_map: ColumnMap | None = None,
    *,
    shown: str | None = None,
    block: int = BLOCK,
    progress: Progress | None = None,
) -> d.ReplayComparison:
    """One log over two rule sets. The column map is for `ruleset`; of it `other` takes what it has quantities for.
    LogError if the log or the map cannot be used."""
    both = [
        _side(path, ruleset, column_map, shown, block, progress and (lambda rows, share: progress(rows, share / 2))),
        _side(
            path,
            other,
            _map_for(other, ruleset, column_map),
            shown,
            block,
            progress and (lambda rows, share: progress(rows, (1 + share) / 2)),
        ),
    ]
    recordings = list(zip(*(side.recordings for side in both), strict=True))
    found = [
        (number, apart, difference, reading)
        for number, pair in enumerate(recordings, 1)
        for apart, difference, reading in _differences(number, pair, ruleset, other)
    ]
    wanted: dict[int, dict[_At, set[str]]] = {0: {}, 1: {}}
    places = []
    for number, apart, _, reading in found:
        rows = both[0].recordings[number - 1].rows
        ends = (apart.start_row, (rows if apart.end_row is None else apart.end_row) - 1)
        places.append([(number, row) for row in ends])
        if reading is not None:
            for at in places[-1]:
                wanted[reading[0]].setdefault(at, set()).add(reading[1])
    changes = [
        change for number, pair in enumerate(recordings, 1) for change in _alert_changes(number, pair, ruleset, other)
    ]
    for change in changes:
        for span in (change.one, change.other):
            if span is not None:
                # Rows of the segment, until the rows of the file are known.
                for row in (span.first_row, span.last_row):
                    wanted[0].setdefault((change.segment, row), set())
    maps = (column_map, _map_for(other, ruleset, column_map))
    read = [
        _values(path, side.ruleset, one_map, shown, block, wanted[k])
        for k, (side, one_map) in enumerate(zip(both, maps, strict=True))
    ]
    known = [values for values, _ in read]
    file_rows = read[0][1]
    differences = []
    for (_, _, difference, reading), (first, last) in zip(found, places, strict=True):
        if reading is not None:
            k, variable = reading
            unit = both[k].ruleset.quantities[m.ReadingId(variable).quantity].unit
            difference = replace(
                difference,
                first=d.SampleReading(variable, known[k][first, variable], unit),
                last=d.SampleReading(variable, known[k][last, variable], unit),
            )
        differences.append(difference)
    problems = dict.fromkeys((*told_problems(both[0].stream), *told_problems(both[1].stream)))
    return d.ReplayComparison(
        both[0].stream.path,
        FileName.of(ruleset.origin),
        FileName.of(other.origin),
        None if column_map is None else column_map.path,
        both[0].stream.rows,
        stretches(both[0].recordings),
        tuple(problems),
        tuple(differences),
        tuple(
            replace(
                change,
                one=_in_file(change.one, change.segment, file_rows),
                other=_in_file(change.other, change.segment, file_rows),
            )
            for change in changes
        ),
        clock=both[0].stream.clock,
    )


def _in_file(span: d.AlertSpan | None, segment: int, rows: Mapping[_At, int]) -> d.AlertSpan | None:
    if span is None:
        return None
    return replace(span, first_row=rows[segment, span.first_row], last_row=rows[segment, span.last_row])


def _map_for(other: m.RuleSet, ruleset: m.RuleSet, column_map: ColumnMap | None) -> ColumnMap | None:
    """The map without what only `ruleset` has: what neither has stays in and is a mistake."""
    if column_map is None:
        return None
    fed, own = ({reading.name for reading in wanted_of(rule_set).readings} for rule_set in (other, ruleset))
    columns = {key: feed for key, feed in column_map.columns.items() if key in fed or key not in own}
    switches = {
        key: feed for key, feed in column_map.switches.items() if key in other.switches or key not in ruleset.switches
    }
    kept = fed | set(other.switches)
    unsure = {
        key: doubt for key, doubt in column_map.open.items() if key in kept or key not in own | set(ruleset.switches)
    }
    return replace(column_map, columns=columns, switches=switches, open=unsure)


def _side(
    path: Path,
    ruleset: m.RuleSet,
    column_map: ColumnMap | None,
    shown: str | None,
    block: int,
    progress: Progress | None,
) -> _ReplaySide:
    stream = stream_log(path, column_map, wanted_of(ruleset), shown=shown, block=block)
    recorders: list[Recorder] = []
    for trace, continues in traces(stream, ruleset, progress):
        if not continues:
            recorders.append(Recorder())
        recorders[-1].feed(trace)
    recordings = [recorder.recording() for recorder in recorders]
    return _ReplaySide(ruleset, stream, tuple(recording for recording in recordings if recording is not None))


# ---- what differs


def _differences(
    number: int, pair: tuple[IntervalRecording, ...], ruleset: m.RuleSet, other: m.RuleSet
) -> Iterator[tuple[_Apart, d.ReplayDifference, tuple[int, str] | None]]:
    """Each stretch, its difference without values, and what is to be read at its ends: by which side, and what."""
    one, two = pair
    last = one.last

    def told(apart: _Apart, **what: object) -> d.ReplayDifference:
        seconds = (last if apart.end is None else apart.end) - apart.start
        blank = dict.fromkeys(("quantity", "element", "text", "level", "first", "last"))
        whole: dict[str, object] = {
            **blank,
            "statements": (),
            "segment": number,
            "start": apart.start,
            "end": apart.end,
            "seconds": seconds,
            **what,
        }
        return d.ReplayDifference(**whole)  # type: ignore[arg-type]

    for gauge in dict.fromkeys((*one.colours, *two.colours)):
        quantity, index = gauge
        side = 0 if gauge in one.colours else 1
        reading = side, m.variable(quantity, index)
        for apart in _apart(one.colours.get(gauge), two.colours.get(gauge), one, _NOTHING):
            shown = {"one": colour_word(apart.one), "other": colour_word(apart.other)}
            yield apart, told(apart, kind="colour", quantity=quantity, element=index, **shown), reading
    alerts = [_by_text(recording, rules) for recording, rules in ((one, ruleset), (two, other))]
    for alert in dict.fromkeys((*alerts[0], *alerts[1])):
        places = [side.get(alert, []) for side in alerts]
        tracks = [_any(recording, own) for recording, own in zip(pair, places, strict=True)]
        for apart in _apart(tracks[0], tracks[1], one, 0):
            side = 0 if apart.one else 1
            rules = (ruleset, other)[side]
            up = [place for place in places[side] if pair[side].alerts[place].at(apart.start_row)]
            names = tuple(m.variable(label, index) for label, index in up)
            shown = {"one": "up" if apart.one else None, "other": "up" if apart.other else None}
            what = {"text": alert[0], "level": alert[1], "statements": names, **shown}
            yield apart, told(apart, kind="alert", **what), _reading(up[0], rules, side)


def _alert_changes(
    number: int, pair: tuple[IntervalRecording, ...], ruleset: m.RuleSet, other: m.RuleSet
) -> Iterator[d.AlertChange]:
    """Each time that an alert was up on either side, with the rows of the segment in the place of those of the file."""
    sides = [_by_text(recording, rules) for recording, rules in zip(pair, (ruleset, other), strict=True)]
    for text, level in dict.fromkeys((*sides[0], *sides[1])):
        places = [side.get((text, level), []) for side in sides]
        tracks = [_any(recording, own) for recording, own in zip(pair, places, strict=True)]
        times = [[] if track is None else list(track.intervals()) for track in tracks]
        for found in paired(*times):
            one, two = (
                None if interval is None else _span(interval, pair[k], places[k])
                for k, interval in enumerate((found.one, found.other))
            )
            yield d.AlertChange(found.kind, text, level, number, one, two, found.by)


def _span(
    interval: TimeInterval, recording: IntervalRecording, places: Iterable[tuple[str, int | None]]
) -> d.AlertSpan:
    stop = recording.rows if interval.end_row is None else interval.end_row
    until = recording.last if interval.end is None else interval.end
    names = tuple(m.variable(*place) for place in places if _ever(recording.alerts[place], interval.start_row, stop))
    return d.AlertSpan(interval.start, interval.end, until - interval.start, interval.start_row, stop - 1, names)


def _ever(track: Track, start: int, stop: int) -> bool:
    """Whether something is so at any of some rows."""
    first, last = (int(np.searchsorted(track.rows, row, "right")) - 1 for row in (start, stop - 1))
    return bool(track.values[first : last + 1].any())


def _reading(place: tuple[str, int | None], ruleset: m.RuleSet, side: int) -> tuple[int, str] | None:
    """What the statement looks at, if it is one reading."""
    label, index = place
    rule = next(rule for rule in ruleset.rules if rule.label == label)
    subject = subject_of(rule, index, ruleset)
    if subject is None or len(subject.indexes) != 1:
        return None
    return side, m.variable(subject.quantity, subject.indexes[0])


def _by_text(recording: IntervalRecording, ruleset: m.RuleSet) -> dict[tuple[str, str], list[tuple[str, int | None]]]:
    """The places of alerts by what the pilot reads: text and level."""
    texts = {rule.label: rule.alert for rule in ruleset.rules}
    found: dict[tuple[str, str], list[tuple[str, int | None]]] = {}
    for place in recording.alerts:
        alert = texts[place[0]]
        if alert is not None:
            found.setdefault((alert_text(alert, place[1]), alert.level.word), []).append(place)
    return found


def _any(recording: IntervalRecording, places: Iterable[tuple[str, int | None]]) -> Track | None:
    """Up where one of several alerts is."""
    tracks = [recording.alerts[place] for place in places]
    if len(tracks) < 2:
        return tracks[0] if tracks else None
    rows, first = np.unique(np.concatenate([track.rows for track in tracks]), return_index=True)
    ticks = np.concatenate([track.ticks for track in tracks])[first]
    values = np.max([_at_rows(track, rows, 0) for track in tracks], axis=0)
    changed = np.concatenate([[True], values[1:] != values[:-1]])
    return Track(rows[changed], ticks[changed], values[changed], tracks[0].tick)


def _at_rows(track: Track | None, rows: np.ndarray, without: int) -> np.ndarray:
    if track is None:
        return np.full(len(rows), without, np.int8)
    return track.values[np.searchsorted(track.rows, rows, "right") - 1]


def _apart(one: Track | None, other: Track | None, whole: IntervalRecording, without: int) -> Iterator[_Apart]:
    """The stretches over which they differ in one and the same way; what is not there is `without` throughout."""
    there = [track for track in (one, other) if track is not None]
    times = {
        int(row): int(tick) * track.tick for track in there for row, tick in zip(track.rows, track.ticks, strict=True)
    }
    rows = np.array(sorted({0, *times}), np.int64)
    times.setdefault(0, whole.first)
    values = np.stack([_at_rows(track, rows, without) for track in (one, other)])
    for k, row in enumerate(rows.tolist()):
        left, right = int(values[0, k]), int(values[1, k])
        if left != right:
            end = None if k + 1 == len(rows) else int(rows[k + 1])
            yield _Apart(row, end, times[row], None if end is None else times[end], left, right)


# ---- values


def _values(
    path: Path,
    ruleset: m.RuleSet,
    column_map: ColumnMap | None,
    shown: str | None,
    block: int,
    wanted: Mapping[_At, set[str]],
) -> tuple[dict[tuple[_At, str], Fraction | None], dict[_At, int]]:
    """What was read at some rows, and which rows of the file these are."""
    found: dict[tuple[_At, str], Fraction | None] = {}
    file_rows: dict[_At, int] = {}
    if not wanted:
        return found, file_rows
    rows = sorted(wanted)
    segment, start, done = 0, 0, 0
    before: Before | None = None
    for chunk in stream_log(path, column_map, wanted_of(ruleset), shown=shown, block=block).chunks():
        if not chunk.continues:
            segment, start, before = segment + 1, 0, None
        values = Values(ruleset.quantities, chunk.segment, before)
        stop = start + len(chunk.segment)
        while done < len(rows) and rows[done] < (segment, stop):
            at = rows[done]
            file_rows[at] = int(chunk.segment.rows[at[1] - start])
            for variable in wanted[at]:
                found[at, variable] = values.exact(variable, at[1] - start)
            done += 1
        if done == len(rows):
            break
        before, start = values.after(), stop
    return found, file_rows
