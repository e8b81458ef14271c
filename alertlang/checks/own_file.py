"""Suggestions that belong into the file that is checked: what a base says is changed by `replace`, not in the base."""

from __future__ import annotations

from dataclasses import replace

from alertlang.findings.finding import Edit, Finding, Suggestion
from alertlang.model import ruleset as m


def in_own_file(ruleset: m.RuleSet, finding: Finding) -> Finding:
    """The same finding. Where what it suggests would change a statement of a base, a statement of the own file takes
    its place: the base may be vetted, and others build on it."""
    if finding.suggestion is None:
        return finding
    first, *more = (own_edit(ruleset, edit) for edit in finding.suggestion.edits)
    return replace(finding, suggestion=Suggestion(first.text, first.replaces, tuple(more)))


def own_edit(ruleset: m.RuleSet, edit: Edit) -> Edit:
    """The same edit, or the one of the own file that comes to the same."""
    rule = next((rule for rule in ruleset.rules if rule.span == edit.replaces), None)
    if edit.replaces is None or rule is None or rule.origin.depth == 0 or rule.origin.kind != "rules":
        return edit
    text = edit.text.removeprefix("replace ").removeprefix(f"{rule.label}:").lstrip()
    return Edit(f"replace {rule.label}: {text}")
