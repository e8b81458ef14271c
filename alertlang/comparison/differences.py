"""One subject asked about in every view, and its differences told."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import replace
from fractions import Fraction

from alertlang.checks.context import Cases, FaultCase
from alertlang.comparison.joint_context import STEADY, Sides, View
from alertlang.comparison.over_time import OverTime
from alertlang.comparison.recordings import after_seconds, on
from alertlang.comparison.subjects import ComparedSubject, Pair, Value, alert_words, direction, order, word
from alertlang.comparison.written import WHAT
from alertlang.findings.finding import Region, WitnessTruth
from alertlang.logic.solver import Answer
from alertlang.logic.terms import FALSE, TRUE, Term, both, negate
from alertlang.meaning.instant import Instant
from alertlang.model import ruleset as m
from alertlang.model import snapshot as s
from alertlang.output.comparison import new_words, truth_words
from alertlang.results.comparison import Change, Direction, RecordedMoment

# Regions told of one kind of difference; once a comparison has many, one of each direction for each subject.
_MOST = 3
_MANY = 24


def told(sides: Sides, subject: ComparedSubject) -> list[Change]:
    """All differences of a subject. None is a proof that there is none."""
    return _Telling(sides, subject).changes()


class _Telling:
    def __init__(self, sides: Sides, subject: ComparedSubject) -> None:
        self.sides = sides
        self.subject = subject
        self.pairs = subject.pairs()
        self.found: list[Change] = []
        self.over_time = OverTime(sides, subject)
        # A region that no recording led to was found; how that may be is left to what differs over time.
        self.left_open = False
        self.formulas = tuple(
            formula for side in subject.sources for rule, _ in side for formula in (rule.joint.when, rule.joint.unless)
        )

    def changes(self) -> list[Change]:
        self.over_time.tie(STEADY)
        self._steady()
        self._reactions()
        if self.left_open or self.subject.goes_by_time(self.sides):
            self.found += self.over_time.changes("timing", frozenset(), self.found)
        self._failures()
        return self.found

    # ---- views

    def _steady(self) -> None:
        """Everything with a clock over: each kind of difference by itself, or in brief where there are many."""
        if self.sides.regions_told >= _MANY:
            self._directions(STEADY)
            return
        if self._possible(self.subject.differs(self.sides, self.pairs, STEADY)) is Answer.NO:
            return
        # First what the one side shows where the other differs: that leaves few pairs to ask about.
        shown = [value for value in self.subject.values(0) if self._differs_from(value)]
        for pair in self.pairs:
            if pair[0] not in shown:
                continue
            goal = self.subject.differs(self.sides, [pair], STEADY)
            cases = self._cases(goal, self._is(lambda seen, pair=pair: seen == pair, STEADY), _MOST)  # type: ignore[misc]
            self._tell(cases, self.subject.kind, "", STEADY)

    def _differs_from(self, value: Value) -> bool:
        pairs = [pair for pair in self.pairs if pair[0] == value]
        return self._possible(self.subject.differs(self.sides, pairs, STEADY)) is not Answer.NO

    def _directions(self, view: View) -> None:
        """One region for each direction."""
        for way in Direction:
            pairs = [pair for pair in self.pairs if direction(pair) is way]
            if self._possible(self.subject.differs(self.sides, pairs, view)) is not Answer.NO:
                self._first(pairs, TRUE, view, self.subject.kind, "")

    def _first(self, pairs: list[Pair], more: Term, view: View, kind: str, sensor: str) -> None:
        """One region of the first of some pairs that occurs: in all of it the same instead of the same. `sensor`: the
        one that has failed there, or none."""
        # What moves furthest says more than the one point where two bands meet.
        pairs = sorted(pairs, key=lambda pair: -abs(order(pair[0]) - order(pair[1])))
        for i, pair in enumerate(pairs):
            goal = both(self.subject.differs(self.sides, [pair], view), more)
            cases = self._cases(goal, self._is(lambda seen, pair=pair: seen == pair, view), 1)  # type: ignore[misc]
            if not cases.found and not cases.undecided:
                continue
            rest = both(self.subject.differs(self.sides, pairs[i + 1 :], view), more)
            others = not cases.complete or self._possible(rest) is not Answer.NO
            self._tell(replace(cases, complete=not others), kind, sensor, view, more)
            return

    def _failures(self) -> None:
        """With each sensor failed what is no difference while it works; then with any of them, all clocks open."""
        sensors = frozenset(self._sensors())
        if not sensors:
            return
        view = View(True, s.told_without(sensors))
        self.over_time.tie(view)
        gone = {sensor: self.sides.encoder.names.flag(s.failed_flag(sensor), TRUE) for sensor in sorted(sensors)}
        ways = self._failing(view)
        names = self.sides.encoder.names
        back = [names.flag(name, TRUE) for name in sorted(names.flags) if name.endswith(s.MISSED)]
        # Where much differs, what differs only with a sensor failed is told of all sensors at once, at the end.
        for sensor in gone if ways and self.sides.regions_told < _MANY else ():
            others = (flag for other, flag in gone.items() if other != sensor)
            alone = both(gone[sensor], *(negate(flag) for flag in (*others, *back)))
            for way in ways:
                pairs = [pair for pair in self.pairs if direction(pair) is way]
                plain = self.subject.differs(self.sides, pairs, STEADY)
                left = both(alone, negate(plain))
                if self._possible(both(self.subject.differs(self.sides, pairs, view), left)) is not Answer.NO:
                    self._first(pairs, left, view, "failure", sensor)
        self.found += self.over_time.changes("failure", sensors, self.found)

    def _failing(self, view: View) -> list[Direction]:
        """The directions in which something differs only with some sensors failed, however many."""
        found = []
        for way in Direction:
            pairs = [pair for pair in self.pairs if direction(pair) is way]
            plain = self.subject.differs(self.sides, pairs, STEADY)
            goal = both(self.subject.differs(self.sides, pairs, view), negate(plain))
            if self._possible(goal) is not Answer.NO:
                found.append(way)
        return found

    def _sensors(self) -> set[str]:
        rules = self.sides.ruleset
        found: set[str] = set()
        for side in self.subject.sources:
            for rule, index in side:
                read: list[tuple[str, int | None]] = [
                    (name, None) for name in rules.quantities_read(rule.joint.when, rule.joint.unless)
                ]
                if isinstance(rule.joint, m.Band):
                    read.append((rule.joint.quantity, index))
                    read += [(b.quantity, index) for b in rule.joint.region.moving]
                for name, element in read:
                    indexes = (element,) if element is not None else rules.quantities[name].indexes
                    for i in indexes:
                        found |= rules.sensors_read(name, i)
        return found

    # ---- times

    def _reactions(self) -> None:
        """In steady states that both call out: whether one side takes longer."""
        subject = self.subject
        for least in (3, 2, 1) if subject.kind == "alert" else (3, 2):
            delays = [
                {subject.delay(r) for r, _ in subject.sources[side] if order(subject._value_of(r)) >= least}
                for side in (0, 1)
            ]
            if delays[0] == delays[1] == {Fraction(0)} or not delays[0] or not delays[1]:
                continue
            for slow, way in ((1, Direction.LESS), (0, Direction.MORE)):
                # What is so of a warning need not be said of a caution too.
                if subject.kind == "alert" and any(o.kind == "reaction" and o.direction is way for o in self.found):
                    continue
                self._slower(least, slow, way, sorted(delays[1 - slow]))

    def _slower(self, least: int, slow: int, way: Direction, delays: Iterable[Fraction]) -> None:
        subject, sides = self.subject, self.sides
        worse = {3: subject.term(sides, slow, m.Colour.RED, STEADY)} if subject.kind == "colour" else {}
        for seconds in delays:
            goal = both(
                subject.within(sides, 1 - slow, least, seconds, STEADY),
                subject.within(sides, slow, least, None, STEADY),
                negate(subject.within(sides, slow, least, seconds, STEADY)),
            )
            if least == 2 and worse:
                # What turns red later has been told.
                goal = both(goal, negate(subject.within(sides, 1 - slow, 3, seconds, STEADY)))
            if self._possible(goal) is Answer.NO:
                continue

            def confirm(instant: Instant, limit: Fraction = seconds) -> bool:
                quick = subject.soonest(sides, 1 - slow, least, instant, STEADY)
                late = subject.soonest(sides, slow, least, instant, STEADY)
                return quick is not None and late is not None and quick <= limit < late

            cases = self._cases(goal, confirm, 1)
            if self._undecided(cases):
                continue
            for case in cases.found:
                instant = sides.instant(case.model)
                times = [subject.soonest(sides, side, least, instant, STEADY) for side in (0, 1)]
                assert times[0] is not None
                assert times[1] is not None
                # Between the two times, since the beginning of this state. Delays of conditions may turn it round.
                shown = after_seconds(sides, subject, instant, (times[0] + times[1]) / 2)
                levels = [order(subject.shown(sides, side, shown[side])) for side in (0, 1)]
                if not levels[slow] < least <= levels[1 - slow]:
                    continue
                sides.regions_told += 1
                what = self._what(least)
                said = [m.in_seconds(t) if t else "at once" for t in times if t is not None]
                before, after = (f"after {t}" if t != "at once" else t for t in said)
                where = self._where(case)
                self.found.append(
                    Change(
                        "reaction",
                        subject.name,
                        way,
                        f"{what} {after} instead of {before}{where}",
                        f"{what} {after} instead of {before}",
                        before,
                        after,
                        case.witness,
                        case.region,
                        complete=cases.complete,
                        covers=subject.mentions(sides, on(shown)),
                    )
                )
            return

    def _what(self, least: int) -> str:
        if self.subject.kind == "colour":
            return f"{self.subject.name} turns {'red' if least == 3 else 'yellow'}"
        level = m.Level(least)
        return f'{level.word} "{self.subject.name}" comes up'

    # ---- asking

    def _possible(self, goal: Term) -> Answer:
        return Answer.NO if goal is FALSE else self.sides.is_satisfiable(goal)

    def _cases(self, goal: Term, confirm: Callable[[Instant], bool], most: int) -> Cases:
        if goal is FALSE:
            return Cases((), True, False)
        return self.sides.cases(goal, confirm, primary=self.subject.primary, formulas=self.formulas, most=most)

    def _is(self, test: Callable[[Pair], bool], view: View) -> Callable[[Instant], bool]:
        return lambda instant: test(self.subject.seen(self.sides, instant, view))

    def _undecided(self, cases: Cases) -> bool:
        if not cases.undecided:
            return False
        name = self.subject.name if self.subject.kind == "colour" else f'"{self.subject.name}"'
        if not any(change.undecided for change in self.found):
            self.found.append(
                Change(
                    self.subject.kind,
                    self.subject.name,
                    Direction.OTHER,
                    f"{name} was not decided, so it may differ: the solver gave up (--work-limit says how soon)",
                    f"{name} not decided",
                    undecided=True,
                )
            )
        return not cases.found

    def _tell(self, cases: Cases, kind: str, sensor: str, view: View, more: Term = TRUE) -> None:
        self._undecided(cases)
        for case in cases.found:
            instant = self.sides.instant(case.model)
            seen = self.subject.seen(self.sides, instant, view)
            own = self.sides.instants(instant, view)
            covers = self._mentions(own)
            is_open = self.over_time.is_open(case.box, view)
            # What is open is told by the recording.
            shown = replace(case, region=_without_truths(case.region)) if is_open else case
            message, short = self._sentence(shown, seen, f"with {sensor} failed, " if sensor else "")
            history: tuple[RecordedMoment, ...] = ()
            if is_open:
                recording = self.over_time.recording(seen, view, sensor, more)
                if recording is None:
                    # Whether it is so at all is asked of recordings, not of this state.
                    self.left_open = True
                    continue
                history, lasts = recording[0].moments, recording[1]
                if not lasts:
                    message = f"for a time, {message}"
                    kind = kind if sensor else "timing"
            self.sides.regions_told += 1
            self.found.append(
                Change(
                    kind,
                    self.subject.name,
                    direction(seen),
                    message,
                    short,
                    word(seen[0], self.subject.kind),
                    word(seen[1], self.subject.kind),
                    case.witness,
                    case.region,
                    # The last one says that there are more.
                    complete=cases.complete or case is not cases.found[-1],
                    history=history,
                    covers=covers,
                )
            )

    def _mentions(self, own: tuple[Instant, Instant]) -> frozenset[tuple[str, str]]:
        """The statements that make the difference. What does not last tells nothing of their times."""
        found = self.subject.mentions(
            self.sides, lambda side, rule, index: (self.sides.applied(rule, index, own[side]),)
        )
        return frozenset((key, part) for key, part in found if part == WHAT)

    def _sentence(self, case: FaultCase, seen: Pair, before: str) -> tuple[str, str]:
        subject = self.subject
        text, other = (word(value, subject.kind) for value in seen)
        rest = self._whenever(case)
        if subject.kind == "colour":
            stretch = self._stretch(case)
            said = f"{before}{subject.name}{stretch} is {other} instead of {text}"
            return said + rest, f"{before}{subject.name} {other} instead of {text}{stretch}"
        said, short = alert_words(subject.name, seen)
        return f"{before}{said}{self._where(case)}", f"{before}{short}{self._at(case)}"

    def _stretch(self, case: FaultCase) -> str:
        if self.subject.primary is None or self.subject.primary not in case.box.readings:
            return ""
        return " " + self.sides.words.stretch(self.subject.primary, case.box.readings[self.subject.primary])

    def _at(self, case: FaultCase) -> str:
        stretch = self._stretch(case)
        return f" with {self.subject.primary}{stretch}" if stretch else ""

    def _whenever(self, case: FaultCase) -> str:
        truths = {
            name: part.holds
            for name, part in case.region.items()
            if isinstance(part, WitnessTruth) and not name.endswith(s.FAILED)
        }
        rest = {name: part for name, part in case.region.items() if not isinstance(part, WitnessTruth)}
        said = new_words(self.sides.words.whenever(rest, self.subject.primary))
        open_ones = " and ".join(truth_words(name, holds) for name, holds in truths.items())
        if not open_ones:
            return said
        return f"{said} and {open_ones}" if said else f" whenever {open_ones}"

    def _where(self, case: FaultCase) -> str:
        return self._at(case) + self._whenever(case)


def _without_truths(region: Region) -> Region:
    return {name: part for name, part in region.items() if not isinstance(part, WitnessTruth)}
