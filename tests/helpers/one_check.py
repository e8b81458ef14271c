"""One check by itself: what it finds in a text, and the text with a suggestion written into it."""

from __future__ import annotations

from types import ModuleType

import alertlang.api as api
from alertlang.checks.context import Context
from alertlang.findings.finding import Finding
from alertlang.model import ruleset as m

HEAD = 'rules "case" version 1\nsource NOTE common practice\n'


def by_itself(module: ModuleType, ruleset: m.RuleSet) -> list[Finding]:
    """What one check finds, quantity by quantity or as a whole, with nothing taken out for the sake of others."""
    context = Context(ruleset)
    if hasattr(module, "check_quantity"):
        return [one for name in ruleset.quantities for one in module.check_quantity(context, name)]
    return list(module.check(context))


def found(module: ModuleType, text: str) -> list[Finding]:
    """The findings of one check among all that is found in a text (which gets a header and the source NOTE)."""
    findings = api.loads(HEAD + text).check().findings
    assert not any(one.undecided for one in findings)
    return [one for one in findings if one.code.name == module.NAME]


def mended(text: str, one: Finding) -> str:
    """A text as for `found` with the suggestion of a finding written into it."""
    assert one.suggestion is not None
    place = one.suggestion.replaces
    if place is None:
        return f"{text}{one.suggestion.text}\n"
    whole = HEAD + text
    assert place.source.text == whole
    return (whole[: place.start] + one.suggestion.text + whole[place.end :]).removeprefix(HEAD)
