"""Slips with the statements of the panel: they have no label, so nothing can be replaced, dropped or accepted by it."""

from __future__ import annotations

import re

from alertlang.findings.finding import Finding, finding
from alertlang.syntax.explain import BrokenStatement
from alertlang.text.source import Span

# A statement of the panel begins with its word and what it is about; else that word is a name.
_PANEL = r"(?P<kind>lamp(?=\s*\")|(?:gauge|input)(?=\s+[A-Za-z_]\w*\s*(?:$|,|labelled\b)))"
_LABELLED = re.compile(rf"(?P<replace>replace\s+)?(?P<label>[A-Za-z_]\w*\s*:)\s*{_PANEL}")
_CHANGED = re.compile(rf"(?P<verb>replace|drop)\s+{_PANEL}")
_ACCEPTED = re.compile(r"accept\s+[\w-]+\s+on\s+(?P<lamp>(?:lamp\s*)?\"[^\"\n]*\")")

_KNOWN_BY = {"lamp": "the text on it", "gauge": "its quantity", "input": "its switch"}
_APART = "to have other ones, let {}s stand in a file of their own that uses the rules, and use the rules alone"


def slip(broken: BrokenStatement) -> Finding | None:
    """The finding for a label on a statement of the panel, or for a change or an acceptance of one; else none."""
    source, start, end = broken.statement.source, broken.statement.start, broken.statement.end
    if found := _LABELLED.match(source.text, start, end):
        kind = found["kind"]
        where = Span(source, found.start("label"), found.end("label"))
        if found["replace"]:
            return _cannot("replace", kind, where)
        way_out = f"take `{found['label']}` out"
        return finding("syntax", f"{_a(kind)} has no label: it is known by {_KNOWN_BY[kind]}", where, advice=(way_out,))
    if found := _CHANGED.match(source.text, start, end):
        return _cannot(found["verb"], found["kind"], Span(source, found.start("kind"), found.end("kind")))
    if found := _ACCEPTED.match(source.text, start, end):
        message = "a finding is accepted on a label or a quantity, and a lamp has neither"
        advice = "accept it on an alert that the lamp should show, or change the lamp"
        return finding("syntax", message, Span(source, found.start("lamp"), found.end("lamp")), advice=(advice,))
    return None


def _cannot(verb: str, kind: str, where: Span) -> Finding:
    done = {"replace": "replaced", "drop": "dropped"}[verb]
    message = f"{_a(kind)} has no label, so an inherited one cannot be {done}"
    return finding("syntax", message, where, advice=(_APART.format(kind),))


def _a(kind: str) -> str:
    return f"an {kind}" if kind == "input" else f"a {kind}"
