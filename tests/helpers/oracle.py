"""What every check and claim ought to say of a rule set, by counting its states."""

from __future__ import annotations

from collections.abc import Callable
from itertools import combinations

from alertlang.model import ruleset as m
from tests.helpers import news_counted
from tests.helpers.cells import Grid, ends_of, inside

# red 3, yellow 2, the calm colours 1, unmarked 0
_RANK = {"red": 3, "yellow": 2, "green": 1, "white": 1, "blue": 1, "unmarked": 0}

Key = tuple[str, ...]


def rank(band: m.Band) -> int:
    return _RANK[band.colour.word]


class Oracle(Grid):
    """A rule set with the answers."""

    # ---- what bands and alerts do

    def elements(self, quantity: str, index: int | None) -> tuple[int | None, ...]:
        return self.rules.quantities[quantity].indexes if index is None else (index,)

    def bands(self, quantity: str) -> list[m.Band]:
        return [band for band in self.rules.bands if band.quantity == quantity]

    def context(self, rule: m.Band | m.Alert) -> int:
        stopped = 0 if rule.unless is None else self.true(rule.unless)
        return self.true(rule.when) & ~stopped

    def applies(self, band: m.Band, index: int | None) -> int:
        if band.index not in {None, index}:
            return 0
        return self.context(band) & self.reads_in(band.quantity, index, band.region)

    def rule_up(self, rule: m.Band | m.Alert, index: int | None) -> int:
        return self.context(rule) if isinstance(rule, m.Alert) else self.applies(rule, index)

    def shows(self, quantity: str, index: int | None, least: int) -> int:
        """Some band of at least a rank applies."""
        return self.any_of(self.applies(band, index) for band in self.bands(quantity) if rank(band) >= least)

    def blank(self, quantity: str, index: int | None) -> int:
        return self.all & ~self.shows(quantity, index, 0)

    def alert_up(self, quantity: str | None, index: int | None, level: m.Level) -> int:
        """An alert that counts for a quantity is up, at a level or above; with no quantity, any alert at all."""
        found = 0
        for band in self.rules.bands:
            if band.alert is None or band.alert.level < level or quantity not in {None, band.quantity}:
                continue
            for element in self.elements(band.quantity, None) if quantity is None else (index,):
                found |= self.applies(band, element)
        for alert in self.rules.alerts:
            counts = quantity is None or quantity in self.quantities_read(alert.when)
            if counts and alert.alert.level >= level:
                found |= self.context(alert)
        return found

    def masked(self, band: m.Band, index: int | None) -> int:
        """A worse band of the quantity applies."""
        return self.shows(band.quantity, index, rank(band) + 1)

    # ---- limits

    def limits(self, *kinds: str) -> list[m.Range]:
        return [one for one in self.rules.ranges if one.kind in kinds]

    def broken(self, one: m.Range, index: int | None) -> int:
        """A limit is broken, or an avoid range entered."""
        within = self.reads_in(one.quantity, index, one.region)
        return self.true(one.when) & (within if one.kind == "avoid" else self.all & ~within)

    def not_red(self, one: m.Range, index: int | None) -> int:
        return self.broken(one, index) & ~self.shows(one.quantity, index, 3)

    def silent(self, one: m.Range, index: int | None) -> int:
        assert one.needs is not None
        wrong = news_counted.ends(self, one, index)
        return self.broken(one, index) & ~news_counted.told(self, one.quantity, index, one.needs, one, wrong)

    def unmarked(self, one: m.Range, index: int | None) -> int:
        within = self.true(one.when) & self.reads_in(one.quantity, index, one.region)
        return within & ~self.shows(one.quantity, index, 2)

    def beyond_sensor(self, one: m.Range) -> bool:
        """Some side of what breaks a limit lies wholly where the sensor does not read."""
        quantity = self.rules.quantities[one.quantity]
        x, y = ends_of(one.region)
        low, high = quantity.low, quantity.high
        # By the kind of what breaks it: no value of the sensor is below, at or above.
        no = {"below": low >= x, "to": low > x, "above": high <= y, "from": high < y}
        between = (low >= y or high <= x, low > y or high < x)
        none = {
            "below": no["below"],
            "at_most": no["to"],
            "above": no["above"],
            "at_least": no["from"],
            "within": between[1],
            "from_below": low >= y or high < x,
            "above_to": low > y or high <= x,
            "between": between[0],
            "outside": no["below"] or no["above"],
            "below_from": no["below"] or no["from"],
            "to_above": no["to"] or no["above"],
            "not_between": no["to"] or no["from"],
        }
        opposite = {
            "at_most": "above",
            "at_least": "below",
            "within": "outside",
            "from_below": "below_from",
            "above_to": "to_above",
            "between": "not_between",
        }
        opposite |= {other: kind for kind, other in opposite.items()}
        kind = one.region.kind.value
        return none[opposite[kind] if one.kind == "limit" else kind]

    # ---- pairs

    def overlap(self, one: m.Band, other: m.Band) -> set[int]:
        """The cells in both regions, without the end points of each stretch of them."""
        values = self.values(one.quantity)
        both = {i for i, v in enumerate(values) if inside(one.region, v) and inside(other.region, v)}
        return self.interior(both)

    @staticmethod
    def interior(cells: set[int]) -> set[int]:
        return {i for i in cells if i % 2 == 1 or {i - 1, i + 1} <= cells}

    def together(self, one: m.Band, other: m.Band, index: int | None) -> int:
        """Both apply, in more than a shared end point."""
        name = one.quantity if index is None else f"{one.quantity}[{index}]"
        return self.at(name, self.overlap(one, other)) & self.applies(one, index) & self.applies(other, index)

    def pair(self, one: m.Band, other: m.Band, index: int | None) -> str | None:
        """conflict, disagreement or nothing; `one` is the earlier statement."""
        if one.colour is other.colour or not self.exists(self.together(one, other, index)):
            return None
        if rank(one) == rank(other):
            return "AL202"
        calmer, worse = sorted((one, other), key=rank)
        if rank(worse) == 3 and self.is_arc(calmer, worse, index):
            return None
        if not self.exists(self.context(calmer) & ~self.context(worse)):
            return "AL202"
        apart = self.exists(self.context(worse) & ~self.context(calmer))
        return "AL204" if apart and rank(calmer) <= 1 and rank(worse) >= 2 else None

    def is_arc(self, calmer: m.Band, worse: m.Band, index: int | None) -> bool:
        """The red band marks declared avoid ranges inside a calmer band that reaches over it."""
        values = self.values(worse.quantity)
        red = self.interior({i for i, v in enumerate(values) if inside(worse.region, v)})
        if not all(inside(calmer.region, values[i]) for i in red):
            return False
        left = self.overlap(calmer, worse)
        for one in self.limits("avoid"):
            always = not self.exists(self.context(worse) & ~self.true(one.when))
            if one.quantity == worse.quantity and one.index in {None, index} and always:
                left = {i for i in left if not inside(one.region, values[i])}
        return not left

    def pairs(self, code: str) -> set[Key]:
        found: set[Key] = set()
        for one, other in combinations(self.rules.bands, 2):
            if one.quantity != other.quantity:
                continue
            indexes = [i for i in self.elements(one.quantity, one.index) if other.index in {None, i}]
            kinds = [self.pair(one, other, i) for i in indexes]
            if code in kinds:
                # The calmer first; of equals the earlier.
                found.add(tuple(band.label for band in sorted((one, other), key=rank)))
        return found

    # ---- claims

    def given(self, claim: m.Claim, index: int | None) -> int:
        states = self.true(claim.when)
        if claim.quantity is None or claim.region is None:
            return states
        return states & self.reads_in(claim.quantity, index, claim.region)

    def wrong(self, claim: m.Claim, index: int | None) -> int:
        """The states in which what is claimed does not hold."""
        if claim.kind == "quiet":
            return self.alert_up(None, None, m.Level.CAUTION)
        if claim.kind in {"raises", "any_raises"}:
            assert claim.level is not None
            return self.all & ~self.alert_up(claim.quantity, index, claim.level)
        assert claim.quantity is not None
        assert claim.colour is not None
        least = _RANK[claim.colour.word]
        if claim.kind == "at_least":
            return self.all & ~self.shows(claim.quantity, index, least)
        bands = self.bands(claim.quantity)
        named = self.any_of(self.applies(band, index) for band in bands if band.colour is claim.colour)
        worse = self.shows(claim.quantity, index, least + 1)
        beside = self.any_of(
            self.applies(band, index) for band in bands if rank(band) == least and band.colour is not claim.colour
        )
        return named & ~worse if claim.kind == "never" else self.all & ~(named & ~worse & ~beside)

    def claim_elements(self, claim: m.Claim) -> tuple[int | None, ...]:
        return (None,) if claim.quantity is None else self.elements(claim.quantity, claim.index)

    def verdict(self, claim: m.Claim) -> str:
        elements = self.claim_elements(claim)
        if not any(self.exists(self.given(claim, i)) for i in elements):
            return "vacuous"
        refuted = any(self.exists(self.given(claim, i) & self.wrong(claim, i)) for i in elements)
        return "refuted" if refuted else "proved"

    # ---- everything

    def expected(self) -> dict[str, set[Key]]:
        """By code, what is found: quantities, pairs of labels, or labels. (AL201 and AL208: see `gaps`.)"""
        rules = self.rules
        limited = {one.quantity for one in self.limits("limit", "avoid")}
        coloured = {band.quantity for band in rules.bands}
        found: dict[str, set[Key]] = {
            "AL307": {(name,) for name in limited - coloured},
            "AL308": {(one.label,) for one in self.limits("limit", "avoid") if self.beyond_sensor(one)},
        }
        if not self.possible:
            return {**found, "AL404": {()}}
        watched = [one for one in self.limits("limit", "avoid") if one.quantity in coloured]
        found["AL202"] = self.pairs("AL202")
        found["AL204"] = self.pairs("AL204")
        found["AL203"] = {(b.label,) for b in rules.bands if not self._can_show(b)}
        found["AL301"] = {(one.label,) for one in watched if self._some(one, self.not_red)}
        found["AL302"] = {(one.label,) for one in watched if one.needs is not None and self._some(one, self.silent)}
        found["AL304"] = {
            (one.label,)
            for one in self.limits("precaution")
            if (one.quantity in coloured or one.quantity not in limited) and self._some(one, self.unmarked)
        }
        found["AL401"] = {(name,) for name, c in rules.conditions.items() if self._is_constant(c.formula)}
        found["AL405"] = {(one.label,) for one in rules.ranges if not self.exists(self.true(one.when))}
        found["AL405"] |= {(c.label,) for c in rules.claims if self.verdict(c) == "vacuous"}
        found["AL504"] = {(r.label,) for r in rules.rules if r.alert and not self._can_alert(r)}
        return found

    def _some(self, one: m.Range, problem: Callable[[m.Range, int | None], int]) -> bool:
        return any(self.exists(problem(one, i)) for i in self.elements(one.quantity, one.index))

    def _can_show(self, band: m.Band) -> bool:
        elements = self.elements(band.quantity, band.index)
        return any(self.exists(self.applies(band, i) & ~self.masked(band, i)) for i in elements)

    def _can_alert(self, rule: m.Band | m.Alert) -> bool:
        if isinstance(rule, m.Alert):
            return self.exists(self.context(rule))
        return any(self.exists(self.applies(rule, i)) for i in self.elements(rule.quantity, rule.index))

    def _is_constant(self, formula: m.Formula) -> bool:
        states = self.true(formula) & self.possible
        return states in {0, self.possible}

    def gaps(self) -> dict[str, int]:
        """The possible states in which a reading shows nothing, by reading, for quantities that have bands."""
        found = {}
        for name, quantity in self.quantity_of.items():
            if self.bands(quantity.name):
                index = int(name[:-1].split("[")[1]) if "[" in name else None
                found[name] = self.blank(quantity.name, index) & self.possible
        return found
