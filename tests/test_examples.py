"""Every example runs and is what it says of itself.

Source of what is expected: the first line of each file with a mistake ("# Mistake: ...; found by: NAME"), and its name.
"""

from __future__ import annotations

import re
import shutil
from collections.abc import Callable
from functools import cache
from pathlib import Path

import pytest

from alertlang.api import Rules, load, loads
from alertlang.checks.context import Context
from alertlang.cli.common import FailOn, exit_code
from alertlang.findings.codes import BY_NAME, Severity
from alertlang.findings.finding import Finding, Witness, WitnessReading
from alertlang.meaning.instant import Instant, State
from alertlang.model.ruleset import Band, Claim, Colour, Compare, Range, RuleSet
from alertlang.model.snapshot import FAILED
from alertlang.results.report import Report, Verdict
from alertlang.text.resources import examples_dir
from alertlang.text.source import Span

EXAMPLES = examples_dir()
VETTED = [
    EXAMPLES / "01-first-rules" / "first.alert",
    EXAMPLES / "02-bramble" / "bramble.alert",
    EXAMPLES / "02-bramble" / "bramble-panel.alert",
]
MISTAKES = sorted((EXAMPLES / "02-bramble" / "mistakes").glob("*.alert"))
FIRST_MISTAKE = EXAMPLES / "01-first-rules" / "first-mistake.alert"
WRONG = [FIRST_MISTAKE, *MISTAKES]
by_name = pytest.mark.parametrize("path", WRONG, ids=lambda path: path.stem)

# Found in the text or in how statements stand to each other: there is no single state to show.
WITHOUT_WITNESS = {"colour-level", "redundant-band", "unreachable-band"}


def expected(path: Path) -> str:
    match = re.match(r"# Mistake: .+; found by: ([a-z-]+)\n", path.read_text(encoding="utf-8"))
    assert match is not None, "the first line says what is wrong and which check finds it"
    return match[1]


@cache
def rules_of(path: Path) -> Rules:
    return load(path)


@cache
def report_of(path: Path) -> Report:
    return rules_of(path).check()


def serious(report: Report) -> list[Finding]:
    return [f for f in report.findings if f.severity >= Severity.WARNING]


# ---- all of them


def test_every_rules_file_is_either_vetted_or_a_mistake() -> None:
    assert sorted(EXAMPLES.rglob("*.alert")) == sorted([*VETTED, *WRONG])


@pytest.mark.parametrize("path", sorted(EXAMPLES.rglob("*.profile")), ids=lambda path: path.stem)
def test_profile_is_clean(path: Path) -> None:
    assert report_of(path).findings == ()


def test_what_the_vetted_rules_accept() -> None:
    """One piece of advice, with a reason; nothing else is set aside."""
    accepted = [(f.code.name, f.severity, f.statements) for f in report_of(VETTED[1]).findings]
    assert accepted == [("lingering-alert", Severity.NOTE, ("overspeed",))]


@pytest.mark.parametrize("path", VETTED, ids=lambda path: path.stem)
def test_vetted_rules_are_clean(path: Path) -> None:
    report = report_of(path)
    assert [f.message for f in report.findings if f.accepted is None] == []
    assert exit_code([report], FailOn.NOTE) == 0
    assert {claim.verdict for claim in report.claims} <= {Verdict.PROVED}


# ---- the mistakes


def test_there_are_mistakes_of_eleven_different_kinds() -> None:
    assert len(MISTAKES) == 11
    assert {path.stem for path in MISTAKES} <= set(BY_NAME)


@pytest.mark.parametrize("path", MISTAKES, ids=lambda path: path.stem)
def test_mistake_is_named_for_the_check_that_finds_it(path: Path) -> None:
    assert path.stem == expected(path)


@by_name
def test_mistake_is_found_and_nothing_else(path: Path) -> None:
    assert {f.code.name for f in serious(report_of(path))} == {expected(path)}


@by_name
def test_exit_code(path: Path) -> None:
    report = report_of(path)
    refutes = any(claim.verdict is Verdict.REFUTED for claim in report.claims)
    is_error = refutes or BY_NAME[expected(path)].severity is Severity.ERROR
    assert exit_code([report], FailOn.ERROR) == (1 if is_error else 0)
    assert exit_code([report], FailOn.WARNING) == 1


# ---- their witnesses, held against the reference evaluator


def instant_of(model: RuleSet, witness: Witness) -> Instant:
    readings = {name: fact.value for name, fact in witness.items() if isinstance(fact, WitnessReading)}
    positions = {name: fact for name, fact in witness.items() if isinstance(fact, str)}
    # A condition without `until` is worked out; every other truth is one that a single instant leaves open.
    open_truths = {
        name: fact
        for name, fact in witness.items()
        if isinstance(fact, bool) and (name not in model.conditions or model.conditions[name].until is not None)
    }
    return Instant(model, State(readings, positions, open_truths))


def element(finding: Finding) -> int | None:
    """The element that a witness is about: its first reading."""
    assert finding.witness is not None
    match = re.search(r"\[(\d+)\]", next(iter(finding.witness)))
    return int(match[1]) if match else None


def is_gap(model: RuleSet, finding: Finding, instant: Instant) -> bool:
    assert finding.quantity is not None
    return not instant.colours(finding.quantity, element(finding))


def both_apply(model: RuleSet, finding: Finding, instant: Instant) -> bool:
    bands = {band.label: band for band in model.bands}
    pair = [bands[label] for label in finding.statements[:2]]
    return pair[0].colour is not pair[1].colour and all(instant.applies(band, element(finding)) for band in pair)


def limit_of(model: RuleSet, finding: Finding) -> Range:
    [one] = [one for one in model.ranges if one.label == finding.limit]
    return one


def is_unguarded(model: RuleSet, finding: Finding, instant: Instant) -> bool:
    one, index = limit_of(model, finding), element(finding)
    return instant.violates(one, index) and instant.colour(one.quantity, index) is not Colour.RED


def lacks_alert(model: RuleSet, finding: Finding, instant: Instant) -> bool:
    one, index = limit_of(model, finding), element(finding)
    level = instant.level_for(one.quantity, index)
    assert one.needs is not None
    return instant.violates(one, index) and (level is None or level < one.needs)


def is_late(model: RuleSet, finding: Finding, instant: Instant) -> bool:
    """The limit is broken, an alert comes if it lasts, and it comes later than is allowed."""
    one, index = limit_of(model, finding), element(finding)
    assert finding.reaction is not None
    level = instant.level_for(one.quantity, index, eventually=True)
    allowed = one.allowed + (one.except_for or 0)
    late = finding.reaction.worst > finding.reaction.allowed == allowed
    return instant.violates(one, index) and level is not None and level >= (one.needs or level) and late


def is_lost(model: RuleSet, finding: Finding, instant: Instant) -> bool:
    """The limit is broken and red while all sensors work, and not red with one of them dead."""
    one, index = limit_of(model, finding), element(finding)
    [sensor] = [name.removesuffix(FAILED) for name in instant.state.flags if name.endswith(FAILED)]
    # Only the name of the mode comes from the solver's side, for open truths are named after it.
    blind = instant.in_mode(Context(model).encoder_for(failing=frozenset((sensor,))).mode)
    assert instant.violates(one, index)
    assert instant.colour(one.quantity, index) is Colour.RED
    return blind.is_possible() and blind.colour(one.quantity, index) is not Colour.RED


def is_set_and_cleared(model: RuleSet, finding: Finding, instant: Instant) -> bool:
    condition = model.conditions[finding.statements[0]]
    return instant.holds(condition.formula) and instant.holds(condition.until)


CONFIRM: dict[str, Callable[[RuleSet, Finding, Instant], bool]] = {
    "gap": is_gap,
    "conflict": both_apply,
    "disagreement": both_apply,
    "unguarded-limit": is_unguarded,
    "missing-alert": lacks_alert,
    "late-alert": is_late,
    "lost-guard": is_lost,
    "set-clear-overlap": is_set_and_cleared,
}


@by_name
def test_witness_is_confirmed_by_the_reference_evaluator(path: Path) -> None:
    rules = rules_of(path)
    name = expected(path)
    for finding in serious(report_of(path)):
        if name in WITHOUT_WITNESS:
            assert not finding.witness
            continue
        assert finding.witness, finding.message
        instant = instant_of(rules.model, finding.witness)
        assert instant.is_possible()
        assert CONFIRM[name](rules.model, finding, instant)
        for condition, value in finding.witness.items():
            if isinstance(value, bool) and condition in rules.model.conditions:
                assert instant.condition(condition) is value


@by_name
def test_witness_is_on_the_step_of_every_quantity(path: Path) -> None:
    rules = rules_of(path)
    for finding in serious(report_of(path)):
        for name, fact in (finding.witness or {}).items():
            if isinstance(fact, WitnessReading):
                step = rules.model.quantities[name.split("[")[0]].step
                assert step is None or fact.value % step == 0


# ---- their suggestions


def pasted(path: Path, text: str, replaces: Span | None, work: Path) -> Rules:
    """The example with a suggestion put where it says: in the place of a statement, or at the end."""
    shutil.copytree(EXAMPLES, work)
    copy = work / path.relative_to(EXAMPLES)
    target = copy
    if replaces is not None and replaces.source.path != f"examples/{path.relative_to(EXAMPLES).as_posix()}":
        target = work / Path(replaces.source.path).relative_to("examples")
    before = target.read_text(encoding="utf-8")
    if replaces is None:
        after = f"{before}\n{text}\n"
    else:
        assert before[replaces.start : replaces.end] == replaces.text
        after = before[: replaces.start] + text + before[replaces.end :]
    target.write_text(after, encoding="utf-8")
    return load(copy)


@by_name
def test_each_suggestion_removes_its_finding(path: Path, tmp_path: Path) -> None:
    def key(finding: Finding) -> tuple[str, str | None, str | None]:
        return finding.code.name, finding.quantity, finding.limit

    for number, finding in enumerate(serious(report_of(path))):
        if finding.suggestion is None:
            continue
        mended = pasted(path, finding.suggestion.text, finding.suggestion.replaces, tmp_path / str(number))
        assert key(finding) not in {key(one) for one in serious(mended.check())}


def test_which_mistakes_come_with_a_suggestion() -> None:
    """All but those where only people know which of two things was meant, or how long something may take."""
    without = {path.stem for path in WRONG if any(f.suggestion is None for f in serious(report_of(path)))}
    assert without == {"disagreement", "late-alert", "redundant-band", "unreachable-band"}


def test_the_suggestion_for_a_dead_probe_is_what_the_vetted_rules_say() -> None:
    [finding] = serious(report_of(EXAMPLES / "02-bramble" / "mistakes" / "lost-guard.alert"))
    assert finding.suggestion is not None
    assert "when cold or oil_temp failed then rpm above 1200 rpm is red" in finding.suggestion.text
    vetted = rules_of(VETTED[1]).model.conditions["cold_or_blind"]
    assert vetted.span.text == "condition cold_or_blind means cold or oil_temp failed"


# ---- the claims of the vetted rules


def test_warm_up_is_proved() -> None:
    claims = {claim.label: claim for claim in rules_of(VETTED[1]).prove()}
    assert claims["warm"].verdict is Verdict.PROVED
    assert claims["warm"].witness is None
    assert claims["warm"].text == "warm: prove when oil_temp below 75 F then rpm above 1200 rpm is red"


def test_warm_up_is_refuted_without_the_rule_for_a_cold_engine() -> None:
    text = 'rules "without" version 1\nuse rules "bramble"\ndrop cold_engine because "to see what it is for"\n'
    rules = loads(text, name="without.alert", folder=EXAMPLES / "02-bramble")
    report = rules.check()
    results = {claim.label: claim for claim in rules.prove()}
    left = {label for label, result in results.items() if result.verdict is not Verdict.PROVED}
    assert left == {"warm", "warm_soon", "oil_probe_dead"}
    refuted = results["warm"]
    assert refuted.verdict is Verdict.REFUTED
    assert refuted.witness is not None
    [claim] = [claim for claim in rules.model.claims if claim.label == "warm"]
    instant = instant_of(rules.model, refuted.witness)
    assert instant.is_possible()
    assert instant.holds(claim.when)
    assert instant.holds(region_of(claim))
    assert instant.colour("rpm", None) is Colour.GREEN
    assert not any(f.code.name == "gap" for f in serious(report)), "green shows, so nothing but the limit tells"
    assert {f.limit for f in serious(report) if f.code.name == "unguarded-limit"} == {"warm_up"}


def region_of(claim: Claim) -> Compare:
    assert claim.quantity is not None
    assert claim.region is not None
    return Compare(claim.quantity, claim.index, claim.region, claim.span)


@pytest.mark.parametrize("path", MISTAKES, ids=lambda path: path.stem)
def test_mistake_says_which_claims_it_refutes(path: Path) -> None:
    said = re.search(r"^# The claims? (\w+)(?: and (\w+))? (?:is|are) refuted too\.$", path.read_text("utf-8"), re.M)
    refuted = {one.label for one in rules_of(path).prove() if one.verdict is not Verdict.PROVED}
    assert refuted == ({label for label in said.groups() if label} if said else set())


def test_which_claims_some_mistake_refutes() -> None:
    refuted = {one.label for path in MISTAKES for one in rules_of(path).prove() if one.verdict is Verdict.REFUTED}
    assert refuted == {"warm", "oil_probe_dead", "oil_lost"}


def test_every_gauge_of_the_vetted_rules_has_bands() -> None:
    model = rules_of(VETTED[1]).model
    assert {band.quantity for band in model.bands if isinstance(band, Band)} == {
        quantity.name for quantity in model.quantities.values() if quantity.derived is None
    }
