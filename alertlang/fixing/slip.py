"""One wrong number behind several findings: the end of a band beside the number of a limit."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from alertlang.checks.own_file import own_edit
from alertlang.checks.suggest import spliced
from alertlang.checks.words import listed
from alertlang.comparison.canonical import key_of
from alertlang.diagnostics.finding import Edit, Finding, Reach, Suggestion
from alertlang.fixing.trial import Between
from alertlang.model import ruleset as m
from alertlang.units.number import say_value


@dataclass(frozen=True, slots=True)
class Slip:
    """`findings`: the places in the list of findings of those that the number is in, the first one first."""

    findings: tuple[int, ...]
    suggestion: Suggestion
    between: Between


def slips(ruleset: m.RuleSet, findings: Sequence[Finding]) -> tuple[Slip, ...]:
    """What could be one wrong number, each to be tried: an end of bands that findings reach to from the number of a
    limit. A number that a limit or range has is there on purpose."""
    stretches = [_stretch(one) for one in findings]
    found: dict[tuple[str, Fraction, Fraction, str], Slip] = {}
    for stretch in stretches:
        if stretch is None:
            continue
        name, ends = stretch
        ranges = ruleset.ranges_by_quantity.get(name, ())
        said = {number for one in ranges for number in one.region.numbers}
        for right, wrong in (ends, ends[::-1]):
            limit = next((one for one in ranges if right in one.region.numbers and _is_broken(one, ends)), None)
            if limit is None or wrong in said:
                continue
            for context, bands in _ending_at(ruleset, name, wrong).items():
                key = (name, right, wrong, context)
                suggestion = None if key in found else _put_right(ruleset, bands, limit, wrong, right)
                if suggestion is not None:
                    with_it = tuple(
                        i for i, s in enumerate(stretches) if s is not None and s[0] == name and wrong in s[1]
                    )
                    found[key] = Slip(with_it, suggestion, Between(name, min(ends), max(ends)))
    return tuple(found.values())


def _stretch(one: Finding) -> tuple[str, tuple[Fraction, Fraction]] | None:
    """The quantity of an open finding and the ends of where it is."""
    if one.quantity is None or not one.region or one.accepted is not None or one.undecided:
        return None
    part = next(iter(one.region.values()))
    if not isinstance(part, Reach) or part.interval.low is None or part.interval.high is None:
        return None
    if part.interval.is_point or next(iter(one.region)).split("[")[0] != one.quantity:
        return None
    return one.quantity, (part.interval.low, part.interval.high)


def _is_broken(one: m.Range, ends: tuple[Fraction, Fraction]) -> bool:
    """Whether a stretch breaks a limit, or lies in an avoid range or precaution: beside it on the other side a number
    may be as it was meant."""
    holds = one.region.values.contains((ends[0] + ends[1]) / 2)
    return one.kind != "normal" and not one.region.moves and holds is (one.kind != "limit")


def _ending_at(ruleset: m.RuleSet, name: str, number: Fraction) -> dict[str, list[m.Band]]:
    """The bands of a quantity that end at a number, by their context."""
    found: dict[str, list[m.Band]] = {}
    if number in {ruleset.quantities[name].low, ruleset.quantities[name].high}:
        return found
    for band in ruleset.bands_by_quantity[name]:
        if number in band.region.numbers and not band.region.moves and band.region.kind != "failed":
            found.setdefault(f"{key_of(band.when)} unless {key_of(band.unless)}", []).append(band)
    return found


def _put_right(
    ruleset: m.RuleSet, bands: list[m.Band], limit: m.Range, wrong: Fraction, right: Fraction
) -> Suggestion | None:
    """The bands with the right number; none where a region would be left empty, or cannot be written."""
    unit = ruleset.quantities[limit.quantity].unit
    edits: list[Edit] = []
    for band in bands:
        ends = [right if end == wrong else end for end in band.region.bounds if isinstance(end, Fraction)]
        if len(ends) == 2 and ends[0] >= ends[1]:
            return None
        region = replace(band.region, first=ends[0], second=ends[1] if len(ends) == 2 else None)
        one = spliced(band.span, band.node.region.span, m.region_words(region, unit))
        if one is None:
            return None
        edits.append(own_edit(ruleset, Edit(one.text, one.replaces)))
    edits.sort(key=lambda edit: -1 if edit.replaces is None else edit.replaces.start)
    said = (
        f"{say_value(wrong, unit)} in {listed(_places(bands))} should be {say_value(right, unit)}, "
        f"as the {limit.kind} {limit.label} says"
    )
    return Suggestion(edits[0].text, edits[0].replaces, tuple(edits[1:]), said)


def _places(bands: list[m.Band]) -> Iterator[str]:
    """`lines 5 and 6`, `line 3 of base.alert`."""
    by_file: dict[tuple[int, str], list[int]] = {}
    for band in bands:
        by_file.setdefault((band.origin.depth, band.span.source.path), []).append(band.span.line)
    for (depth, path), lines in by_file.items():
        word = "line" if len(lines) == 1 else "lines"
        yield f"{word} {listed(str(line) for line in sorted(lines))}" + (f" of {path}" if depth else "")
