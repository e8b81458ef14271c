"""A recorded run that can be asked about any of its rows: what the stepper knew before it, made of what was kept."""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Mapping, Sequence
from copy import copy
from fractions import Fraction

from alertlang.lamps.machine import LampRun
from alertlang.meaning.look import RunLook
from alertlang.meaning.readings import Sample
from alertlang.meaning.stepper import Memory, Stepper
from alertlang.model import ruleset as m
from alertlang.recorded.rows import At, LogSource, RowRead, held_buttons, read_rows, sample_range
from alertlang.replay.intervals import Track
from alertlang.replay.kept import KeptSegment, begun, is_so, pressed_between, spent
from alertlang.why.moment import Key, Moment, Since

_PLACES = {"colour": "colours", "applies": "applies", "alert": "alerts", "violated": "violated"}


class KeptRun:
    """One segment of a log, its number counted from 1."""

    def __init__(self, source: LogSource, number: int, kept: KeptSegment) -> None:
        self.source = source
        self.rules = source.ruleset
        self.number = number
        self.kept = kept
        self._read: dict[At, RowRead] = {}

    def at(self, row: int) -> Moment:
        self.fetch([row])
        here = self.row(row)
        stepper = Stepper(self.rules)
        stepper.memory = self._memory(row - 1)
        before = stepper.memory.copy()
        shown = stepper.step(here.sample)
        buttons = stepper.memory.buttons
        since = self._since(row)
        return Moment(row, shown, RunLook(stepper, shown), before, buttons - before.buttons, buttons, since)

    def after(self, row: int, most: int) -> Sequence[Sample]:
        return sample_range(self.source, self.number, row + 1, row + most)

    def row(self, row: int) -> RowRead:
        """What was read at a row that has been fetched."""
        return self._read[self.number, row]

    def fetch(self, rows: Iterable[int]) -> None:
        """Reads what is not known yet of some rows and of those before them, and where an alert is up at one of them
        of the row at which it came up."""
        wanted: set[At] = set()
        for row in rows:
            starts = [begun(track, row)[0] for track in self.kept.recording.alerts.values() if is_so(track, row)]
            for one in (row, *starts):
                wanted |= {(self.number, before) for before in (one - 1, one) if before >= 0}
        wanted -= self._read.keys()
        if wanted:
            self._read |= read_rows(self.source, wanted)

    # ---- since when

    def _since(self, row: int) -> dict[Key, Since]:
        found: dict[Key, Since] = {}
        for kind, name in _PLACES.items():
            tracks: Mapping[Hashable, Track] = getattr(self.kept.recording, name)
            found |= {(kind, place): Since(*begun(track, row)) for place, track in tracks.items()}
        start = Since(0, self.kept.recording.first)
        for name in self.rules.switches:
            positions = self.kept.recording.positions.get(name)
            found["switch", name] = start if positions is None else Since(*begun(positions, row))
        for rule in self.rules.rules:
            if rule.alert is None:
                # Its alert is never up, as the stepper has it too.
                for index in self.rules.indexes_of(rule):
                    found["alert", (rule.label, index)] = start
        for lamp in self.rules.lamps:
            found["lamp", lamp.text] = self._lamp(lamp, row)[1]
        return found

    # ---- what was known after a row

    def _memory(self, row: int) -> Memory:
        if row < 0:
            return Memory()
        read, truths, recording = self.row(row), self.kept.truths, self.kept.recording
        memory = Memory(read.readings, buttons=held_buttons(self.rules, read.sample))
        memory.true = {name: is_so(track, row) for name, track in recording.conditions.items()}
        since = memory.since

        def lasting(key: object, track: Track, holds: bool = True) -> None:
            if is_so(track, row) is holds:
                since[key] = begun(track, row)[1]

        for name, condition in self.rules.conditions.items():
            wanted = truths["wanted", name]
            lasting(("true", name), wanted)
            lasting(("false", name), wanted, False)
            if condition.until is not None:
                memory.was_set[name] = is_so(wanted, row)
        for held in self.rules.held:
            lasting(held.part, truths["held", held.part])
        for rule in self.rules.rules:
            for index in self.rules.indexes_of(rule):
                place = (rule.label, index)
                if isinstance(rule, m.Band):
                    memory.in_band[place] = is_so(truths["inside", place], row)
                if rule.held is not None:
                    rest = truths["rest", place]
                    if rule.in_total:
                        memory.rest[place] = is_so(rest, row)
                        memory.total[place] = spent(rest, row, read.sample.time)
                    else:
                        lasting(("rest", place), rest)
                if rule.alert is not None:
                    lasting(("alert", place), recording.applies[place])
                    up = recording.alerts[place]
                    if rule.latched and is_so(up, row):
                        memory.latched[place] = self._acknowledged(begun(up, row)[0], row)
        for declared in self.rules.ranges:
            if declared.forbids and declared.except_for is not None:
                for index in self.rules.indexes_of(declared):
                    lasting(("broken", declared.label, index), truths["past", (declared.label, index)])
        memory.lamps = {lamp.text: self._lamp(lamp, row)[0] for lamp in self.rules.lamps}
        return memory

    def _acknowledged(self, start: int, row: int) -> bool:
        """Whether a button that acknowledges was pressed after the row at which an alert came up."""
        names = ("", *self.rules.acknowledge_inputs)
        return any(pressed_between(self.kept.presses.get(name, ()), start, row) for name in names)

    def _lamp(self, lamp: m.PanelLamp, row: int) -> tuple[LampRun, Since]:
        """A lamp after a row, and since when it is as it is."""
        levels = {rule.label: rule.alert.level for rule in self.rules.rules if rule.alert is not None}
        changes: dict[int, list[tuple[Hashable, bool]]] = {0: []}
        times: dict[int, Fraction] = {0: self.kept.recording.first, **self.kept.times}
        for place, track in self.kept.recording.alerts.items():
            if lamp.shows(place[0], levels[place[0]]):
                for interval in track.every():
                    changes.setdefault(interval.start_row, []).append((place, interval.value != 0))
                    times[interval.start_row] = interval.start
        pressed: dict[int, set[str]] = {}
        for button, rows in self.kept.presses.items():
            for pressed_row in rows:
                pressed.setdefault(pressed_row, set()).add(button)
        run, up, since, state = LampRun(lamp), set[Hashable](), Since(0, times[0]), None
        for one in sorted({*changes, *pressed}):
            if one > row:
                break
            for alert, is_up in changes.get(one, ()):
                (up.add if is_up else up.discard)(alert)
            new = run.step(frozenset(up), frozenset(pressed.get(one, ())))
            if new != state:
                state, since = new, Since(one, times[one])
        return copy(run), since
