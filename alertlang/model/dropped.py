"""What `drop` took away, and whether a statement brings it back."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from alertlang.model import ruleset as m
from alertlang.model.files import LoadedFile
from alertlang.model.resolve import resolve
from alertlang.syntax import tree as t


def dropped_rules(files: Iterable[LoadedFile], labels: frozenset[str]) -> tuple[m.Band | m.Alert, ...]:
    """The bands and alerts with these labels, as they stood before any `drop` in some files."""
    whole = [
        replace(
            file, tree=replace(file.tree, statements=tuple(s for s in file.tree.statements if type(s) is not t.Drop))
        )
        for file in files
    ]
    return tuple(rule for rule in resolve(whole, False)[0].rules if rule.label in labels)


def brings_back(ruleset: m.RuleSet, new: m.Band | m.Alert, old: m.Band | m.Alert) -> bool:
    """Whether a statement does, somewhere, what an older one did: its colour there, or an alert of its level on what it
    reads. Where that is not clear, it does."""
    if isinstance(new, m.Band) and isinstance(old, m.Band):
        same_reading = new.quantity == old.quantity and (new.index == old.index or None in {new.index, old.index})
        if same_reading and new.colour is old.colour and _meet(new, old):
            return True
    if new.alert is None or old.alert is None or new.alert.level is not old.alert.level:
        return False
    return bool(_read(ruleset, new) & _read(ruleset, old))


def _meet(band: m.Band, other: m.Band) -> bool:
    if band.region.is_failed or other.region.is_failed:
        return band.region.is_failed and other.region.is_failed
    if band.region.moves or other.region.moves:
        return True
    return bool(band.region.values.intersect(other.region.values).parts)


def _read(ruleset: m.RuleSet, rule: m.Band | m.Alert) -> frozenset[str]:
    """The quantities that decide whether a statement applies."""
    when = frozenset[str]() if rule.when is None else frozenset(ruleset.quantities_read(rule.when))
    return when | {rule.quantity} if isinstance(rule, m.Band) else when
