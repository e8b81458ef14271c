"""One wrong number behind several findings: the end of a band beside the number of a limit."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from alertlang.checks.own_file import own_edit
from alertlang.checks.suggest import spliced
from alertlang.comparison.canonical import key_of
from alertlang.findings.finding import Edit, Finding, Reach, Suggestion
from alertlang.fixing.trial import Stretch
from alertlang.model import ruleset as m
from alertlang.text.lists import listed
from alertlang.units.number import say_value

# What a wrong number at the end of a band makes.
_OF_NUMBERS = {"gap", "hairline-gap", "conflict", "unguarded-limit", "missing-alert", "unmarked-precaution"}


@dataclass(frozen=True, slots=True)
class Slip:
    """`findings`: the places in the list of findings of those that the number is in, the first one first."""

    findings: tuple[int, ...]
    suggestion: Suggestion
    between: Stretch


def slips(ruleset: m.RuleSet, findings: Sequence[Finding]) -> tuple[Slip, ...]:
    """What could be one wrong number, each to be tried: an end of bands that findings reach to from the number of a
    limit, which holds where these bands do. A number that a limit or range has is there on purpose."""
    stretches = [_stretch(finding) for finding in findings]
    found: dict[tuple[str, Fraction, Fraction], Slip] = {}
    for finding, stretch in zip(findings, stretches, strict=True):
        if stretch is None or finding.code.name not in _OF_NUMBERS:
            continue
        name, ends = stretch
        ranges = ruleset.ranges_by_quantity.get(name, ())
        said = {number for declared in ranges for number in declared.region.numbers}
        for right, wrong in (ends, ends[::-1]):
            limit = next(
                (declared for declared in ranges if right in declared.region.numbers and _is_broken(declared, ends)),
                None,
            )
            if limit is None or wrong in said:
                continue
            key = (name, right, wrong)
            bands = [] if key in found else _ending_at(ruleset, limit, wrong)
            suggestion = _put_right(ruleset, bands, limit, wrong, right) if bands else None
            if suggestion is not None:
                with_it = tuple(i for i, s in enumerate(stretches) if s is not None and s[0] == name and wrong in s[1])
                found[key] = Slip(with_it, suggestion, Stretch(name, min(ends), max(ends)))
    return tuple(found.values())


def _stretch(finding: Finding) -> tuple[str, tuple[Fraction, Fraction]] | None:
    """The quantity of an open finding and the ends of where it is."""
    if finding.quantity is None or not finding.region or finding.accepted is not None or finding.undecided:
        return None
    part = next(iter(finding.region.values()))
    if not isinstance(part, Reach) or part.interval.low is None or part.interval.high is None:
        return None
    if part.interval.is_point or m.ReadingId(next(iter(finding.region))).quantity != finding.quantity:
        return None
    return finding.quantity, (part.interval.low, part.interval.high)


def _is_broken(declared: m.Range, ends: tuple[Fraction, Fraction]) -> bool:
    """Whether a stretch breaks a limit, or lies in an avoid range or precaution: beside it on the other side a number
    may be as it was meant."""
    holds = declared.region.values.contains((ends[0] + ends[1]) / 2)
    return (
        declared.kind is not m.RangeKind.NORMAL
        and not declared.region.moves
        and holds is (declared.kind is not m.RangeKind.LIMIT)
    )


def _ending_at(ruleset: m.RuleSet, limit: m.Range, number: Fraction) -> list[m.Band]:
    """The bands that end at a number in the context of a limit."""
    quantity = ruleset.quantities[limit.quantity]
    if number in {quantity.low, quantity.high}:
        return []
    bands = (b for b in ruleset.bands_by_quantity[limit.quantity] if b.unless is None and not b.region.moves)
    context = key_of(limit.when)
    return [b for b in bands if number in b.region.numbers and not b.region.is_failed and key_of(b.when) == context]


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
        # One unit at the end serves both.
        words = region.in_words(unit).replace(f" {unit.name} to ", " to ")
        suggestion = spliced(band.span, band.node.region.span, words)
        if suggestion is None:
            return None
        edits.append(own_edit(ruleset, Edit(suggestion.text, suggestion.replaces)))
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
