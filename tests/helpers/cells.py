"""Every state there is, counted out: the brute force that solver and reference evaluator are held against.

Nothing that a rule set says changes between two neighbouring numbers of it. So the numbers themselves and one value
between each two of them stand for all readings of a quantity, and a rule set of a few statements has only some
thousands of states that differ. A set of states is kept as an int, one bit for each state: `&` is "and".
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from fractions import Fraction
from itertools import pairwise
from math import ceil

from alertlang.model import ruleset as m


def ends_of(region: m.Region) -> tuple[Fraction, Fraction]:
    """First and last end of a region, the same one where it has one; no end may move."""
    first, last = region.first, region.first if region.second is None else region.second
    assert isinstance(first, Fraction)
    assert isinstance(last, Fraction)
    return first, last


def inside(region: m.Region, value: Fraction) -> bool:
    """Whether a value is in a region."""
    x, y = ends_of(region)
    return {
        "below": value < x,
        "above": value > x,
        "at_most": value <= x,
        "at_least": value >= x,
        "within": x <= value <= y,
        "from_below": x <= value < y,
        "above_to": x < value <= y,
        "between": x < value < y,
        "outside": value < x or y < value,
        "below_from": value < x or y <= value,
        "to_above": value <= x or y < value,
        "not_between": value <= x or y <= value,
    }[region.kind.value]


def name_of(quantity: str, index: int | None) -> str:
    return quantity if index is None else f"{quantity}[{index}]"


def subformulas(formula: m.Formula | None) -> list[m.Formula]:
    """A formula and all parts of it; conditions are not looked into."""
    if formula is None:
        return []
    if isinstance(formula, m.Not):
        return [formula, *subformulas(formula.part)]
    if isinstance(formula, m.And | m.Or):
        return [formula, *(deeper for part in formula.parts for deeper in subformulas(part))]
    return [formula]


class Grid:
    """All states of a rule set that differ, and which of them make a formula true."""

    def __init__(self, rules: m.RuleSet) -> None:
        self.rules = rules
        self.points = {q.name: self._points(q) for q in rules.quantities.values()}
        self.quantity_of: dict[str, m.Quantity] = {}
        # The number of cells of each reading, of positions of each switch: the digits of a state's number.
        self.size: dict[str, int] = {}
        for quantity in rules.quantities.values():
            for index in quantity.indexes:
                name = name_of(quantity.name, index)
                self.quantity_of[name] = quantity
                self.size[name] = 2 * len(self.points[quantity.name]) - 1
        for switch in rules.switches.values():
            self.size[switch.name] = len(switch.positions)
        self.stride: dict[str, int] = {}
        self.count = 1
        for name, size in self.size.items():
            self.stride[name] = self.count
            self.count *= size
        self.all = (1 << self.count) - 1
        self.possible = self.all
        for assumption in rules.assumptions:
            self.possible &= self.keeps(assumption)

    # ---- cells

    def _numbers(self) -> Iterable[tuple[str, Fraction]]:
        """Every number in every statement, with the quantity it is about."""
        rules = self.rules
        formulas: list[m.Formula | None] = [c.formula for c in rules.conditions.values()]
        for assumption in rules.assumptions:
            formulas += [assumption.when, assumption.formula]
        for rule in rules.rules:
            formulas += [rule.when, rule.unless]
        tested: list[m.Band | m.Range | m.Claim] = [*rules.bands, *rules.ranges, *rules.claims]
        formulas += [one.when for one in tested]
        regions = [(one.quantity, one.region) for one in tested]
        for formula in formulas:
            parts = [part for part in subformulas(formula) if isinstance(part, m.Compare) and not part.region.is_failed]
            regions += [(part.quantity, part.region) for part in parts]
        for quantity, region in regions:
            if quantity is not None and region is not None:
                yield from ((quantity, end) for end in ends_of(region))

    def _points(self, quantity: m.Quantity) -> list[Fraction]:
        numbers = {number for name, number in self._numbers() if name == quantity.name}
        inner = {number for number in numbers if quantity.low < number < quantity.high}
        return sorted({quantity.low, quantity.high, *inner})

    def values(self, quantity: str) -> list[Fraction]:
        """One value for each cell: a number of the rules (even cells), the middle between two (odd ones)."""
        points = self.points[quantity]
        found = [points[0]]
        for low, high in pairwise(points):
            found += [(low + high) / 2, high]
        return found

    def cell(self, reading: str, value: Fraction) -> int:
        """The cell of a value within the sensor's range."""
        points = self.points[self.quantity_of[reading].name]
        assert points[0] <= value <= points[-1], (reading, value)
        below = sum(point < value for point in points)
        return 2 * below if value in points else 2 * below - 1

    def readable(self, reading: str) -> list[int]:
        """The cells that hold a multiple of the step; all of them where there is no step."""
        quantity = self.quantity_of[reading]
        points, step = self.points[quantity.name], quantity.step
        found = []
        for cell in range(self.size[reading]):
            low, high = points[cell // 2], points[(cell + 1) // 2]
            if step is None:
                found.append(cell)
                continue
            first = ceil(low / step) * step
            if low < high and first == low:
                first += step
            if first < high or low == high == first:
                found.append(cell)
        return found

    # ---- sets of states

    def at(self, name: str, digits: Iterable[int]) -> int:
        """The states in which a reading is in one of some cells, or a switch at one of some positions (by number)."""
        stride, size = self.stride[name], self.size[name]
        block = 0
        for digit in digits:
            block |= ((1 << stride) - 1) << (digit * stride)
        width = stride * size
        while width < self.count:
            doubled = min(width, self.count - width)
            block |= (block & ((1 << doubled) - 1)) << width
            width += doubled
        return block

    def reads_in(self, quantity: str, index: int | None, region: m.Region) -> int:
        values = self.values(quantity)
        return self.at(name_of(quantity, index), (i for i, value in enumerate(values) if inside(region, value)))

    def true(self, formula: m.Formula | None) -> int:
        """The states in which a formula is true, possible or not; none is always true."""
        if formula is None:
            return self.all
        if isinstance(formula, m.Compare):
            # Every sensor works.
            each = [
                0 if formula.region.is_failed else self.reads_in(formula.quantity, i, formula.region)
                for i in ([formula.index] if formula.size is None else range(1, formula.size + 1))
            ]
            return self.any_of(each) if formula.quantifier == "any" else self.all_of(each)
        if isinstance(formula, m.SwitchIs):
            place = self.rules.switches[formula.switch].positions.index(formula.position)
            found = self.at(formula.switch, [place])
            return self.all & ~found if formula.negated else found
        if isinstance(formula, m.ConditionIs):
            return self.true(self.rules.conditions[formula.name].formula)
        if isinstance(formula, m.Not):
            return self.all & ~self.true(formula.part)
        assert not isinstance(formula, m.Held)
        parts = [self.true(part) for part in formula.parts]
        return self.all_of(parts) if isinstance(formula, m.And) else self.any_of(parts)

    def any_of(self, sets: Iterable[int]) -> int:
        found = 0
        for one in sets:
            found |= one
        return found

    def all_of(self, sets: Iterable[int]) -> int:
        found = self.all
        for one in sets:
            found &= one
        return found

    def keeps(self, assumption: m.Assumption) -> int:
        return (self.all & ~self.true(assumption.when)) | self.true(assumption.formula)

    def exists(self, states: int) -> bool:
        """Whether some possible state is among some states."""
        return states & self.possible != 0

    # ---- what findings show

    def state(self, shown: Mapping[str, Fraction | str]) -> int:
        """The states that agree with a witness, which need not name everything."""
        return self.all_of(self.at(name, [self.digit(name, value)]) for name, value in shown.items())

    def digit(self, name: str, value: Fraction | str) -> int:
        if isinstance(value, str):
            return self.rules.switches[name].positions.index(value)
        return self.cell(name, value)

    def box(self, digits: Mapping[str, Iterable[int]]) -> int:
        """The states of a box; what it does not name is free."""
        return self.all_of(self.at(name, some) for name, some in digits.items())

    def quantities_read(self, *formulas: m.Formula | None) -> set[str]:
        """The quantities that formulas read, conditions looked into."""
        found: set[str] = set()
        for formula in formulas:
            for part in subformulas(formula):
                if isinstance(part, m.Compare) and not part.region.is_failed:
                    found.add(part.quantity)
                elif isinstance(part, m.ConditionIs):
                    found |= self.quantities_read(self.rules.conditions[part.name].formula)
        return found
