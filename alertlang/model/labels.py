"""Labels: the written ones, and one derived for every rule without."""

from __future__ import annotations

from dataclasses import dataclass, field

from alertlang.syntax import tree as t


def stem(rule: t.Rule) -> str:
    """What a derived label starts with: the quantity, and for all but bands the kind of statement."""
    match rule:
        case t.Band():
            return rule.subject.name.text
        case t.Range():
            return f"{rule.subject.name.text}_{rule.kind}"
        case t.Alert():
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
