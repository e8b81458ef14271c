"""Labels: the written ones, and one derived for every rule without."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, field

from alertlang.syntax import tree as t


def written_labels(file: t.File) -> frozenset[str]:
    """The labels that a file writes before its statements."""
    return frozenset(s.label.text for s in file.statements if isinstance(s, t.Labelled) and s.label is not None)


def shared_labels(profiles: Iterable[t.File]) -> frozenset[str]:
    """The labels that more than one of these profiles writes."""
    counts = Counter(label for profile in profiles for label in written_labels(profile))
    return frozenset(label for label, count in counts.items() if count > 1)


def qualified(label: str, profile: str) -> str:
    """The label of a statement of one of two profiles that both write it: `volts_low` of `bus-28v` becomes
    `bus_28v_volts_low`. Each of them is given its own, so that the plain label names neither by chance."""
    words = re.sub(r"[^a-z0-9]+", "_", profile.lower()).strip("_")
    return f"{words}_{label}" if words[:1].isalpha() else f"profile_{words}_{label}"


def stem(rule: t.Rule) -> str:
    """What a derived label starts with: the quantity, and for all but bands the kind of statement."""
    match rule:
        case t.BandStatement():
            return rule.subject.name.text
        case t.RangeStatement():
            return f"{rule.subject.name.text}_{rule.kind}"
        case t.AlertStatement():
            return "alert"
        case t.Assume():
            return "assume"
        case t.Prove():
            return "prove"


@dataclass(slots=True)
class Labels:
    """Gives labels in the order rules are met: `rpm_1`, `rpm_limit_2`. Written ones are never given again."""

    written: frozenset[str]
    counts: dict[str, int] = field(default_factory=dict)

    def derive(self, rule: t.Rule) -> str:
        start = stem(rule)
        while True:
            self.counts[start] = self.counts.get(start, 0) + 1
            label = f"{start}_{self.counts[start]}"
            if label not in self.written:
                return label
