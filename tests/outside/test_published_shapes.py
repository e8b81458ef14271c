"""Published limits of every shape: what guards them is clean, and each slip is found.

The figures and their sources stand in `tests/outside/shapes`, one entry for each shape. A shape's rules must give no
finding but what they accept with a reason; only advice on published marking rules (AL6xx) is not asked for here. A slip
must give just the findings it names among those that say what is shown, raised and when.
"""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest

from alertlang.api import Rules, load
from alertlang.findings.codes import Severity
from alertlang.findings.finding import Finding
from alertlang.model.ruleset import Condition, Quantity, Range
from tests.outside.shapes import SHAPES, Shape

# What most slips bring along: it is counted where a slip is about it.
FOLLOWS = {"blank-on-failure", "normal-not-green", "nuisance", "silent-danger", "redundant-band"}
SLIPS = [(shape, name) for shape in SHAPES for name in shape.slips]
each = pytest.mark.parametrize("shape", SHAPES, ids=lambda shape: shape.name)
each_slip = pytest.mark.parametrize(("shape", "name"), SLIPS, ids=[f"{shape.name}: {name}" for shape, name in SLIPS])


def panel(files: dict[str, list[str]], folder: Path) -> Rules:
    for name, statements in files.items():
        (folder / name).write_text("\n".join(statements) + "\n", encoding="utf-8")
    return load(folder / "panel.alert")


def serious(rules: Rules) -> list[Finding]:
    return [f for f in rules.check().findings if f.severity >= Severity.WARNING and f.accepted is None]


def about_limits(findings: list[Finding]) -> set[str]:
    """What says that a colour or an alert is missing, wrong or late (AL201 to AL309)."""
    return {f.code.name for f in findings if "AL2" <= f.code.code < "AL4"}


@each
def test_guarded(shape: Shape, tmp_path: Path) -> None:
    report = panel(shape.files(), tmp_path).check()
    left = [f for f in report.findings if f.accepted is None and not f.code.code.startswith("AL6")]
    assert [f"{f.code.name}: {f.message}" for f in left] == []
    assert {claim.verdict.value for claim in report.claims} <= {"proved"}


@each
def test_profile_by_itself_is_clean(shape: Shape, tmp_path: Path) -> None:
    panel(shape.files(), tmp_path)
    for name in shape.profiles:
        report = load(tmp_path / f"{name}.profile").check()
        assert [f.message for f in report.findings if not f.code.code.startswith("AL6")] == []


@each_slip
def test_slip_is_found(shape: Shape, name: str, tmp_path: Path) -> None:
    found, expected = about_limits(serious(panel(shape.broken(name), tmp_path))), shape.slips[name].found
    assert expected
    assert expected <= found
    assert found - FOLLOWS == expected - FOLLOWS


def test_both_limits_of_an_engine_and_its_aircraft_stay_in_sight(tmp_path: Path) -> None:
    """The tighter one is the one that is broken, and each still names its own source."""
    [shape] = [one for one in SHAPES if one.name == "an aircraft that is stricter than its engine"]
    [name] = shape.slips
    rules = panel(shape.broken(name), tmp_path)
    assert {f.limit for f in serious(rules)} == {"aircraft_oil"}
    sources = {one.label: [source.status for source in one.sources] for one in rules.model.ranges}
    assert sources == {"engine_oil": ["document"], "aircraft_oil": ["from memory"]}


def test_the_worst_reaction_time_adds_up(tmp_path: Path) -> None:
    """8 s until the condition is set and 3 s more until the alert, 10 s allowed; the colour is in time."""
    [shape] = [one for one in SHAPES if "dead probes forgotten" in one.slips]
    [finding] = serious(panel(shape.broken("the delays add up to more than 10 s"), tmp_path))
    assert finding.reaction is not None
    assert (finding.reaction.worst, finding.reaction.allowed) == (Fraction(11), Fraction(10))


def test_every_figure_says_how_far_it_can_be_trusted(tmp_path: Path) -> None:
    """Whoever states a limit cites a document, a copy, a memory, or says that there is none."""
    for number, shape in enumerate(SHAPES):
        folder = tmp_path / str(number)
        folder.mkdir()
        model = panel(shape.files(), folder).model
        figures: list[Range | Quantity | Condition] = [
            *model.ranges, *model.quantities.values(), *model.conditions.values(),
        ]  # fmt: skip
        for one in figures:
            assert one.sources or one.origin.kind == "rules" or getattr(one, "derived", None), one.span.text
