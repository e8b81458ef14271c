"""What a saved scenario is to show: a finding or a refuted claim, with its witness taken apart."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from fractions import Fraction

from alertlang.findings.finding import Finding, ToldOtherwise, Witness, WitnessReading
from alertlang.meaning.look import RunLook
from alertlang.meaning.sight import Seen, Sight
from alertlang.model import ruleset as m
from alertlang.model.snapshot import FAILED, UNSETTLED
from alertlang.results.report import ClaimResult, Verdict
from alertlang.scenarios import scenario as s

# At a sample, after the witness's state has lasted so many seconds: whether it is seen there.
Test = Callable[[RunLook, Fraction], bool]


@dataclass(frozen=True, slots=True)
class WitnessGoal:
    """`title` and `message` say what is wrong; `name` is for the file. `seen`: none where nothing can tell.

    `about`: what is to be expected. `moment`: the seconds after which it must be looked at, where that matters.
    `labels`: the statements concerned, whose delays have to be waited for.
    """

    name: str
    title: str
    message: str
    witness: Witness
    about: tuple[s.What, ...]
    seen: Test | None
    moment: Fraction | None
    labels: frozenset[str]
    limit: m.Range | None

    @property
    def readings(self) -> Mapping[str, Fraction]:
        """The values there are, by reading; derived ones among them."""
        return {name: fact.value for name, fact in self.witness.items() if isinstance(fact, WitnessReading)}

    @property
    def positions(self) -> Mapping[str, str]:
        return {name: fact for name, fact in self.witness.items() if isinstance(fact, str)}

    @property
    def failed(self) -> tuple[str, ...]:
        """Readings whose sensor has failed."""
        told = (name for name, fact in self.witness.items() if name.endswith(FAILED) and fact is True)
        return tuple(name.removesuffix(FAILED) for name in told)

    @property
    def truths(self) -> tuple[str, ...]:
        """What else is true or false in the witness, in words."""
        told: list[str] = []
        for name, fact in self.witness.items():
            condition, unsettled, _ = name.partition(UNSETTLED)
            if unsettled:
                told.append(f"{condition} is still {'true' if fact else 'false'}")
            elif isinstance(fact, ToldOtherwise):
                told.append(f"{name if fact.told else f'not {name}'}, as the box sees it")
            elif isinstance(fact, bool) and not name.endswith(FAILED):
                told.append(name if fact else f"not {name}")
        return tuple(told)


def goal_of_finding(rules: m.RuleSet, finding: Finding, how: Seen | None) -> WitnessGoal | None:
    """What a finding is to show; none without a witness, or where it was not decided. `how`: by what it is recognised,
    if anything can tell."""
    if not finding.witness or finding.undecided:
        return None
    name = finding.code.name
    index = _element(rules, finding.witness, finding.quantity)
    limit = next((r for r in rules.ranges if r.label == finding.limit), None)

    def seen(look: RunLook, lasted: Fraction) -> bool:
        assert how is not None
        assert finding.witness is not None
        return _fits(finding.witness, look) and how.test(Sight(look, finding, index, lasted))

    about: list[s.What] = []
    if finding.quantity is not None and any(band.quantity == finding.quantity for band in rules.bands):
        about.append(s.GaugeShows(((finding.quantity, index),), None))
    if how is not None and how.alerts:
        concerned = [rule for rule in rules.rules if rule.label in finding.statements[:1]]
        if finding.quantity is not None and not how.own:
            # Calmer ones than the limit needs do not count.
            least = m.Level.ADVISORY if limit is None or limit.needs is None else limit.needs
            concerned = [r for r in rules.rules_for(finding.quantity) if r.alert is not None and r.alert.level >= least]
        about += alerts_of(rules, concerned, index)
    if finding.statements and finding.statements[0] in rules.conditions and finding.quantity is None:
        about.append(s.ConditionHolds(finding.statements[0], True))
    moment = None if finding.reaction is None else finding.reaction.allowed
    if how is not None and how.waits and limit is not None:
        # Broken once its time is over, and still waited for.
        moment = next((rule.held for rule in rules.rules if rule.label in finding.statements[:1]), None)
    return WitnessGoal(
        name if finding.quantity is None else f"{name}-{finding.quantity}",
        f"{finding.code.code} {name}",
        finding.message,
        finding.witness,
        tuple(about),
        seen if how is not None else None,
        moment,
        frozenset(finding.statements),
        limit,
    )


def goal_of_claim(rules: m.RuleSet, result: ClaimResult) -> WitnessGoal | None:
    """What a refuted claim is to show."""
    if result.verdict is not Verdict.REFUTED or not result.witness:
        return None
    claim = next(one for one in rules.claims if one.label == result.label)
    index = claim.index if claim.index is not None else _element(rules, result.witness, claim.quantity)

    def seen(look: RunLook, lasted: Fraction) -> bool:
        assert result.witness is not None
        return _fits(result.witness, look) and refuted(claim, look, index, lasted)

    about: list[s.What] = []
    if claim.quantity is not None and not claim.kind.raises:
        about.append(s.GaugeShows(((claim.quantity, index),), None))
    elif claim.quantity is not None:
        about += alerts_of(rules, list(rules.rules_for(claim.quantity)), index)
    else:
        about += alerts_of(rules, list(rules.rules), None)
    shown = f"; {result.shown}" if result.shown else ""
    return WitnessGoal(
        f"claim-{claim.label}",
        f"the claim {claim.label} is refuted",
        f"{result.text}{shown}",
        result.witness,
        tuple(about),
        seen,
        claim.within,
        frozenset(),
        None,
    )


def alerts_of(rules: m.RuleSet, concerned: list[m.Rule], index: int | None) -> list[s.What]:
    """The alerts of some statements, each text once; of an array that of one element, or of all (`index` none)."""
    labels = {rule.label for rule in concerned}
    there = s.alerts_there_are(rules)
    wanted = [alert for (label, i), alert in there if label in labels and (index is None or i in {None, index})]
    # Whoever else raises the same text cannot be told from it.
    return [
        s.AlertIsUp(alert.level, alert.text, True, tuple(place for place, other in there if other == alert))
        for alert in dict.fromkeys(wanted)
    ]


def refuted(claim: m.Claim, look: RunLook, index: int | None, lasted: Fraction) -> bool:
    """Whether a sample shows that a claim is not so; `lasted` and `index` as in `meaning.sight`."""
    if not look.holds(claim.when) or (claim.within is not None and lasted < claim.within):
        return False
    rules = look.ruleset
    if claim.quantity is None:
        return claim.refuted_by_level(max((alert.level for alert in look.shown.alerts.values()), default=None))
    assert claim.region is not None
    if not look.readings.is_in(claim.region, claim.quantity, index):
        return False
    if claim.kind.raises:
        labels = {rule.label for rule in rules.rules_for(claim.quantity)}
        up = look.shown.alerts.items()
        levels = [a.level for (label, i), a in up if label in labels and i in {None, index}]
        return claim.refuted_by_level(max(levels, default=None))
    bands = [b for b in rules.bands if b.quantity == claim.quantity]
    colours = {b.colour for b in bands if look.shown.applies.get((b.label, index), False)}
    return claim.refuted_by_colours(colours)


def _fits(witness: Witness, look: RunLook) -> bool:
    """Whether the conditions are as a witness has them: each as it is before its delays, and those that have not
    settled not so yet. With a sensor failed the witness tells what would be so otherwise."""
    if any(name.endswith(FAILED) and fact is True for name, fact in witness.items()):
        return True
    for name, fact in witness.items():
        if not isinstance(fact, bool):
            continue
        if name in look.ruleset.conditions and look.condition(name).wanted is not fact:
            return False
        condition, unsettled, _ = name.partition(UNSETTLED)
        if unsettled and look.shown.conditions[condition] is not fact:
            return False
    return True


def _element(rules: m.RuleSet, witness: Witness, quantity: str | None) -> int | None:
    """The element that a witness is about: that of its first reading."""
    if quantity is None or rules.quantities[quantity].size is None:
        return None
    first = m.ReadingId(next(iter(witness)))
    return first.element if first.quantity == quantity else 1
