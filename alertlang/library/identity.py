"""One digest for everything a rule set says: the same in the library and on papers, so that they can be held together.

It is not what an approval is over, which counts the findings too (`Entry.content_digest`).
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from alertlang.format.canonical import canonical_bytes
from alertlang.library.store import canonical_json, digest

if TYPE_CHECKING:
    from alertlang.model.ruleset import RuleSet

SHORT = 16
"""How many digits of a digest are told; the first ones."""


def rules_digest(files: Iterable[tuple[str, str, str]]) -> str:
    """SHA-256 over files, each by its kind, its name and the digest of its canonical text without comments; their order
    makes no difference."""
    return digest(canonical_json(sorted(files)))


def content_digest(ruleset: RuleSet) -> str:
    """That of the file asked for and all it uses. Layout and comments make no difference."""
    found = []
    for origin in ruleset.origins:
        canonical = canonical_bytes(origin.text.encode("utf-8")) if origin.text else None
        found.append((origin.kind, origin.name, origin.sha256 if canonical is None else digest(canonical)))
    return rules_digest(found)
