"""Whether the numbers that tell the speeds of an airspeed indicator fit together."""

from __future__ import annotations

from collections.abc import Iterator

from alertlang.checks.limits import named
from alertlang.checks.standards import speeds
from alertlang.checks.standards.say import standard
from alertlang.checks.standards.speeds import CLEAN_STALL, CRUISE, FLAPS, LANDING_STALL, NEVER_EXCEED, ToldSpeed
from alertlang.findings.finding import Finding
from alertlang.model import ruleset as m
from alertlang.units.number import say_value

# Where one range ends the other begins.
_MEET = ((CRUISE, NEVER_EXCEED), (CLEAN_STALL, CRUISE), (LANDING_STALL, FLAPS))
# The first is lower; whether they may be equal. Implied by the definitions of the speeds, in no rule that was read.
_ORDER = (
    (LANDING_STALL, CLEAN_STALL, True),
    (CLEAN_STALL, CRUISE, False),
    (CRUISE, NEVER_EXCEED, False),
    (LANDING_STALL, FLAPS, False),
)


def _number(speed: ToldSpeed, name: str, ruleset: m.RuleSet) -> str:
    return f"{speed.speed.name} ({speed.one.label}) is {say_value(speed.value, ruleset.quantities[name].unit)}"


def meetings(ruleset: m.RuleSet, told: list[ToldSpeed], check: str) -> Iterator[Finding]:
    """Ranges that end where the next speed is not."""
    for first, second in _MEET:
        values = {speed.value for speed in told if speed.speed is second}
        for speed in told:
            end = speeds.ends(speed.one)[1]
            if speed.speed is not first or not values or end in values:
                continue
            name = speed.one.quantity
            unit = ruleset.quantities[name].unit
            rule = speeds.rule_of(first)
            others = " and ".join(_number(o, name, ruleset) for o in told if o.speed is second)
            where = "has no upper end" if end is None else f"ends at {say_value(end, unit)}"
            yield standard(
                ruleset,
                check,
                rule,
                f"{named(speed.one)} tells {first.name} and {where}, but {others}",
                speeds.WANTS[rule],
                speed.one.span,
                quantity=name,
                statements=(speed.one.label,),
                limit=speed.one.label,
                advice=(f"let it end at {second.name}",),
            )


def order(ruleset: m.RuleSet, told: list[ToldSpeed], check: str) -> Iterator[Finding]:
    """Speeds of which one cannot be lower than the other."""
    for low, high, equal in _ORDER:
        for speed in told:
            for other in told:
                if speed.speed is not low or other.speed is not high:
                    continue
                if speed.value < other.value or (equal and speed.value == other.value):
                    continue
                name = speed.one.quantity
                relation = "is not below" if not equal else "is above"
                rule = speeds.rule_of(low)
                yield standard(
                    ruleset,
                    check,
                    rule,
                    f"{_number(speed, name, ruleset)}, which {relation} {_number(other, name, ruleset)}",
                    speeds.WANTS[rule],
                    speed.one.span,
                    quantity=name,
                    statements=(speed.one.label, other.one.label),
                    limit=speed.one.label,
                    advice=("one of the two numbers is wrong, or a label stands on the wrong statement",),
                )
