"""Suggestions that belong into the file that is checked: what a base says is changed by `replace`, not in the base."""

from __future__ import annotations

from dataclasses import replace

from alertlang.diagnostics.finding import Finding, Suggestion
from alertlang.model import ruleset as m


def in_own_file(ruleset: m.RuleSet, one: Finding) -> Finding:
    """The same finding. If what it suggests would change a statement of a base, a statement of the own file takes its
    place: the base may be vetted, and others build on it."""
    suggestion = one.suggestion
    if suggestion is None or suggestion.replaces is None:
        return one
    span = suggestion.replaces
    rule = next((rule for rule in ruleset.rules if rule.span == span), None)
    if rule is None or rule.origin.depth == 0 or rule.origin.kind != "rules":
        return one
    text = suggestion.text.removeprefix("replace ").removeprefix(f"{rule.label}:").lstrip()
    return replace(one, suggestion=Suggestion(f"replace {rule.label}: {text}"))
