"""From Lark's reductions to the tree: statements, one method a rule of the grammar."""

from __future__ import annotations

from typing import Any

from lark import Token
from lark.tree import Meta
from lark.visitors import v_args

from alertlang.syntax import tree as t
from alertlang.syntax.parts import Build, Children, Parts, clause, every_other, node, only, text
from alertlang.units.number import parse_number

# Each may be written of one or of several.
_ALLOWED = {
    "BANDS_PER_QUANTITY": "bands per quantity",
    "CONTEXTS": "contexts",
    "TIMERS": "timers",
    "ALERTS": "alerts",
    "LAMPS": "lamps",
}


def _source(status: str) -> Build:
    return lambda self, meta, c: t.SourceDeclaration(self._span(meta), self._word(c[1]), status, self._plain(c[-1]))


def _claim(kind: str) -> Build:
    return lambda _, __, c: (kind, c[0], c[1], c[-1].text, None)


def _range(kind: str, *, timed: bool) -> Build:
    def build(self: Parts, meta: Meta, c: Children) -> t.RangeStatement:
        needs = tuple(x for x in c[4:] if isinstance(x, t.Needs))
        return t.RangeStatement(
            self._span(meta), kind, c[0], c[2], c[3], c[5] if timed else None, needs, _sources(c[4:])
        )

    return build


@v_args(meta=True)
class Builder(Parts):
    """Builds the statements of one source."""

    # ---- head of a file

    def statement(self, meta: Meta, c: Children) -> Any:
        one = c[0]
        return t.Labelled(one.span, None, one) if isinstance(one, t.Rule) else one

    def labelled(self, meta: Meta, c: Children) -> t.Labelled:
        return t.Labelled(self._span(meta), self._word(c[0]), c[1])

    def replace(self, meta: Meta, c: Children) -> t.Replace:
        return t.Replace(self._span(meta), self._word(c[1]), c[2])

    file_kind = text
    source_document = _source("document")
    source_second_hand = _source("second hand")
    source_common_practice = _source("common practice")
    source_from_memory = _source("from memory")

    def engine(self, meta: Meta, c: Children) -> t.EngineStatement:
        return t.EngineStatement(self._span(meta), tuple(self._word(x) for x in c if x.type == "FACT"))

    def weights(self, meta: Meta, c: Children) -> t.WeightsStatement:
        found, sources, repeated = _clauses(c)
        return t.WeightsStatement(self._span(meta), found.get("maximum"), found.get("arcs"), sources, repeated)

    maximum_weight = clause("maximum")
    arcs_at = clause("arcs")

    # ---- what there is to read

    def quantity(self, meta: Meta, c: Children) -> t.QuantityStatement:
        found, sources, repeated = _clauses(c[8:])
        low, high = c[5], c[7]
        return t.QuantityStatement(
            self._span(meta),
            self._word(c[1]),
            c[2],
            self._plain(c[3]),
            t.Value(low.span, low.number, high.unit),
            high,
            found.get("step"),
            found.get("accuracy"),
            found.get("deadband"),
            sources,
            repeated,
        )

    def size(self, meta: Meta, c: Children) -> t.Value:
        return t.Value(self._span(meta), parse_number(str(c[1])), None)

    step, accuracy, deadband = map(clause, ("step", "accuracy", "deadband"))

    def switch(self, meta: Meta, c: Children) -> t.SwitchStatement:
        positions = tuple(self._word(x) for x in c[3:] if x.type == "POSITION")
        return t.SwitchStatement(self._span(meta), self._word(c[1]), self._plain(c[2]), positions)

    def let(self, meta: Meta, c: Children) -> t.Let:
        low, high = c[6], c[8]
        if low is not None:
            low = t.Value(low.span, low.number, high.unit)
        return t.Let(self._span(meta), self._word(c[1]), c[3], low, high, _sources(c))

    def curve(self, meta: Meta, c: Children) -> t.Curve:
        points = tuple(x for x in c[5:] if isinstance(x, tuple))
        otherwise = next((x for x in c[5:] if isinstance(x, t.Value)), None)
        return t.Curve(self._span(meta), self._word(c[1]), c[3], points, otherwise, _sources(c))

    point = every_other(0)

    def condition(self, meta: Meta, c: Children) -> t.ConditionStatement:
        found, sources, repeated = _clauses(c[6:])
        return t.ConditionStatement(
            self._span(meta),
            self._word(c[1]),
            c[3],
            c[5],
            found.get("set_after"),
            found.get("cleared_after"),
            sources,
            repeated,
        )

    set_after, cleared_after = map(clause, ("set_after", "cleared_after"))
    respond = node(t.Respond, 1)

    # ---- rules

    def assume(self, meta: Meta, c: Children) -> t.Assume:
        return t.Assume(self._span(meta), c[2], c[4], _sources(c[5:]))

    limit, avoid = (_range(kind, timed=True) for kind in ("limit", "avoid"))
    precaution, normal = (_range(kind, timed=False) for kind in ("precaution", "normal"))
    given = only(1)

    def needs(self, meta: Meta, c: Children) -> t.Needs:
        return t.Needs(self._span(meta), c[1].text, c[3])

    source_clause = node(t.SourceClause, 1, 2)

    def band(self, meta: Meta, c: Children) -> t.BandStatement:
        alert = None
        if c[8] is not None:
            alert = t.AlertClause(self._word(c[8]).span.to(self._word(c[10]).span), c[9].text, self._word(c[10]))
        return t.BandStatement(self._span(meta), c[1], c[3], c[4], c[5], c[7], alert, _tail(c[11:]))

    def alert(self, meta: Meta, c: Children) -> t.AlertStatement:
        return self._alert(meta, c[1], None, c[3], c[4], c[5:])

    def alert_held(self, meta: Meta, c: Children) -> t.AlertStatement:
        return self._alert(meta, c[1], c[2], c[4], c[5], c[6:])

    def _alert(
        self, meta: Meta, when: Any, held: Any, level: t.WordNode, text: Token, tail: Children
    ) -> t.AlertStatement:
        word = self._word(text)
        clause = t.AlertClause(level.span.to(word.span), level.text, word)
        return t.AlertStatement(self._span(meta), when, held, clause, _tail(tail))

    def held(self, meta: Meta, c: Children) -> t.HeldFor:
        return t.HeldFor(self._span(meta), c[1], c[2] is not None)

    after, unless = map(clause, ("after", "unless"))

    def latched(self, meta: Meta, c: Children) -> tuple[str, Any]:
        return "latched", t.Node(self._span(meta))

    def prove(self, meta: Meta, c: Children) -> t.Prove:
        kind, subject, region, wanted, within = c[4]
        return t.Prove(self._span(meta), c[2], kind, subject, region, wanted, within)

    claim_is, claim_at_least, claim_never = map(_claim, ("is", "at_least", "never"))

    def claim_raises(self, meta: Meta, c: Children) -> Any:
        return "raises", c[0], c[1], c[3].text, c[5]

    def claim_any_raises(self, meta: Meta, c: Children) -> Any:
        return "any_raises", None, None, c[1].text, c[3]

    def claim_quiet(self, meta: Meta, c: Children) -> Any:
        return "quiet", None, None, None, None

    follow = node(t.FollowStatement, 1, 3)
    accept = node(t.Accept, 1, 3, 5, 7)
    drop = node(t.Drop, 1, 3)

    # ---- what a display can hold

    def allows(self, meta: Meta, c: Children) -> t.Allows:
        return t.Allows(self._span(meta), tuple(c[1::2]))

    def allowance(self, meta: Meta, c: Children) -> t.Allowance:
        return t.Allowance(self._span(meta), self._count(c[0]), c[1])

    def allowed(self, meta: Meta, c: Children) -> str:
        return _ALLOWED[c[0].type]

    def text_length(self, meta: Meta, c: Children) -> t.TextLength:
        return t.TextLength(self._span(meta), self._count(c[1]))

    def label_length(self, meta: Meta, c: Children) -> t.LabelLength:
        return t.LabelLength(self._span(meta), self._count(c[1]))

    scan = node(t.Scan, 1)

    def colours(self, meta: Meta, c: Children) -> t.Colours:
        return t.Colours(self._span(meta), tuple(c[1::2]))

    # ---- the panel

    def lamp(self, meta: Meta, c: Children) -> t.LampStatement:
        shows = tuple(x[1] for x in c[3:] if isinstance(x, tuple) and x[0] == "shows")
        found, repeated = _said([x for x in c[3:] if isinstance(x, tuple) and x[0] != "shows"])
        return t.LampStatement(
            self._span(meta),
            self._word(c[1]),
            shows,
            found.get("sequence"),
            found.get("acknowledged_by"),
            found.get("reset_by"),
            repeated,
        )

    def shown(self, meta: Meta, c: Children) -> tuple[str, Any]:
        return "shows", (c[0], True)

    def shown_label(self, meta: Meta, c: Children) -> tuple[str, Any]:
        return "shows", (self._word(c[0]), False)

    def sequence(self, meta: Meta, c: Children) -> tuple[str, Any]:
        return "sequence", t.LampSequence(self._span(meta), self._word(c[1]), c[2])

    def lock_in(self, meta: Meta, c: Children) -> bool:
        return bool(c[0].type == "WITH_LOCK_IN")

    acknowledged_by, reset_by = map(clause, ("acknowledged_by", "reset_by"))

    def gauge(self, meta: Meta, c: Children) -> t.GaugeStatement:
        found, repeated = _said([x for x in c[3:] if isinstance(x, tuple)])
        channels = found.get("channels", ())
        name, label, drawn, sensor = self._word(c[1]), c[2], found.get("drawn"), found.get("sensor")
        return t.GaugeStatement(self._span(meta), name, label, drawn, sensor, channels, repeated)

    labelled_as = only(1)

    def drawn(self, meta: Meta, c: Children) -> tuple[str, Any]:
        return "drawn", t.DrawnAs(self._span(meta), c[1], self._plain(c[3]), c[5])

    shape = wire = text
    sensor, channel = map(clause, ("sensor", "channel"))

    def channels(self, meta: Meta, c: Children) -> tuple[str, Any]:
        return "channels", tuple(self._word(x) for x in c[1:] if x.type == "STRING")

    def input(self, meta: Meta, c: Children) -> t.InputStatement:
        found, repeated = _said([x for x in c[3:] if isinstance(x, tuple)])
        name, label = self._word(c[1]), c[2]
        return t.InputStatement(self._span(meta), name, label, found.get("wired"), found.get("channel"), repeated)

    def wired(self, meta: Meta, c: Children) -> tuple[str, Any]:
        return "wired", t.Wired(self._span(meta), c[1], self._word(c[3]))


def _clauses(
    parts: Children,
) -> tuple[dict[str, t.Value], tuple[t.SourceClause, ...], tuple[t.Value, ...]]:
    """Values by the word before them, source clauses, and the values of words that were said twice."""
    found, repeated = _said([part for part in parts if isinstance(part, tuple)])
    return found, _sources(parts), repeated


def _sources(clauses: Children) -> tuple[t.SourceClause, ...]:
    return tuple(x for x in clauses if isinstance(x, t.SourceClause))


def _tail(parts: Children) -> t.Tail:
    found, repeated = _said(parts)
    return t.Tail(found.get("after"), found.get("latched"), found.get("unless"), repeated)


def _said(parts: Children) -> tuple[dict[str, Any], tuple[Any, ...]]:
    """What was said by the word before it, and what was said twice."""
    found: dict[str, Any] = {}
    repeated = tuple(node for name, node in parts if found.setdefault(name, node) is not node)
    return found, repeated
