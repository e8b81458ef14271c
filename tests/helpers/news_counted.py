"""Which alerts are news, by counting states: told anew from the words of the meaning, value by value.

An alert is old where something is wrong with a reading if it is up in a state that differs in that reading alone,
breaks no limit on it and shows neither yellow nor red (yellow too where there is no other). It counts all the same if
it comes early: (a) down in every normal range and up at every value that is wrong at that end, or (b) up in every state
that is wrong at that end and down at some calm value, in a normal range where one has a calm value there.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from alertlang.model import ruleset as m
from tests.helpers.cells import ends_of, inside, name_of

if TYPE_CHECKING:
    from tests.helpers.oracle import Oracle


def moved(grid: Oracle, states: int, name: str) -> int:
    """The states that differ from some of these in one reading at most."""
    stride, folded = grid.stride[name], 0
    for digit in range(grid.size[name]):
        folded |= (states & grid.at(name, [digit])) >> (digit * stride)
    return grid.any_of(folded << (digit * stride) for digit in range(grid.size[name]))


def ends(grid: Oracle, one: m.Range, index: int | None) -> list[int]:
    """The states that break a limit, end by end."""
    x, y = ends_of(one.region)
    values = list(enumerate(grid.values(one.quantity)))
    name, given = name_of(one.quantity, index), grid.true(one.when)
    if one.region.second is not None and one.region.kind.outside is (one.kind == "avoid"):
        bad = [i for i, v in values if inside(one.region, v) is (one.kind == "avoid")]
        wrong = [
            [i for i in bad if grid.values(one.quantity)[i] <= x],
            [i for i in bad if grid.values(one.quantity)[i] >= y],
        ]
    else:
        wrong = [[i for i, v in values if inside(one.region, v) is (one.kind == "avoid")]]
    return [given & grid.at(name, cells) for cells in wrong]


def told(grid: Oracle, quantity: str, index: int | None, level: m.Level, own: m.Range | None, wrong: list[int]) -> int:
    """The states, wrong at one of some ends, in which an alert that counts is up. `own`: the limit that is broken."""
    name = name_of(quantity, index)
    here = [one for one in grid.rules.ranges if one.quantity == quantity and one.index in {None, index}]
    kept = grid.possible
    for one in here:
        # What another limit allows for a time has just begun.
        if one.kind in {"limit", "avoid"} and (one is own or not one.except_for):
            kept &= ~grid.broken(one, index)
    calm = kept & ~grid.shows(quantity, index, 2)
    no_calm = grid.all & ~moved(grid, calm, name)
    normal = grid.any_of(
        grid.true(one.when) & grid.reads_in(quantity, index, one.region) for one in here if one.kind == "normal"
    )
    calm_normal = moved(grid, calm & normal, name)
    found = 0
    for rule in grid.rules.rules:
        about = quantity == rule.quantity if isinstance(rule, m.Band) else quantity in grid.quantities_read(rule.when)
        if rule.alert is None or rule.alert.level < level or not about:
            continue
        up = grid.rule_up(rule, index)
        old = moved(grid, calm & up, name)
        old |= no_calm & moved(grid, kept & ~grid.shows(quantity, index, 3) & up, name)
        for states in wrong:
            early = 0
            if grid.exists(normal) and not grid.exists(normal & up):
                at_every_value = grid.all & ~moved(grid, grid.possible & states & ~up, name)
                early |= at_every_value & moved(grid, grid.possible & normal, name)
            if not grid.exists(states & ~up):
                early |= calm_normal & moved(grid, calm & normal & ~up, name)
                early |= grid.all & ~calm_normal & moved(grid, calm & ~up, name)
            found |= states & up & (~old | early)
    return found & grid.all
