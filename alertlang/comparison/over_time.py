"""What differs for a time: proved never to, or told with a recording that shows it, or told as not decided."""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction

from alertlang.comparison.clocks import implied_unpressed, unshared
from alertlang.comparison.joint_context import Sides, View
from alertlang.comparison.recordings import Search, WitnessRecording
from alertlang.comparison.subjects import ComparedSubject, Pair, alert_words, direction, word
from alertlang.logic.explore import Box
from alertlang.logic.history import Clock
from alertlang.logic.solver import Answer
from alertlang.logic.terms import FALSE, TRUE, Flag, Term, both, disjunction, negate
from alertlang.model import ruleset as m
from alertlang.model import snapshot as s
from alertlang.results.comparison import Change, Direction

_MOST_MISSED = 2


class OverTime:
    """One subject with its clocks."""

    def __init__(self, sides: Sides, subject: ComparedSubject) -> None:
        self.sides = sides
        self.subject = subject
        # By identity: to compare statements means to compare their formulas.
        self._which = list({id(rule): rule for side in subject.sources for rule, _ in side}.values())
        self._known: dict[s.FaultModel, dict[str, Clock]] = {}
        # Searches that found nothing: after some, another one seldom does.
        self._missed = 0

    def known(self, mode: s.FaultModel) -> dict[str, Clock]:
        """The clocks of everything that the subject may read."""
        found = self._known.get(mode)
        if found is None:
            found = self._known[mode] = self.sides.clocks(mode, self._which)
        return found

    def reads(self, view: View) -> tuple[frozenset[str], frozenset[str]]:
        """What either side reads."""
        found = [
            frozenset[str]().union(*(self.subject.part(self.sides, source, view).reads for source in side))
            for side in self.subject.sources
        ]
        return found[0], found[1]

    def tie(self, view: View) -> None:
        """The clocks of the two sides, where one is proved to hold only with another."""
        reads = self.reads(view)
        if self._unshared(reads):
            self.sides.tie(self.known(view.mode), reads)

    def _unshared(self, reads: tuple[frozenset[str], frozenset[str]]) -> frozenset[str]:
        """Open truths that only one side has."""
        encoder = self.sides.encoder
        first, second = (encoder.definitions_for(side)[0] for side in reads)
        return frozenset(name for name in first ^ second if encoder.is_flag(name) and not name.endswith(s.FAILED))

    def is_open(self, box: Box, view: View) -> bool:
        """A region rests on an open truth that only one side has, or on one that is told without a sensor."""
        flags = {name for name in box.flags if not name.endswith(s.FAILED)}
        return bool(flags) and (bool(view.mode.may_fail) or not flags.isdisjoint(self._unshared(self.reads(view))))

    # ---- recordings

    def recording(self, pair: Pair, view: View, failed: str, more: Term) -> tuple[WitnessRecording, bool] | None:
        """A recording at whose last sample the two sides show a pair (and `more` holds), and whether they go on to.
        `failed`: the one sensor that is missing there, or none; `view` says which others might be."""
        if self._missed >= _MOST_MISSED:
            return None
        view = self.sides.open_view(view.mode.may_fail)
        gone = self.sides.encoder.names.flag(s.failed_flag(failed), TRUE) if failed else TRUE
        goal = both(self.subject.differs(self.sides, [pair], view), gone, more)
        encoder, known = self.sides.encoder_in(view), self.known(view.mode)
        search = Search(self.sides, self.subject)
        may_fail = frozenset((failed,)) if failed else frozenset[str]()
        for still in (True, False):
            found = search.find(goal, encoder, known, lambda seen: seen == pair, may_fail=may_fail, still=still)
            if found is not None:
                return found, still
        self._missed += 1
        return None

    def changes(self, kind: str, sensors: frozenset[str], told: list[Change]) -> list[Change]:
        """One change for each direction that is not told yet. `sensors`: those that may fail."""
        view = self.sides.open_view(sensors)
        ways = [way for way in Direction if not any(c.direction is way and not c.undecided for c in told)]
        causes = self.subject.delays(self.sides)
        if causes:
            ways = [way for way in ways if any((cause, way) not in self.sides.delays_told for cause in causes)]
        # What is not decided is said of the subject as a whole, and nothing more is looked for.
        if not ways or any(change.undecided for change in told):
            return []
        self.tie(view)
        found: list[Change] = []
        for way in ways:
            pairs = [pair for pair in self.subject.pairs() if direction(pair) is way]
            goal = self.subject.differs(self.sides, pairs, view)
            if goal is FALSE or self.sides.is_satisfiable(goal) is Answer.NO:
                continue
            # What differs only once it was acknowledged sooner on one side was seen there.
            seen_sooner = way is not Direction.OTHER and self._never_unpressed(goal, view)
            recording = self._shortest(goal, view, pairs, sensors)
            if recording is None:
                return [*found, *self.not_decided(kind)]
            if not seen_sooner:
                found.append(self._change(kind, way, recording, causes))
                self.sides.delays_told.update((cause, way) for cause in causes)
            elif not any(change.direction is Direction.OTHER for change in (*told, *found)):
                found.append(self._change(kind, Direction.OTHER, recording, ()))
        return found

    def _never_unpressed(self, goal: Term, view: View) -> bool:
        """Proved: it takes a press that acknowledges what is up on one side, and on the other not yet."""
        known = self.known(view.mode)
        names = [self.sides.encoder.definitions_for(side)[0] for side in self.reads(view)]
        ties: list[Term] = []
        for pair in unshared((names[0], names[1]), known):
            for inner, outer in (pair, pair[::-1]):
                if implied_unpressed(known[inner], known[outer], self.sides.never):
                    ties.append(disjunction((negate(Flag(inner)), Flag(outer))))
        return bool(ties) and self.sides.is_satisfiable(both(goal, *ties)) is Answer.NO

    def _shortest(self, goal: Term, view: View, pairs: list[Pair], sensors: frozenset[str]) -> WitnessRecording | None:
        encoder, known = self.sides.encoder_in(view), self.known(view.mode)
        search = Search(self.sides, self.subject)
        # Best without a press, and with one sensor that fails.
        ways = [(False, True)]
        if any(rule.own.latched for rule in self._which):
            ways.append((True, True))
        if len(sensors) > 1:
            ways.append((True, False))
        for presses, alone in ways:
            found = search.find(
                goal, encoder, known, lambda seen: seen in pairs, may_fail=sensors, one_at_most=alone, presses=presses
            )
            if found is not None:
                return found
        return None

    # ---- words

    def _change(self, kind: str, way: Direction, recording: WitnessRecording, causes: Iterable[str]) -> Change:
        subject, history, seen = self.subject, recording.moments, recording.seen
        self.sides.regions_told += 1
        text, other = (word(value, subject.kind) for value in seen)
        said = short = f"{subject.name} is {other} instead of {text}"
        if subject.kind == "alert":
            said, short = alert_words(subject.name, seen)
        failed = sorted({sensor for moment in history for sensor in moment.failed})
        before = f"with {' and '.join(failed)} failed, " if failed else ""
        message = f"{before}for a time, {said}"
        if way is Direction.OTHER and direction(seen) is not way:
            message += ", as it was acknowledged sooner on one side"
        short = f"{before}for a time, {short}"
        why = [*(self._delay_words(cause) for cause in causes), *self._time_words(way)]
        if why and not failed:
            message, short, kind = f"{message} ({why[0]})", why[0], "reaction"
        elif not failed:
            kind = "timing"
        covers = recording.mentions | {
            (f"condition {self.sides.joint.delays[cause]}", part)
            for cause in causes
            for part in ("set_after", "cleared_after")
        }
        return Change(
            kind, subject.name, way, message, short, text, other, history[-1].facts, history=history, covers=covers
        )

    def _delay_words(self, name: str) -> str:
        joint = self.sides.joint
        mine, now = joint.first.conditions[joint.delays[name]], joint.ruleset.conditions[name]
        said = []
        for field in ("set_after", "cleared_after"):
            was, now_is = (getattr(c, field) or Fraction(0) for c in (mine, now))
            if was != now_is:
                said.append(f"{field.replace('_', ' ')} {m.in_seconds(now_is)} instead of {m.in_seconds(was)}")
        return f"condition {mine.name} is {' and '.join(said)}"

    def _time_words(self, way: Direction) -> list[str]:
        """Times of statements that both sides have, where they alone would make it so."""
        found: list[str] = []
        rules = {id(rule) for rule in self._which}
        for pair in self.sides.joint.pairs:
            one, other = pair[0].own, pair[1].own
            if id(pair[0]) not in rules or id(pair[1]) not in rules:
                continue
            if one.latched != other.latched and way is (Direction.MORE if other.latched else Direction.LESS):
                stays = "stays" if other.latched else "no longer stays"
                found.append(f"{other.label} {stays} up until it is acknowledged")
            for field, words in (("held", "for more than"), ("after", "alert after")):
                was, now = (getattr(rule, field) or Fraction(0) for rule in (one, other))
                if was != now and way is (Direction.LESS if now > was else Direction.MORE):
                    said = [f"{words} {m.in_seconds(time)}" if time else "at once" for time in (now, was)]
                    found.append(f"{other.label}: {said[0]} instead of {said[1]}")
            total = way is (Direction.MORE if other.in_total else Direction.LESS)
            if one.in_total != other.in_total and one.held and other.held and total:
                found.append(f"{other.label} counts breaks {'out' if other.in_total else 'as a new start'}")
        return found

    def not_decided(self, kind: str) -> list[Change]:
        """Neither a recording that shows it nor a proof that there is none."""
        name = self.subject.name if self.subject.kind == "colour" else f'"{self.subject.name}"'
        failed = "with a sensor failed, " if kind == "failure" else ""
        message = (
            f"{failed}{name} may differ for a time in more than what is told: no recording of a few samples was found "
            "that shows it, and no proof that there is none"
        )
        return [
            Change(kind, self.subject.name, Direction.OTHER, message, f"{failed}{name} not decided", undecided=True)
        ]
