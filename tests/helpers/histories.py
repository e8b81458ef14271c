"""Small rule sets with every history they can have, counted out: the side of the solver that may be too wide.

`tiny(chance)` draws the text of a rule set about one reading or two, with two values each, and two switches, and with
times of 1 s and 2 s. `Histories(rules)` steps through all that can be shown, second by second: what is remembered is
told apart only as far as these times can, so that there is an end. Then every verdict has an answer to be held against,
in both directions.
"""

from __future__ import annotations

import random
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import partial
from itertools import product

from alertlang.checks.run import Results, run
from alertlang.meaning.instant import Instant, State
from alertlang.meaning.readings import Sample
from alertlang.meaning.stepper import Memory, Shown, Stepper
from alertlang.model import ruleset as m
from alertlang.results.report import Verdict
from tests.helpers.agreeing import Disagreement, watched

HEAD = 'rules "tiny" version 1\nsource NOTE common practice\n'
# Every number is compared with 2: one value below and one above stand for all.
VALUES = (Fraction(1), Fraction(3))
READINGS, SWITCHES = ("a", "b"), {"s": ("y", "z"), "t": ("on", "off")}
# With a deadband of 2 it matters too whether a reading is near: all of 1, and nothing of 0, is near what is above 2.
# And where the ends of a region follow b, in it are 1 to 3 with b at 0, 2 alone with b at 1, and nothing with b at 3.
NEAR = {"a": tuple(Fraction(n) for n in range(5)), "b": (Fraction(0), Fraction(1), Fraction(3))}
CURVES = ("curve low over b: 0 rpm -> 1 rpm, 4 rpm -> 3 rpm", "curve high over b: 0 rpm -> 3 rpm, 4 rpm -> 1 rpm")
TIMES = ("1 s", "2 s")
# No two stretches longer than this are told apart: it is longer than the longest time, and than what a limit allows.
LONG = 3
MOST = 6000


class TooManyError(Exception):
    """More histories than are worth counting."""


# ---- texts


class _Writer:
    def __init__(self, chance: random.Random) -> None:
        self.random = chance
        self.conditions: list[str] = []
        self.names = ["a", "s", *chance.choice(((), (), ("t",), ("b",)))]
        # One set of four goes by a deadband instead of by times, and has ends that cross: a solver that were too wide
        # about one clock would hide behind the others.
        self.keeps = chance.randrange(4) == 0
        if self.keeps:
            self.names = ["a", "b", "s"]

    def maybe(self, percent: int, text: Callable[[], str]) -> str:
        return text() if self.random.randrange(100) < percent else ""

    def timed(self, percent: int, words: str) -> str:
        return self.maybe(0 if self.keeps else percent, lambda: f"{words} {self.time()}")

    def time(self) -> str:
        return self.random.choice(TIMES)

    def region(self) -> str:
        plain = ("above 2 rpm", "at most 2 rpm", "at least 0 rpm")
        crossing = ("from low to high", "from low to high", "outside low to high")
        return self.random.choice((*plain, *crossing) if self.keeps else plain)

    def atom(self) -> str:
        name = self.random.choice([*self.names, *self.conditions, *self.conditions])
        if name in SWITCHES:
            return f"{name} is {self.random.choice(SWITCHES[name])}"
        if name in READINGS:
            return f"{name} {self.random.choice(('above', 'at most'))} 2 rpm"
        return f"{self.random.choice(('', 'not '))}{name}"

    def formula(self) -> str:
        match self.random.randrange(8):
            case 0 | 1:
                return f"({self.atom()}) {self.random.choice(('and', 'or'))} ({self.atom()})"
            case 2 if not self.keeps:
                return f"({self.atom()}) {self.random.choice(('for at least', 'for less than'))} {self.time()}"
        return self.atom()

    def condition(self, name: str) -> str:
        text = f"condition {name} means {self.formula()}"
        text += self.maybe(0 if self.keeps else 35, lambda: f" until {self.formula()}")
        return f"{text}{self.timed(45, ', set after')}{self.timed(45, ', cleared after')}"

    def band(self, label: str) -> str:
        text = f"{label}: {self.maybe(60, lambda: f'when {self.formula()} then ')}"
        text += f"a {self.region()}{self.timed(40, ' for more than')}"
        text += f" is {self.random.choice(('red', 'red', 'yellow', 'green', 'green'))}"
        after = self.timed(25, " after")
        return text + self.maybe(50, lambda: f' with {self.level()} "{label.upper()}"{after}')

    def level(self) -> str:
        return self.random.choice(("warning", "caution"))

    def alert(self, label: str) -> str:
        text = f"{label}: when {self.formula()}{self.timed(35, ' for more than')}"
        return f'{text} then {self.level()} "{label.upper()}"{self.timed(25, " after")}'

    def limit(self, label: str) -> str:
        text = f"{label}: {self.maybe(30, lambda: f'when {self.formula()} ')}limit a at most 2 rpm"
        needs = f", needs {self.level()} within 1 s"
        return f"{text}{self.timed(40, ' except for')}{self.maybe(60, lambda: needs)}, source NOTE"

    def claim(self, label: str) -> str:
        colour = self.random.choice(("red", "yellow", "green"))
        how = self.random.choice(("is", "is at least", "is never", "quiet"))
        said = how if how == "quiet" else f"a {self.region()} {how} {colour}"
        return f"{label}: prove when {self.formula()} then {said}"

    def write(self) -> str:
        some = []
        for number in range(self.random.choice((0, 1, 1, 2))):
            some.append(self.condition(f"c{number + 1}"))
            self.conditions.append(f"c{number + 1}")
        kinds = ((self.band, "b", (1, 4)), (self.alert, "a", (0, 1)), (self.limit, "l", (0, 1)))
        for statement, letter, (least, most) in kinds:
            some += [statement(f"{letter}{n + 1}") for n in range(self.random.randint(least, most))]
        for number in range(self.random.choice((0, 0, 1))):
            some.append(self.claim(f"p{number + 1}"))
        if self.random.randrange(5) == 0:
            some.append(f"s1: assume not (({self.atom()}) and (s is y))")
        kept = ", deadband 2 rpm" if self.keeps else ""
        declared = [f"quantity {n} from 0 to 4 rpm{kept * (n == 'a')}" for n in READINGS if n in self.names]
        declared += [*CURVES] * self.keeps
        declared += [f"switch {name} {', '.join(some)}" for name, some in SWITCHES.items() if name in self.names]
        return HEAD + "".join(f"{line}\n" for line in (*declared, *some))


def tiny(chance: random.Random) -> str:
    return _Writer(chance).write()


# ---- every history


@dataclass(frozen=True)
class Moment:
    """One sample of some history: what there is, what is shown, and for how long each limit has been broken without
    red and without its alert. `before`: the moment before it; `after`: by what there is next."""

    given: int
    shown: Shown
    late: tuple[int, ...]
    before: int | None


class Histories:
    def __init__(self, rules: m.RuleSet) -> None:
        self.rules = rules
        # When it is broken, not when its exception is over.
        self.raw = replace(rules, ranges=tuple(replace(one, except_for=None) for one in rules.ranges))
        self.given = list(self._given())
        self.moments: list[Moment] = []
        self.after: list[dict[int, int]] = []
        self._explore()

    def _given(self) -> Iterator[Sample]:
        rules = self.rules
        read = [q for q in rules.quantities.values() if not q.derived]
        keeps = any(q.deadband is not None for q in read)
        sensors = {q.name: NEAR[q.name] if keeps else VALUES for q in read}
        names, switches = list(sensors), list(rules.switches)
        for values in product(*sensors.values()):
            for places in product(*(rules.switches[name].positions for name in switches)):
                yield Sample(
                    Fraction(0), dict(zip(names, values, strict=True)), dict(zip(switches, places, strict=True))
                )

    def _explore(self) -> None:
        known: dict[object, int] = {}
        pending: list[tuple[int | None, Memory, int]] = [(None, Memory(), 0)]
        while pending:
            before, memory, now = pending.pop()
            for number, given in enumerate(self.given):
                stepper = Stepper(self.raw)
                stepper.memory = memory.copy()
                shown = stepper.step(replace(given, time=Fraction(now)))
                # As proofs take it, with every delay over: what is assumed of a delayed condition is no history's end.
                if not all(shown.conditions[f"kept {one.label} settled"] for one in self.rules.assumptions):
                    continue
                late = self._late(shown, None if before is None else self.moments[before])
                place = known.setdefault((number, _remembered(stepper.memory, now), late), len(self.moments))
                if place == len(self.moments):
                    if place == MOST:
                        raise TooManyError
                    self.moments.append(Moment(number, shown, late, before))
                    self.after.append({})
                    pending.append((place, stepper.memory, now + 1))
                if before is not None:
                    self.after[before][number] = place

    def _late(self, shown: Shown, before: Moment | None) -> tuple[int, ...]:
        """For how many seconds, at most one more than each limit allows, it has been broken without what it needs;
        -1 where it is not."""
        found = []
        for i, (one, missing) in enumerate(self.wanted()):
            is_bad = shown.violated[one.label, None] and missing(shown)
            past = -1 if before is None else before.late[i]
            found.append(min(past + 1, _allowed(one) + 1) if is_bad else -1)
        return tuple(found)

    def wanted(self) -> Iterator[tuple[m.Range, Callable[[Shown], bool]]]:
        for one in self.rules.ranges:
            yield one, partial(_is_not_red, one)
            if one.needs is not None:
                yield one, partial(_is_untold, self.rules, one)

    def resting(self) -> set[int]:
        """Where all comes to if nothing changes any more; an assumption may forbid that it stays so."""
        found: set[int] = set()
        for start in range(len(self.moments)):
            place: int | None = start
            while place is not None and (following := self.after[place].get(self.moments[place].given)) != place:
                place = following
            found |= set() if place is None else {place}
        return found

    def told(self, place: int) -> str:
        """The history up to a moment."""
        found: list[str] = []
        at: int | None = place
        while at is not None:
            given = self.given[self.moments[at].given]
            found.append(" ".join([*(f"{n} {v}" for n, v in given.readings.items()), *given.positions.values()]))
            at = self.moments[at].before
        return ", ".join(reversed(found))


def _allowed(one: m.Range) -> int:
    return int((one.except_for or 0) + one.allowed)


def _is_not_red(one: m.Range, shown: Shown) -> bool:
    return shown.colours[one.quantity, None] is not m.Colour.RED


def _is_untold(rules: m.RuleSet, one: m.Range, shown: Shown) -> bool:
    assert one.needs is not None
    up = (shown.alerts.get((rule.label, None)) for rule in rules.rules_for(one.quantity))
    return not any(alert is not None and alert.level >= one.needs for alert in up)


def _remembered(memory: Memory, now: int) -> object:
    """What can make a difference from here on."""
    since = frozenset((key, min(LONG, int(now - then))) for key, then in memory.since.items())
    set_ones = frozenset(name for name, holds in memory.was_set.items() if holds)
    true_ones = frozenset(name for name, holds in memory.true.items() if holds)
    kept = frozenset(place for place, holds in memory.in_band.items() if holds)
    return since, set_ones, true_ones, kept


# ---- verdicts


def clocks(rules: m.RuleSet) -> int:
    """How many things go by what was before. With one of them the solver has no room: what it says there is some
    history shows. It ties several of them together only where one statement says how, and may say what never comes
    together; that is never less than there is, and is told apart as wider."""
    found = sum(len([d for d in (c.set_after, c.cleared_after, c.until) if d]) for c in rules.conditions.values())
    found += sum(rules.quantities[band.quantity].deadband is not None for band in rules.bands)
    found += len(rules.held) + sum(len([d for d in (rule.held, rule.after) if d]) for rule in rules.rules)
    return found


def verdicts_and_histories(rules: m.RuleSet) -> Iterator[Disagreement]:
    """What `check` says and what every history shows. A kind that begins with `wider` is no disagreement."""
    results = run(rules)
    assert not any(one.undecided for one in results.findings)
    found = {(one.code.code, one.limit or next(iter(one.statements), None)) for one in results.findings}
    if any(code == "AL404" for code, _ in found):
        return
    every = Histories(watched(rules))
    if every.moments:
        yield from _Compared(rules, every, found, results).everything()


class _Compared:
    def __init__(
        self, rules: m.RuleSet, every: Histories, found: set[tuple[str, str | None]], results: Results
    ) -> None:
        self.rules, self.every, self.found, self.results = rules, every, found, results
        self.rest = every.resting()
        # A memory may be either way between its two parts, also where nothing ever sets it: stuck-condition says that.
        stuck = any("can never become true" in one.message for one in results.findings if one.code.code == "AL407")
        self.exact = clocks(rules) <= 1 and not stuck

    def some(self, test: Callable[[Shown], bool], *, at_rest: bool = False) -> int | None:
        """The first moment at which something is so."""
        moments = self.every.moments
        return next(
            (i for i in (sorted(self.rest) if at_rest else range(len(moments))) if test(moments[i].shown)), None
        )

    def said(self, *codes: str, of: str | None = None) -> bool:
        return any(code in codes and of in {None, label} for code, label in self.found)

    def compare(self, what: str, said: bool, must: int | None, may: int | None) -> Iterator[Disagreement]:
        """`must`: a moment at which it is so, and then it has to be said; `may`: one without which it must not be."""
        if must is not None and not said:
            yield f"{what}: only seen", self.every.told(must)
        if may is None and said:
            yield f"{'' if self.exact else 'wider, '}{what}: only said", ""

    def everything(self) -> Iterator[Disagreement]:
        rules = self.rules
        if rules.bands:
            blank = self.some(lambda shown: shown.colours["a", None] is None)
            yield from self.compare("blank", self.said("AL201", "AL207"), blank, blank)
        for rule in rules.rules:
            if isinstance(rule, m.Band):
                seen = self.some(partial(_shows, rule))
                yield from self.compare("a band shows", not self.said("AL203", of=rule.label), seen, seen)
            if rule.alert is not None:
                seen = self.some(partial(_alerts, rule.label))
                yield from self.compare("an alert comes up", not self.said("AL504", of=rule.label), seen, seen)
        for name in rules.conditions:
            for holds, word in ((True, "can never become true"), (False, "stays true for ever")):
                says = any(
                    one.code.code in {"AL401", "AL407"} and one.statements[:1] == (name,) and word in one.message
                    for one in self.results.findings
                )
                seen = self.some(partial(_is, name, holds))
                yield from self.compare(f"a condition is {holds}", not says, seen if holds else None, 0)
        if rules.bands:
            for i, (one, missing) in enumerate(self.every.wanted()):
                yield from self._limit(one, missing, i)
        for claim, result in zip(rules.claims, self.results.claims, strict=True):
            if result.verdict is not Verdict.VACUOUS:
                yield from self._claim(claim, result.verdict is Verdict.REFUTED)

    def _limit(self, one: m.Range, missing: Callable[[Shown], bool], number: int) -> Iterator[Disagreement]:
        if self.said("AL405", of=one.label):
            return
        kind, code = ("red", "AL301") if number == 0 else ("alert", "AL302")

        def is_bad(shown: Shown) -> bool:
            return shown.violated[one.label, None] and missing(shown)

        # An alert that is up already is missing too: news has a count of its own.
        once = self.some(is_bad) if number == 0 else 0
        yield from self.compare(f"{kind} missing", self.said(code, of=one.label), self.some(is_bad, at_rest=True), once)
        moments = self.every.moments
        late = next((i for i, moment in enumerate(moments) if moment.late[number] > _allowed(one)), None)
        said = self.said("AL301", "AL302", "AL303", "AL310", "AL313", of=one.label)
        yield from self.compare(f"{kind} in time", said, late, 0)

    def _claim(self, claim: m.Claim, refuted: bool) -> Iterator[Disagreement]:
        def is_wrong(shown: Shown) -> bool:
            if not shown.conditions.get(f"case of {claim.label}", True):
                return False
            if claim.kind == "quiet":
                return any(text.level >= m.Level.CAUTION for text in shown.alerts.values())
            colour = shown.colours["a", None]
            assert claim.region is not None
            assert claim.colour is not None
            there = Instant(self.rules, State({n: v for n, v in shown.values.items() if v is not None}, {}))
            if not there.is_in_region("a", None, claim.region):
                return False
            if claim.kind == "at_least":
                return colour is None or colour.rank < claim.colour.rank
            return (colour is claim.colour) is (claim.kind == "never")

        never = self.some(is_wrong, at_rest=True)
        yield from self.compare(f"claim {claim.kind} refuted", refuted, never, self.some(is_wrong))


def _alerts(label: str, shown: Shown) -> bool:
    return (label, None) in shown.alerts


def _is(condition: str, holds: bool, shown: Shown) -> bool:
    return shown.conditions[condition] is holds


def _shows(band: m.Band, shown: Shown) -> bool:
    colour = shown.colours["a", None]
    return shown.applies[band.label, None] and colour is not None and colour.rank == band.colour.rank
