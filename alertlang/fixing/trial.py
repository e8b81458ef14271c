"""Whether a proposal mends its findings and takes nothing away: decided by a check of the whole and a comparison."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction

from alertlang.checks.context import Context
from alertlang.comparison.canonical import rest_key
from alertlang.comparison.compare import compare
from alertlang.findings.finding import Finding, Reach, Trial
from alertlang.logic.encode import Encoder
from alertlang.logic.solver import Answer
from alertlang.logic.terms import FALSE, Term, both, disjunction, negate
from alertlang.model import ruleset as m
from alertlang.model.dropped import brings_back, dropped_rules
from alertlang.model.load import Loaded
from alertlang.model.reading import ReadingId
from alertlang.output.identity import no_worse, region_within
from alertlang.results.comparison import Change, Direction
from alertlang.results.report import Report, worse_claims
from alertlang.units.interval import Interval, IntervalSet

Check = Callable[[Loaded], Report]

# Findings that ask for something less strict: where they are, it may be.
_ASKING = {"nuisance", "normal-not-green"}


@dataclass(frozen=True, slots=True)
class Whole:
    """A rule set with what was found in it."""

    loaded: Loaded
    report: Report


@dataclass(frozen=True, slots=True)
class Stretch:
    """Readings of a quantity between two numbers, both included, in its own unit."""

    quantity: str
    low: Fraction
    high: Fraction


@dataclass(frozen=True, slots=True)
class TrialOutcome:
    """`whole`: how it would be then, none if that was not looked at. `gone`: the findings that would be
    mended, wanted or not."""

    trial: Trial
    whole: Whole | None = None
    gone: tuple[Finding, ...] = ()


def outcome(
    before: Whole, loaded: Loaded, check: Check, mends: Sequence[Finding], slip: Stretch | None, work_limit: int
) -> TrialOutcome:
    """What comes of a proposal that makes `loaded` of what was there. `mends`: the findings that must be gone. `slip`:
    the two numbers of which it puts one in the place of the other."""
    rules, then = before.loaded.ruleset, loaded.ruleset
    assert rules is not None
    if then is None:
        return TrialOutcome(Trial(f"the file could not be read any more: {loaded.findings[0].message}"))
    dropped = _undoes_a_drop(before.loaded, loaded)
    if dropped is not None:
        return TrialOutcome(Trial(dropped))
    early = red_too_early(rules, then, work_limit)
    if early is not None:
        return TrialOutcome(Trial(early))
    report = check(loaded)
    whole = Whole(loaded, report)
    why, gone = against(before.report, report, mends)
    if why is not None:
        return TrialOutcome(Trial(why), whole)
    given: list[str] = []
    for change in compare(rules, then, work_limit=work_limit).changes:
        if change.undecided:
            return TrialOutcome(Trial(f"whether something gets less strict was not decided: {change.message}"), whole)
        if change.direction is not Direction.LESS:
            continue
        if not _asked_for(change, mends, slip):
            return TrialOutcome(Trial(f"it would make less strict: {change.message}"), whole)
        given.append(change.message)
    return TrialOutcome(Trial(gives_up=tuple(given)), whole, gone)


def _asked_for(change: Change, mends: Iterable[Finding], slip: Stretch | None) -> bool:
    """Whether a loss lies wholly where a finding asks for it, or between the two numbers of a slip."""
    region = change.region
    if region is None or not change.complete:
        return False
    if slip is not None:
        closed = IntervalSet.of(Interval.closed(slip.low, slip.high))
        return any(
            ReadingId(name).quantity == slip.quantity
            and isinstance(part, Reach)
            and IntervalSet.of(part.interval).is_subset(closed)
            for name, part in region.items()
        )
    return any(finding.code.name in _ASKING and region_within(region, finding.region) for finding in mends)


def _undoes_a_drop(before: Loaded, after: Loaded) -> str | None:
    """Which `drop` a statement that was written in would undo; none if it undoes none."""
    old, new = before.ruleset, after.ruleset
    assert old is not None
    assert new is not None
    reasons = dict(old.drops)
    if not reasons:
        return None
    known = {rule.label for rule in old.rules}
    dropped = dropped_rules(before.files, frozenset(reasons))
    for one in new.rules:
        for gone in dropped if one.label not in known else ():
            if brings_back(new, one, gone):
                return f"{gone.label} was dropped because: {reasons[gone.label]}; only a person may bring it back"
    return None


# ---- findings and claims -------------------------------------------------------------------------------------------


def against(before: Report, after: Report, mends: Sequence[Finding]) -> tuple[str | None, tuple[Finding, ...]]:
    """Why a change is not good by what is found, none if it is; and the findings that are gone."""
    for claim in worse_claims(before.claims, after.claims):
        return f"the claim {claim.label} would be {claim.verdict.value}", ()
    # Each finding must be one that was there before, each of those stands for one; those to be mended for none.
    pool = [finding for finding in before.findings if not any(finding is mended for mended in mends)]
    left = list(after.findings)
    for exact in (True, False):
        for new in tuple(left):
            old = next((f for f in pool if _is_still(new, f, exact=exact)), None)
            if old is not None:
                pool.remove(old)
                left.remove(new)
    if not left:
        return None, (*mends, *pool)
    new = next((finding for finding in left if any(_about(finding) == _about(mended) for mended in mends)), left[0])
    word = "leave" if any(_about(new) == _about(mended) for mended in mends) else "bring"
    return f"it would {word} {new.code.code} {new.code.name}: {new.message}", ()


def _about(finding: Finding) -> tuple[object, ...]:
    return (finding.code, finding.path, finding.quantity, finding.limit)


def _is_still(new: Finding, old: Finding, *, exact: bool) -> bool:
    """Whether a finding was there before. Which other statements it names may change with every statement added."""
    if _about(new) != _about(old) or new.undecided > old.undecided or (new.accepted is None) > (old.accepted is None):
        return False
    if new.region is None and new.statements != old.statements:
        # Advice on the rule set as a whole names all that it is about, by labels that a proposal may change.
        return new.code.code.startswith("AL6") and len(new.statements) <= len(old.statements)
    if exact:
        return (new.severity, new.statements, new.region, new.reaction) == (
            old.severity,
            old.statements,
            old.region,
            old.reaction,
        )
    return no_worse(new, old.severity, old.region, old.reaction)


# ---- red inside a time that a limit allows: what no proposal may show


def red_too_early(before: m.RuleSet, after: m.RuleSet, work_limit: int) -> str | None:
    """Which limit a red band that is new or changed cuts short, in a state in which no other limit asks for red and
    nothing was red; none if it cuts none short."""
    known = {_key(band) for band in before.bands}
    new = [b for b in after.bands if b.colour is m.Colour.RED and not b.region.is_failed and _key(b) not in known]
    if not any(declared.except_for for band in new for declared in after.ranges_by_quantity[band.quantity]):
        return None
    context = Context(after, work_limit)
    for band in new:
        old = [one for one in (*after.bands, *before.bands) if one.quantity == band.quantity and _key(one) in known]
        for declared in after.ranges_by_quantity[band.quantity]:
            if declared.forbids and _waits(band) < _allows(declared) and _cuts(context, band, declared, old):
                return f"it would be red inside the {m.in_seconds(_allows(declared))} that {declared.label} allows"
    return None


def _key(band: m.Band) -> tuple[object, ...]:
    return (band.colour, rest_key(band), _waits(band), band.in_total)


def _waits(band: m.Band) -> Fraction:
    return band.held or Fraction(0)


def _allows(declared: m.Range) -> Fraction:
    return declared.except_for or Fraction(0)


def _cuts(context: Context, band: m.Band, declared: m.Range, old: Iterable[m.Band]) -> bool:
    """Whether a band can be red before the time of a limit is over; where that was not decided, it can."""
    encoder = context.encoder
    others = [o for o in context.ruleset.ranges_by_quantity[band.quantity] if o.forbids and _allows(o) <= _waits(band)]
    reds = [o for o in old if o.colour is m.Colour.RED and not o.region.is_failed and _waits(o) <= _waits(band)]

    def meets(index: int | None, part: int | None) -> bool:
        return part is None or index is None or part == index

    for index, _ in context.elements(band.quantity, band.index):
        if not meets(index, declared.index):
            continue
        asked: list[Term] = [encoder.violated(o, index) for o in others if meets(index, o.index)]
        was = [_rest(encoder, o, index) for o in reds if meets(index, o.index)]
        goal = both(encoder.violated(declared, index), _rest(encoder, band, index), negate(disjunction((*asked, *was))))
        if context.is_satisfiable(goal) is not Answer.NO:
            return True
    return False


def _rest(encoder: Encoder, band: m.Band, index: int | None) -> Term:
    """What must hold for a band but its clock; told anew, for the encoder knows one band of a label."""
    unless = FALSE if band.unless is None else encoder.formula(band.unless)
    return both(encoder.formula(band.when), encoder.in_region(band.quantity, index, band.region), negate(unless))
