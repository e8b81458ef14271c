"""What the profiles say, and questions about it to the solver."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from alertlang.logic.encode import Encoder
from alertlang.logic.solver import Answer, Decider
from alertlang.logic.terms import FALSE, TRUE, Term, both, disjunction, negate
from alertlang.model import ruleset as m
from alertlang.model.snapshot import told_without
from alertlang.text.source import Span

RUNNING = "running"


@dataclass(frozen=True, slots=True)
class When:
    """A context: `text` is what to write after `when`, empty for always; `term` what it means while all sensors work;
    `reads` the quantities it compares, `formula` it was made from, if it was made from one. `parts`: what it is the
    `and` of; `denied`: what it is the opposite of."""

    text: str
    term: Term
    reads: frozenset[str] = frozenset()
    formula: m.Formula | None = None
    parts: tuple[When, ...] = ()
    denied: When | None = None

    @property
    def grouped(self) -> str:
        """The text in parentheses where something could be taken for a part of it."""
        if self.text.startswith("not (") and _closes(self.text, 4) == len(self.text) - 1:
            return self.text
        return f"({self.text})" if " and " in self.text or " or " in self.text or " for " in self.text else self.text


ALWAYS = When("", TRUE)


@dataclass(frozen=True, slots=True)
class Missing:
    """A quantity whose readings may be missing, how to say so, and which of them it is about."""

    quantity: str
    text: str
    sensors: frozenset[str]


@dataclass(frozen=True, slots=True)
class LimitedReading:
    """A quantity, or one element of an array whose elements are not all limited alike."""

    quantity: m.Quantity
    index: int | None

    @property
    def subject(self) -> str:
        return m.variable(self.quantity.name, self.index)

    @property
    def is_array(self) -> bool:
        return self.quantity.size is not None and self.index is None


class ProfileQueries:
    """Profiles put together. What the solver does not decide counts as possible."""

    def __init__(self, ruleset: m.RuleSet) -> None:
        self.ruleset = ruleset
        self.encoder = Encoder(ruleset)
        self.decider = Decider(self.encoder)

    def is_satisfiable(self, *terms: Term) -> bool:
        together = both(*terms)
        if together is TRUE or together is FALSE:
            return together is TRUE
        return self.decider.is_satisfiable(together) is not Answer.NO

    def implies(self, term: Term, other: Term) -> bool:
        return not self.is_satisfiable(term, negate(other))

    def inside(self, gauge: LimitedReading, region: m.Region) -> Term:
        """The reading is in a region; of an array, that of the first element."""
        index = gauge.index if gauge.index is not None else gauge.quantity.indexes[0]
        return self.encoder.in_region(gauge.quantity.name, index, region)

    def when(self, formula: m.Formula | None) -> When:
        if formula is None:
            return ALWAYS
        reads = self.ruleset.quantities_read(formula)
        parts = tuple(self.when(part) for part in formula.parts) if isinstance(formula, m.And) else ()
        return When(on_one_line(formula.span), self.encoder.formula(formula), reads, formula, parts)

    def is_delayed(self, when: When) -> bool:
        """Whether the context settles late."""
        return any(self.ruleset.conditions[c].is_delayed for c in self.ruleset.conditions_read(when.formula))

    def asked_for(self, gauge: LimitedReading, names: Iterable[str]) -> list[Missing]:
        """The quantities with a sensor of their own that some readings are worked out from, and the gauge's is not."""
        element = gauge.index if gauge.index is not None else gauge.quantity.indexes[0]
        own = self.ruleset.sensors_read(gauge.quantity.name, element)
        behind = {sensor for name in names for sensor in self.ruleset.sensors_of(name)}
        found: list[Missing] = []
        for quantity in self.ruleset.quantities.values():
            sensors = frozenset(m.variable(quantity.name, i) for i in quantity.indexes) - own
            if quantity.name in behind and sensors:
                text = f"{'any ' if quantity.size is not None else ''}{quantity.name} failed"
                found.append(Missing(quantity.name, text, sensors))
        return found

    def is_lost(self, when: When, missing: Missing) -> bool:
        """Whether a context that holds may be told otherwise with a sensor failed."""
        told = self.encoder.in_mode(told_without(missing.sensors))
        return self.is_satisfiable(when.term, negate(self._told(when, told)))

    def _told(self, when: When, encoder: Encoder) -> Term:
        """What a context means where sensors may have failed."""
        if when.denied is not None:
            return negate(self._told(when.denied, encoder))
        if when.parts:
            return both(*(self._told(part, encoder) for part in when.parts))
        return when.term if when.formula is None else encoder.formula(when.formula)

    def blind(self, when: When, gauge: LimitedReading) -> When:
        """The context, or one of its sensors has failed: in doubt it holds. It means the same while all work."""
        lost = [missing for missing in self.asked_for(gauge, when.reads) if self.is_lost(when, missing)]
        if not lost:
            return when
        failed = [missing.text for missing in lost]
        text = " or ".join((when.text, *failed))
        if isinstance(when.formula, m.Held) and when.formula.at_least:
            # What must have lasted lasts on while a sensor fails and comes back: it would start anew each time.
            inner = on_one_line(when.formula.part.span)
            text = f"({' or '.join((inner, *failed))}) for at least {m.in_seconds(when.formula.duration)}"
        return replace(when, text=text, parts=(), denied=None)


def _closes(text: str, opening: int) -> int:
    """Where the parenthesis at `opening` is closed."""
    depth = 0
    for i in range(opening, len(text)):
        depth += (text[i] == "(") - (text[i] == ")")
        if depth == 0:
            return i
    return len(text)


def on_one_line(span: Span) -> str:
    """What was written, without its line breaks and comments."""
    return " ".join(" ".join(line.split("#")[0].split()) for line in span.text.split("\n")).strip()


def opposite(when: When) -> When:
    """The context does not hold."""
    words = when.text.split()
    if len(words) == 3 and words[1] == "is":
        text = f"{words[0]} is not {words[2]}"
    elif len(words) == 4 and words[1:3] == ["is", "not"]:
        text = f"{words[0]} is {words[3]}"
    elif len(words) == 2 and words[0] == "not":
        text = words[1]
    else:
        text = f"not {when.text}" if len(words) == 1 else f"not ({when.text})"
    return When(text, negate(when.term), when.reads, when.formula, denied=when)


def shorter(world: ProfileQueries, base: Term, when: When) -> When:
    """The opposite of an `and`, without what `base` says already: `running and not (running and x)` is `running and not
    x`."""
    denied = when.denied
    if denied is None or len(denied.parts) < 2:
        return when
    kept = list(denied.parts)
    for part in denied.parts:
        if len(kept) > 1 and world.implies(base, part.term):
            kept.remove(part)
    return when if len(kept) == len(denied.parts) else opposite(all_of(kept))


def all_of(parts: list[When]) -> When:
    """All of some contexts; of none, or of nothing but "always", that."""
    kept = [inner for part in parts if part.text for inner in (part.parts or (part,))]
    if len(kept) == 1:
        return kept[0]
    reads = frozenset(name for part in kept for name in part.reads)
    return When(" and ".join(p.grouped for p in kept), both(*(p.term for p in kept)), reads, parts=tuple(kept))


def any_term(parts: list[When]) -> Term:
    return disjunction(part.term for part in parts)
