"""Alarm-quality metrics: how much a rule set nags, counted as published and each with what says so.

The published figures are for plants that run day and night; a flight of two hours says little about a day. They are a
yardstick for comparing two rule sets over the same runs, never a requirement on an aircraft.

Counted are the times at which an alert comes up, each statement and each element of an array for itself. A run that has
several segments is counted segment by segment: nothing is known of the time between them.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction

from alertlang.model.ruleset import Level

MINUTE = Fraction(60)
TEN_MINUTES = Fraction(600)
HOUR = Fraction(3600)
DAY = Fraction(86400)

# Flood: begins with more than this many in ten minutes, ends below that many.
FLOOD_ABOVE = 10
FLOOD_ENDS_BELOW = 5
# Chattering: so many times up and gone within a minute.
CHATTER = 3
# "A few seconds" has no published number; ours is common practice, no source.
FEW_SECONDS = Fraction(5)

ISA_REPORTED = "ANSI/ISA-18.2 practice, as reported in trade articles"
IEC = "IEC 62682:2014 and ANSI/ISA-18.2-2009 (dropped from ANSI/ISA-18.2-2016)"
SURVEY = "EEMUA 191, after a survey of 1998, as reported in a trade article"
ISA_2009 = "ANSI/ISA-18.2-2009"
OPC = "OPC 10000-9, 9.3"
SECOND_HAND, MEMORY, DOCUMENT, OURS = "second hand", "from memory", "document", "common practice, no source"


@dataclass(frozen=True, slots=True)
class Raised:
    """One time an alert was up, from the sample at which it came to the first at which it was gone; `end` none where it
    was still up at the last sample. Times in seconds. `acknowledged`: when the button was first pressed meanwhile, if
    it was."""

    statement: str
    element: int | None
    level: Level
    start: Fraction
    end: Fraction | None
    acknowledged: Fraction | None = None


@dataclass(frozen=True, slots=True)
class MetricsRun:
    """What one segment showed. `first` and `last`: the times of its first and last samples, in seconds."""

    first: Fraction
    last: Fraction
    raised: tuple[Raised, ...]

    @property
    def seconds(self) -> Fraction:
        return self.last - self.first


@dataclass(frozen=True, slots=True)
class Benchmark:
    """A published figure to hold a number against. `most`: what the number should not pass (or, with `below`, not even
    reach)."""

    words: str
    source: str
    status: str
    most: Fraction | None = None
    below: bool = False

    def met(self, value: Fraction) -> bool | None:
        """Whether a number keeps to it; none where it gives no number."""
        if self.most is None:
            return None
        return value < self.most if self.below else value <= self.most


@dataclass(frozen=True, slots=True)
class Definition:
    """What a number counts, in words, and where the definition is from."""

    words: str
    source: str
    status: str
    benchmarks: tuple[Benchmark, ...] = ()


DEFINITIONS: dict[str, Definition] = {
    "alerts": Definition("times that an alert came up", OPC, DOCUMENT),
    "alerts_per_hour": Definition(
        "those times, over the hours recorded",
        OPC,
        DOCUMENT,
        (
            Benchmark("1 in 10 minutes: very likely to be acceptable", SURVEY, SECOND_HAND, Fraction(6)),
            Benchmark("about 144 a day", IEC, SECOND_HAND, Fraction(6)),
            Benchmark("150 a day: can be managed", ISA_REPORTED, SECOND_HAND, Fraction(150, 24)),
        ),
    ),
    "worst_10_min": Definition(
        "most times that an alert came up within any 10 minutes",
        OPC,
        DOCUMENT,
        (Benchmark("at most 10", ISA_2009, MEMORY, Fraction(10)),),
    ),
    "floods": Definition(
        "stretches that begin with more than 10 in 10 minutes",
        ISA_REPORTED,
        SECOND_HAND,
        (Benchmark("none", ISA_REPORTED, SECOND_HAND, Fraction(0)),),
    ),
    "flood_share": Definition(
        "share of the time in floods; a flood ends with fewer than 5 in 10 minutes",
        ISA_REPORTED,
        SECOND_HAND,
        (Benchmark("below 1 %", ISA_REPORTED, SECOND_HAND, Fraction(1, 100), below=True),),
    ),
    "chattering": Definition(
        "alerts that came up and were gone 3 times or more within a minute",
        ISA_REPORTED,
        SECOND_HAND,
        (Benchmark("none", ISA_REPORTED, SECOND_HAND, Fraction(0)),),
    ),
    "fleeting": Definition(
        "alerts that were gone within 5 s, not acknowledged, and did not come again within a minute",
        f"{ISA_REPORTED}; the 5 s and the minute: {OURS}",
        SECOND_HAND,
    ),
    "stale": Definition(
        "alerts that were up for more than 24 h without a break",
        ISA_REPORTED,
        SECOND_HAND,
        (Benchmark("fewer than 5 on any day", ISA_2009, MEMORY, Fraction(5), below=True),),
    ),
    "warning_share": Definition(
        "share of warnings among all alerts that came up",
        ISA_REPORTED,
        SECOND_HAND,
        (
            Benchmark("below 5 %", ISA_REPORTED, SECOND_HAND, Fraction(1, 20), below=True),
            Benchmark("80/15/5 of low, medium and high priority", ISA_2009, MEMORY),
        ),
    ),
    "longest_up": Definition("longest time that one alert was up", OPC, DOCUMENT),
    "longest_unacknowledged": Definition(
        "longest time that one alert was up before it was acknowledged or gone", OPC, DOCUMENT
    ),
    "most_repeats": Definition("most times that one alert came up again", OPC, DOCUMENT),
    "top_share": Definition(
        "share of the ten alerts that came up most among all",
        ISA_2009,
        MEMORY,
        (Benchmark("1 to 5 % (of a plant with many alerts)", ISA_2009, MEMORY),),
    ),
}


FLIGHT = frozenset(
    {"alerts", "alerts_per_hour", "chattering", "fleeting", "longest_up", "longest_unacknowledged", "most_repeats"}
)
"""Those that say something of a flight; the others count by days, by the ten minutes of somebody at a desk, or by the
priorities of a plant."""


@dataclass(frozen=True, slots=True)
class Metrics:
    """The numbers, in the order of DEFINITIONS. Those that name alerts do so by label (`cht_hot[3]` for an element).
    A rate over no time at all is none. `by_level`: how many of each level, the gravest first."""

    seconds: Fraction
    alerts: int
    alerts_per_hour: Fraction | None
    worst_10_min: int
    floods: int
    flood_share: Fraction | None
    chattering: tuple[str, ...]
    fleeting: tuple[str, ...]
    stale: tuple[str, ...]
    warning_share: Fraction | None
    longest_up: Fraction
    longest_unacknowledged: Fraction
    most_repeats: int
    top_share: Fraction | None
    by_level: tuple[tuple[Level, int], ...]

    def number(self, name: str) -> Fraction | None:
        """A number as the benchmarks take it: of names, how many."""
        value = getattr(self, name)
        if value is None:
            return None
        return Fraction(len(value)) if isinstance(value, tuple) else Fraction(value)


def name_of(raised: Raised) -> str:
    """How an alert is called in lists."""
    return raised.statement if raised.element is None else f"{raised.statement}[{raised.element}]"


def measured(runs: Iterable[MetricsRun]) -> Metrics:
    """The metrics over all runs together."""
    runs = tuple(runs)
    everything = [raised for run in runs for raised in run.raised]
    seconds = sum((run.seconds for run in runs), Fraction(0))
    count = len(everything)
    per_alert = Counter(name_of(raised) for raised in everything)
    per_level = Counter(raised.level for raised in everything)
    flooded = [flood for run in runs for flood in floods(run)]
    in_floods = sum((end - start for start, end in flooded), Fraction(0))
    return Metrics(
        seconds=seconds,
        alerts=count,
        alerts_per_hour=count * HOUR / seconds if seconds else None,
        worst_10_min=max((worst_window(run, TEN_MINUTES) for run in runs), default=0),
        floods=len(flooded),
        flood_share=in_floods / seconds if seconds else None,
        chattering=_named(runs, _chatters),
        fleeting=_named(runs, _is_fleeting),
        stale=_named(runs, _is_stale),
        warning_share=Fraction(per_level[Level.WARNING], count) if count else None,
        longest_up=max(
            (_until(raised, run) - raised.start for run in runs for raised in run.raised), default=Fraction(0)
        ),
        longest_unacknowledged=max(
            (
                (_until(raised, run) if raised.acknowledged is None else raised.acknowledged) - raised.start
                for run in runs
                for raised in run.raised
            ),
            default=Fraction(0),
        ),
        most_repeats=max(per_alert.values(), default=1) - 1,
        top_share=Fraction(sum(n for _, n in per_alert.most_common(10)), count) if count else None,
        by_level=tuple((level, per_level[level]) for level in sorted(Level, reverse=True)),
    )


def worst_window(run: MetricsRun, width: Fraction) -> int:
    """Most alerts that came up within a stretch of this width; one exactly `width` after another is not in it."""
    starts = sorted(raised.start for raised in run.raised)
    return max((bisect_left(starts, start + width) - index for index, start in enumerate(starts)), default=0)


def floods(run: MetricsRun) -> tuple[tuple[Fraction, Fraction], ...]:
    """From when to when there was a flood.

    It begins at the alert that makes it more than ten in ten minutes and ends as soon as the ten minutes before hold
    fewer than five, or with the run.
    """
    starts = sorted(raised.start for raised in run.raised)
    found: list[tuple[Fraction, Fraction]] = []
    index = 0
    while index < len(starts):
        begin = starts[index]
        if _in_ten_minutes_up_to(starts, index) <= FLOOD_ABOVE:
            index += 1
            continue
        # Ten minutes after an alert it counts no more: then fewer than five may be left.
        while index + 1 < len(starts) and starts[index + 1] <= _calm_after(starts, index):
            index += 1
        found.append((begin, min(_calm_after(starts, index), run.last)))
        index += 1
    return tuple(found)


def _in_ten_minutes_up_to(starts: Sequence[Fraction], index: int) -> int:
    return index + 1 - bisect_right(starts, starts[index] - TEN_MINUTES, 0, index + 1)


def _calm_after(starts: Sequence[Fraction], index: int) -> Fraction:
    """When the ten minutes before hold fewer than five alerts, if none comes after this one."""
    return starts[max(0, index + 1 - FLOOD_ENDS_BELOW)] + TEN_MINUTES


def _until(raised: Raised, run: MetricsRun) -> Fraction:
    return run.last if raised.end is None else raised.end


def _named(runs: Sequence[MetricsRun], bad: Callable[[Sequence[Raised], MetricsRun], bool]) -> tuple[str, ...]:
    found: set[str] = set()
    for run in runs:
        by_name: dict[str, list[Raised]] = {}
        for one in sorted(run.raised, key=lambda raised: raised.start):
            by_name.setdefault(name_of(one), []).append(one)
        found |= {name for name, times in by_name.items() if bad(times, run)}
    return tuple(sorted(found))


def _chatters(times: Sequence[Raised], run: MetricsRun) -> bool:
    """Three times up and gone, from the first coming to the third going within a minute."""
    for first, last in zip(times, times[CHATTER - 1 :], strict=False):
        if last.end is not None and last.end - first.start <= MINUTE:
            return True
    return False


def _is_fleeting(times: Sequence[Raised], run: MetricsRun) -> bool:
    for index, raised in enumerate(times):
        if raised.end is None or raised.end - raised.start > FEW_SECONDS or raised.acknowledged is not None:
            continue
        before, after = times[index - 1] if index else None, times[index + 1] if index + 1 < len(times) else None
        alone_before = before is None or before.end is None or raised.start - before.end > MINUTE
        if alone_before and (after is None or after.start - raised.end > MINUTE):
            return True
    return False


def _is_stale(times: Sequence[Raised], run: MetricsRun) -> bool:
    return any(_until(raised, run) - raised.start > DAY for raised in times)
