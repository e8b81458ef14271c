"""How a profile tells the speeds of an airspeed indicator: by the labels of the statements that begin or end there."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction

from alertlang.checks.standards import instruments
from alertlang.checks.standards.published import Clause, clauses
from alertlang.model import ruleset as m


@dataclass(frozen=True, slots=True)
class Speed:
    """`labels`: any of these words in a label names it. It is the upper or the lower end of a statement of a kind."""

    name: str
    labels: tuple[str, ...]
    kind: m.RangeKind
    upper: bool
    example: str


_LIMIT, _NORMAL = m.RangeKind.LIMIT, m.RangeKind.NORMAL

NEVER_EXCEED = Speed("VNE", ("vne", "never_exceed"), _LIMIT, True, "vne: limit {q} at most VNE")
CRUISE = Speed("VNO", ("vno", "smooth_air"), m.RangeKind.PRECAUTION, False, "vno: precaution {q} from VNO to VNE")
CLEAN_STALL = Speed("VS1", ("vs1", "airspeed_normal"), _NORMAL, False, "vs1: normal {q} from VS1 to VNO")
FLAPS = Speed("VFE", ("vfe", "flap_limit"), _LIMIT, True, "vfe: when flaps is not up limit {q} at most VFE")
LANDING_STALL = Speed(
    "VS0", ("vs0", "flap_range"), _NORMAL, False, "vs0: when flaps is not up normal {q} from VS0 to VFE"
)
SPEEDS = (NEVER_EXCEED, CRUISE, CLEAN_STALL, FLAPS, LANDING_STALL)

RULE = clauses(*(f"14 CFR 23.1545(b)({number})" for number in range(1, 5)))
_LINE, _YELLOW, _GREEN, _WHITE = ((clause,) for clause in RULE)
WANTS: Mapping[tuple[Clause, ...], str] = {
    _LINE: "a red line at VNE",
    _YELLOW: "yellow from VNO to VNE",
    _GREEN: "green from VS1 at maximum weight to VNO",
    _WHITE: "white from VS0 at maximum weight to VFE",
}
_RULE_OF = {
    NEVER_EXCEED.name: _LINE,
    CRUISE.name: _YELLOW,
    CLEAN_STALL.name: _GREEN,
    FLAPS.name: _WHITE,
    LANDING_STALL.name: _WHITE,
}


def rule_of(speed: Speed) -> tuple[Clause, ...]:
    """The paragraph on the mark that a speed belongs to."""
    return _RULE_OF[speed.name]


@dataclass(frozen=True, slots=True)
class ToldSpeed:
    """A speed, the statement that tells it, and its value in the unit of the quantity."""

    speed: Speed
    one: m.Range
    value: Fraction


def has_label(declared: m.Range, speed: Speed) -> bool:
    """Whether a label has the words that name a speed, in a row: `landing_flap_limit` has `flap_limit`."""
    return any(f"_{name}_" in f"_{declared.label}_" for name in speed.labels)


def ends(declared: m.Range) -> tuple[Fraction | None, Fraction | None]:
    """Lower and upper end of a range of values; none where it has none or where an end moves."""
    if declared.region.moves or declared.region.kind.outside or declared.region.is_failed:
        return None, None
    [part] = declared.region.certain
    return part.low, part.high


def told(ruleset: m.RuleSet, name: str) -> list[ToldSpeed]:
    """The speeds that the statements on a quantity tell, in the order of the list above."""
    if ruleset.quantities[name].unit.dimension != "speed":
        return []
    found: list[ToldSpeed] = []
    for speed in SPEEDS:
        for declared in ruleset.ranges_by_quantity[name]:
            value = ends(declared)[1 if speed.upper else 0]
            if declared.kind is speed.kind and value is not None and has_label(declared, speed):
                found.append(ToldSpeed(speed, declared, value))
    return found


def is_airspeed(ruleset: m.RuleSet, name: str) -> bool:
    return name in instruments.recognised(ruleset, instruments.AIRSPEED)
