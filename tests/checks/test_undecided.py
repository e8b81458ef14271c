"""A check that may not work long enough says that it came to no verdict; it never keeps quiet."""

from __future__ import annotations

from types import ModuleType

import pytest

import alertlang.api as api
from alertlang.checks import (
    blank_on_failure,
    delay_past_exception,
    late_alert,
    lost_guard,
    normal_not_green,
    nuisance,
    redundant_band,
    set_clear_overlap,
    silent_danger,
    stuck_condition,
    transient_gap,
)
from alertlang.checks.context import Cases, Context
from alertlang.findings.codes import Severity
from tests.checks.test_pages import block


@pytest.mark.parametrize(
    "module",
    [
        blank_on_failure,
        delay_past_exception,
        late_alert,
        lost_guard,
        normal_not_green,
        nuisance,
        redundant_band,
        set_clear_overlap,
        silent_danger,
        stuck_condition,
        transient_gap,
    ],
    ids=lambda module: module.NAME,
)
def test_one_step_of_work_decides_nothing(module: ModuleType) -> None:
    assert module.__doc__ is not None
    ruleset = api.loads(block(module.__doc__, "Example")).model
    context = Context(ruleset, work_limit=1)
    if hasattr(module, "check_quantity"):
        findings = [one for name in ruleset.quantities for one in module.check_quantity(context, name)]
    else:
        findings = list(module.check(context))
    assert findings
    for one in findings:
        assert one.undecided
        assert one.severity is Severity.ERROR
        assert one.code.name == module.NAME


def test_no_proof_of_what_is_blank_is_no_proof_of_what_is_not(monkeypatch: pytest.MonkeyPatch) -> None:
    """Where the gaps that stay were not decided, neither are those that settle."""
    assert transient_gap.__doc__ is not None
    context = Context(api.loads(block(transient_gap.__doc__, "Corrected")).model)
    assert not list(transient_gap.check_quantity(context, "rpm"))
    monkeypatch.setattr(context, "cases", lambda *_, **__: Cases((), complete=False, undecided=True))
    [found] = transient_gap.check_quantity(context, "rpm")
    assert found.undecided
