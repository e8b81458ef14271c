"""The colour of a gauge that stays where it is: what it shows at once, and what it becomes when a time is over."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction

from alertlang.model import ruleset as m


@dataclass(frozen=True, slots=True)
class Timer:
    """What a band with `for more than` waits for: so many seconds, without a break or `in_total`."""

    seconds: Fraction
    in_total: bool

    def no_later(self, other: Timer) -> bool:
        """Whether it is over whenever the other is, if both began together. Breaks make no time in total longer."""
        return self.seconds <= other.seconds and (self.in_total or not other.in_total)

    @property
    def words(self) -> str:
        return f"after {m.in_seconds(self.seconds)}{' in total' if self.in_total else ''}"


@dataclass(frozen=True, slots=True)
class Turn:
    """The colour that comes when a time is over."""

    colour: m.Colour
    timer: Timer


@dataclass(frozen=True, slots=True)
class Course:
    """`now`: the colour at once, every time just begun; none where no band applies. `later`: what it turns to, in the
    order of the times: each worse than what has come for sure by then."""

    now: m.Colour | None
    later: tuple[Turn, ...] = ()

    @property
    def last(self) -> m.Colour | None:
        """The colour when every time is over."""
        return max((colour for colour in self.colours if colour is not None), default=None)

    @property
    def colours(self) -> tuple[m.Colour | None, ...]:
        """All of it in order."""
        return (self.now, *(turn.colour for turn in self.later))

    def when(self, timer: Timer | None) -> m.Colour | None:
        """The colour when this time, and each that is over no later, is over; none: when no time is."""
        over = [turn.colour for turn in self.later if timer is not None and turn.timer.no_later(timer)]
        return max((colour for colour in (self.now, *over) if colour is not None), default=None)

    @property
    def later_words(self) -> str:
        """`red after 5 min`; empty where nothing changes."""
        return ", ".join(f"{turn.colour.name.lower()} {turn.timer.words}" for turn in self.later)

    @property
    def words(self) -> str:
        """`yellow, red after 5 min`."""
        now = "no colour" if self.now is None else self.now.name.lower()
        return f"{now}, {self.later_words}" if self.later else now


def timer(band: m.Band) -> Timer | None:
    """What a band waits for; none if it shows at once."""
    return None if band.held is None else Timer(band.held, band.in_total)


def timers(bands: Iterable[m.Band]) -> tuple[Timer, ...]:
    """All times that bands wait for, the shortest first."""
    found = {one for band in bands if (one := timer(band)) is not None}
    return tuple(sorted(found, key=lambda one: (one.seconds, not one.in_total)))


def course(bands: Iterable[m.Band]) -> Course:
    """What bands show that go on applying."""
    bands = list(bands)
    now = max((band.colour for band in bands if band.held is None), default=None)
    turns = {Turn(band.colour, one) for band in bands if (one := timer(band)) is not None}
    turns = {turn for turn in turns if now is None or turn.colour > now}
    kept = [
        turn
        for turn in turns
        if not any(
            other != turn and other.colour >= turn.colour and other.timer.no_later(turn.timer) for other in turns
        )
    ]
    return Course(now, tuple(sorted(kept, key=lambda one: (one.timer.seconds, not one.timer.in_total, one.colour))))
