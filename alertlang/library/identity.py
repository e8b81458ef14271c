"""One digest for everything a rule set says: what stands on papers, so that they can be told to be of it."""

from __future__ import annotations

import hashlib
from itertools import chain

from alertlang.library.canonical import canonical_bytes
from alertlang.model.ruleset import RuleSet


def content_digest(ruleset: RuleSet) -> str:
    """SHA-256 over the canonical text, without comments, of the file asked for and all it uses, each after its kind and
    name. Layout and comments make no difference."""
    texts: dict[str, str] = {}
    statements = chain(
        ruleset.quantities.values(),
        ruleset.switches.values(),
        ruleset.conditions.values(),
        ruleset.assumptions,
        ruleset.ranges,
        ruleset.rules,
        ruleset.claims,
        ruleset.acceptances,
    )
    for statement in statements:
        texts.setdefault(statement.span.source.path, statement.span.source.text)
    found = hashlib.sha256()
    for origin in ruleset.origins:
        text = texts.get(origin.path)
        canonical = None if text is None else canonical_bytes(text.encode("utf-8"))
        found.update(f"{origin.kind} {origin.name}\n".encode())
        found.update(origin.sha256.encode() if canonical is None else canonical)
    return found.hexdigest()
