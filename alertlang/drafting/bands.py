"""The bands of one gauge as statements, each with what it comes from."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass, field
from fractions import Fraction

from alertlang.drafting.demands import DraftDemand, complement, ranges_of, reds, where_broken, widest, yellows
from alertlang.drafting.fill import FilledStretch, stretches
from alertlang.drafting.profile_queries import ALWAYS, LimitedReading, Missing, ProfileQueries, When, all_of
from alertlang.drafting.regions import NumberForms, on_sensor
from alertlang.drafting.style import Style
from alertlang.drafting.texts import Texts
from alertlang.logic.terms import TRUE, both
from alertlang.model import ruleset as m
from alertlang.units.interval import Interval


def _side(region: m.Region) -> str:
    return "low" if region.kind.is_low else "high" if region.kind.is_high else "range"


@dataclass(frozen=True, slots=True)
class DraftLine:
    """One statement with the comments that stand over it. `statements`: the labels whose numbers it carries."""

    text: str
    notes: tuple[str, ...] = ()
    label: str = ""
    order: Fraction = field(default=Fraction(0))


@dataclass(frozen=True, slots=True)
class DraftedGauge:
    """A gauge's statements in order of the scale, and the questions that its profiles leave."""

    gauge: LimitedReading
    lines: tuple[DraftLine, ...]
    questions: tuple[str, ...]


_WHY = {
    "between": "lies between a normal range and a limit and no profile says what it is. Marked {colour} here "
    "({reason}). Is it a range to be careful in, or normal?",
    "beyond": "is on no profile's list: neither normal nor limited, and no limit lies beyond it. Left unmarked. "
    "Should it have a colour?",
    "no-normal": "has no normal range in the profiles. Left unmarked: which part of it is normal?",
    "other": "is normal only in other circumstances, and no profile says what it is in these. Left unmarked. "
    "Should it have a colour?",
    "stopped": "is said of a running engine alone. Left unmarked while it stands still. Should it have a colour?",
}


def draw(
    world: ProfileQueries, gauge: LimitedReading, numbers: NumberForms, texts: Texts, style: Style
) -> DraftedGauge:
    """Everything that one gauge shows."""
    red = reds(world, gauge, style)
    yellow = yellows(world, gauge, red)
    calm = stretches(world, gauge, numbers, style, red, yellow)
    lines = [_red(world, gauge, numbers, texts, demand) for demand in red]
    for demand in yellow:
        lines += _yellow(world, gauge, numbers, texts, style, demand, red)
    questions: list[str] = []
    for stretch in calm:
        lines += _calm(world, gauge, numbers, texts, stretch, questions)
    lines.sort(key=lambda line: line.order)
    if lines and style.failed_cautions and not gauge.quantity.derived:
        label = texts.label(f"{_base(gauge)}_failed")
        text = texts.text(gauge, "FAIL", None)
        said = f'{label}: {gauge.subject} failed is yellow with caution "{text}"'
        lines.append(DraftLine(said, ("A reading that is missing is called out (style).",), label))
    return DraftedGauge(gauge, tuple(lines), tuple(questions))


def _base(gauge: LimitedReading) -> str:
    return gauge.quantity.name if gauge.index is None else f"{gauge.quantity.name}_{gauge.index}"


def _order(gauge: LimitedReading, region: m.Region | Interval) -> Fraction:
    if isinstance(region, Interval):
        low = region.low
    else:
        parts = list(on_sensor(gauge, region))
        low = parts[0].low if parts else None
    return gauge.quantity.low if low is None else low


def _band(when: When, gauge: LimitedReading, region: str, rest: str) -> str:
    return f"{f'when {when.text} then ' if when.text else ''}{gauge.subject} {region} {rest}"


def _red(
    world: ProfileQueries, gauge: LimitedReading, numbers: NumberForms, texts: Texts, demand: DraftDemand
) -> DraftLine:
    label = texts.label(f"{_stem(gauge, demand)}_{'lost' if demand.lost else 'red'}")
    held = f"for more than {m.in_seconds(demand.held)} " if demand.held else ""
    rest = f"{held}is red"
    if demand.level is not None:
        word = "TIME" if demand.held else _side(demand.region).upper()
        rest += (
            f' with {demand.level.word} "{texts.text(gauge, word, demand.region, _named(world, gauge, demand.when))}"'
        )
        if demand.after:
            rest += f" after {m.in_seconds(demand.after)}"
    when = demand.when if demand.lost else world.blind(demand.when, gauge)
    notes = [from_where(declared) for declared in demand.stated]
    if demand.lost:
        notes = ["An end of the red cannot be told: red as far as it can reach.", *notes]
    elif when != demand.when:
        notes.append("A sensor of the context that has failed counts as if the limit held.")
    if demand.level is not None and any(declared.needs is m.Level.ADVISORY for declared in demand.stated):
        notes.append("An advisory would be enough for the profile; red goes with cautions and warnings.")
    text = f"{label}: {_band(when, gauge, numbers.region(gauge, demand.region), rest)}"
    return DraftLine(text, tuple(notes), label, _order(gauge, demand.region))


def _named(world: ProfileQueries, gauge: LimitedReading, when: When) -> list[str]:
    """The switches and quantities that a context names, in its order."""
    words = [word for word in re.findall(r"\w+", when.text) if word != gauge.quantity.name]
    return list(dict.fromkeys(w for w in words if w in world.ruleset.switches or w in world.ruleset.quantities))


def _stem(gauge: LimitedReading, demand: DraftDemand) -> str:
    side = _side(demand.region)
    split = demand.first.region.second is not None and side != "range"
    stem = f"{demand.first.label}_{side}" if split else demand.first.label
    return stem if gauge.index is None else f"{stem}_of_{gauge.index}"


def _yellow(
    world: ProfileQueries,
    gauge: LimitedReading,
    numbers: NumberForms,
    texts: Texts,
    style: Style,
    demand: DraftDemand,
    red: list[DraftDemand],
) -> list[DraftLine]:
    """A precaution, or tolerated for a time, less what is red in a context that takes it in."""
    whens = [world.blind(demand.when, gauge)]
    values = on_sensor(gauge, demand.region)
    cut = False
    for draft_demand in red:
        if draft_demand.held or draft_demand.lost or not world.implies(demand.when.term, draft_demand.when.term):
            continue
        inside = both(world.inside(gauge, demand.region), world.inside(gauge, draft_demand.region))
        if not world.is_satisfiable(demand.when.term, inside):
            continue
        if draft_demand.region.moves or demand.region.moves:
            whens.append(complement(gauge, numbers, world, draft_demand))
        else:
            values = values.subtract(on_sensor(gauge, draft_demand.region))
            cut = True
    notes = [from_where(declared) for declared in demand.stated]
    if demand.tolerated:
        held = m.in_seconds(demand.first.except_for or Fraction(0))
        notes.append(f"Tolerated for {held}: yellow until the time is over.")
    lines = []
    stem = f"{_stem(gauge, demand)}_yellow"
    if not cut:
        words = numbers.region(gauge, demand.region)
        if not demand.region.moves and len(list(values)) == 1 and demand.region.kind == "within":
            words = numbers.stretch(gauge, next(iter(values)))
        regions = [(words, ALWAYS, _order(gauge, demand.region))]
    else:
        regions = [(*_exactly(world, gauge, numbers, part), _order(gauge, part)) for part in values]
    for words, also, order in regions:
        label = texts.label(stem)
        rest = "is yellow" + _entering(world, gauge, texts, style, demand)
        text = f"{label}: {_band(all_of([*whens, also]), gauge, words, rest)}"
        lines.append(DraftLine(text, tuple(notes), label, order))
    return lines


def _entering(world: ProfileQueries, gauge: LimitedReading, texts: Texts, style: Style, demand: DraftDemand) -> str:
    if not style.high_cautions or demand.tolerated:
        return ""
    normals = [declared.region for declared in ranges_of(world, gauge) if declared.kind == "normal"]
    tops = [part.high for region in normals for part in on_sensor(gauge, region) if part.high is not None]
    if not tops or _order(gauge, demand.region) < max(tops):
        return ""
    after = min(style.delay, Fraction(60))
    return f' with caution "{texts.text(gauge, "UP", demand.region)}"' + (
        f" after {m.in_seconds(after)}" if after else ""
    )


def _exactly(world: ProfileQueries, gauge: LimitedReading, numbers: NumberForms, part: Interval) -> tuple[str, When]:
    """A stretch with its ends as they are: `from ... to` takes both in, so an open end that a normal range has is said
    by the region and the closed one by the context. Of an array each element would need its own."""
    low, high = numbers.open_ends(gauge, part)
    if gauge.is_array or (low is None and high is None):
        return numbers.stretch(gauge, part), ALWAYS
    normals = [declared for declared in ranges_of(world, gauge) if declared.kind == "normal"]
    if not any(n.region.values.contains(end) for n in normals for end in (low, high) if end is not None):
        return numbers.stretch(gauge, part), ALWAYS
    assert part.low is not None
    assert part.high is not None
    above = f"{'above' if low is not None else 'at least'} {numbers.words(gauge, part.low)}"
    below = f"{gauge.subject} {'below' if high is not None else 'at most'} {numbers.words(gauge, part.high)}"
    return above, When(below, both(), frozenset({gauge.quantity.name}))


def _calm(
    world: ProfileQueries,
    gauge: LimitedReading,
    numbers: NumberForms,
    texts: Texts,
    stretch: FilledStretch,
    questions: list[str],
) -> list[DraftLine]:
    moving = stretch.region
    # A reading that is there keeps its colour, whichever other one is missing.
    when = stretch.when if stretch.colour is m.Colour.UNMARKED else world.blind(stretch.when, gauge)
    words = numbers.stretch(gauge, stretch.part) if moving is None else numbers.region(gauge, moving)
    order = _order(gauge, stretch.part)
    if stretch.stated:
        word = stretch.colour.word
        label = texts.label(f"{stretch.stated[0].label}_{word}")
        text = f"{label}: {_band(when, gauge, words, f'is {word}')}"
        return [DraftLine(text, tuple(from_where(declared) for declared in stretch.stated), label, order)]
    colour = stretch.colour.word
    told = [f"when {stretch.when.text}"] if stretch.when.text else []
    told += ["where no other band holds"] if stretch.under else []
    where = f"{gauge.subject} {words}" + (f", {' and '.join(told)}," if told else "")
    reason = "to be on the safe side" if stretch.colour is m.Colour.YELLOW else "style"
    question = f"{where} " + _WHY[stretch.why].format(colour=colour, reason=reason)
    questions.append(question)
    label = texts.label(f"{_base(gauge)}_{'unsaid' if stretch.colour is m.Colour.YELLOW else 'unmarked'}")
    lines = []
    if stretch.colour is m.Colour.YELLOW and stretch.why == "between":
        # So that the choice is held against the bands like any other range, and its ends count as its own.
        own = texts.label(f"{_base(gauge)}_undecided")
        head = f"when {stretch.when.text} " if stretch.when.text else ""
        note = f"Question: {question}"
        lines.append(DraftLine(f"{own}: {head}precaution {gauge.subject} {words}, source DRAFT", (note,), own, order))
        notes: tuple[str, ...] = ()
    else:
        notes = (f"Question: {question}",)
    lines.append(DraftLine(f"{label}: {_band(when, gauge, words, f'is {colour}')}", notes, label, order))
    return lines


def from_where(declared: m.Range) -> str:
    """A statement of a profile, with the source and status of its number."""
    return f"{declared.label}: " + "; ".join(
        source.in_words + (" [document]" if source.status == "document" else "") for source in declared.sources
    )


def claims(world: ProfileQueries, gauge: LimitedReading, numbers: NumberForms, texts: Texts) -> list[DraftLine]:
    """What a reviewer would ask of each limit of a gauge, also with a sensor failed that it asks for."""
    found: list[DraftLine] = []
    for declared, when, region in where_broken(world, gauge):
        found += _proofs(gauge, numbers, texts, declared, when.text, region, "")
        ends = [end.quantity for end in region.moving]
        for missing in world.asked_for(gauge, (*when.reads, *ends)):
            found += _blind_proofs(world, gauge, numbers, texts, declared, when, region, missing)
    return found


def _blind_proofs(
    world: ProfileQueries,
    gauge: LimitedReading,
    numbers: NumberForms,
    texts: Texts,
    declared: m.Range,
    when: When,
    region: m.Region,
    missing: Missing,
) -> list[DraftLine]:
    """The same with a sensor failed. What cannot be told without it is left out of the context, but for what must have
    lasted, be it that it failed; an end that cannot be told counts as far as it can reach."""

    def asks(names: Iterable[str]) -> bool:
        return any(missing.quantity in world.ruleset.sensors_of(name) for name in names)

    kept = when
    if world.is_lost(when, missing):
        parts = [world.blind(part, gauge) if _lasts(part) else part for part in when.parts or (when,)]
        kept = all_of([ALWAYS, *(part for part in parts if _lasts(part) or not asks(part.reads))])
    if asks(end.quantity for end in region.moving):
        region = widest(region)
    if on_sensor(gauge, region).is_empty or not world.is_satisfiable(kept.term, world.inside(gauge, region)):
        return []
    context = all_of([kept, When(missing.text, TRUE)]).text
    return _proofs(gauge, numbers, texts, declared, context, region, f"_without_{missing.quantity}")


def _lasts(when: When) -> bool:
    return isinstance(when.formula, m.Held) and when.formula.at_least


def _proofs(
    gauge: LimitedReading,
    numbers: NumberForms,
    texts: Texts,
    declared: m.Range,
    context: str,
    region: m.Region,
    ending: str,
) -> list[DraftLine]:
    """That it is red, and that it is told in time."""
    words = f"{f'when {context} then ' if context else ''}{gauge.subject} {numbers.region(gauge, region)}"
    said = [] if declared.except_for else [("is_red", "is red")]
    if declared.needs is not None:
        within = m.in_seconds((declared.except_for or Fraction(0)) + declared.allowed)
        said.append(("is_told", f"raises {declared.needs.word} within {within}"))
    labels = [(texts.label(f"{declared.label}_{what}{ending}"), shown) for what, shown in said]
    return [DraftLine(f"{label}: prove {words} {shown}", (), label) for label, shown in labels]
