"""From a tree back to text: the plainest printer that says the same thing. Only for tests."""

from __future__ import annotations

from alertlang.syntax import tree as t
from alertlang.units.number import show_number
from tests.helpers.regions import TWO_SIDED

_REGIONS = {"below": "below", "above": "above", "at_most": "at most", "at_least": "at least"}


def print_statement(node: t.Statement) -> str:
    match node:
        case t.Header():
            return f'{node.kind} "{node.name.text}" version {show_number(node.version.number)}'
        case t.Use():
            return f'use {node.kind} "{node.name.text}"'
        case t.About():
            return f'about "{node.text.text}"'
        case t.SourceDeclaration():
            status = "" if node.status == "document" else f" {node.status}"
            return f"source {node.name.text}{status}{_text(node.text)}"
        case t.EngineStatement():
            return "engine " + ", ".join(fact.text for fact in node.facts)
        case t.WeightsStatement():
            weights = [
                *([] if node.maximum is None else [f"maximum weight {_value(node.maximum)}"]),
                *([] if node.arcs is None else [f"arcs at {_value(node.arcs)}"]),
            ]
            return ", ".join(weights) + _sources(node.sources)
        case t.QuantityStatement():
            return _quantity(node)
        case t.SwitchStatement():
            return f"switch {node.name.text}{_text(node.title)} " + ", ".join(p.text for p in node.positions)
        case t.Let():
            said = f"let {node.name.text} = {_expression(node.expression)}"
            if node.low is not None:
                said += f", from {show_number(node.low.number)} to {_value(node.high)}"
            return said + _sources(node.sources)
        case t.Curve():
            points = ", ".join(f"{_value(x)} -> {_value(y)}" for x, y in node.points)
            otherwise = "" if node.otherwise is None else f", otherwise {_value(node.otherwise)}"
            return f"curve {node.name.text} over {_subject(node.subject)}: {points}{otherwise}{_sources(node.sources)}"
        case t.ConditionStatement():
            return _condition(node)
        case t.Respond():
            return f"respond within {_value(node.within)}"
        case t.FollowStatement():
            as_of = "" if node.as_of is None else f" as of {node.as_of.text}"
            return f'follow "{node.rule.text}"{as_of}'
        case t.Accept():
            until = "" if node.until is None else f" until {node.until.text}"
            return f'accept {node.check.text} on {node.target.text} because "{node.reason.text}"{until}'
        case t.Drop():
            return f'drop {node.target.text} because "{node.reason.text}"'
        case t.Allows():
            return "allows " + ", ".join(_counted(one.number, one.what) for one in node.allowances)
        case t.TextLength():
            return f"text up to {_counted(node.characters, 'characters')}"
        case t.LabelLength():
            return f"labels up to {_counted(node.characters, 'characters')}"
        case t.LampStatement():
            return _lamp(node)
        case t.GaugeStatement():
            return _gauge(node)
        case t.InputStatement():
            return _input(node)
        case t.Scan():
            return f"scan every {_value(node.period)}"
        case t.Colours():
            return "colours " + ", ".join(colour.text for colour in node.colours)
        case t.Labelled():
            label = "" if node.label is None else f"{node.label.text}: "
            return label + _rule(node.rule)
        case t.Replace():
            return f"replace {node.label.text}: {_rule(node.rule)}"


def _lamp(node: t.LampStatement) -> str:
    said = f'lamp "{node.text.text}" shows ' + " and ".join(word.text for word, _ in node.shows)
    if node.sequence is not None:
        lock_in = {None: "", True: " with lock-in", False: " without lock-in"}[node.sequence.lock_in]
        said += f", sequence {node.sequence.name.text}{lock_in}"
    said += "" if node.acknowledged_by is None else f", acknowledged by {node.acknowledged_by.text}"
    return said + ("" if node.reset_by is None else f", reset by {node.reset_by.text}")


def _gauge(node: t.GaugeStatement) -> str:
    said = f"gauge {node.name.text}" + ("" if node.label is None else f' labelled "{node.label.text}"')
    if node.drawn is not None:
        said += f", drawn as {node.drawn.shape}"
        said += "" if node.drawn.unit is None else f" in {node.drawn.unit.text}"
        said += "" if node.drawn.resolution is None else f" to {_value(node.drawn.resolution)}"
    said += "" if node.sensor is None else f', sensor "{node.sensor.text}"'
    if not node.channels:
        return said
    return f"{said}, channel{'s' if len(node.channels) > 1 else ''} " + ", ".join(
        f'"{channel.text}"' for channel in node.channels
    )


def _input(node: t.InputStatement) -> str:
    said = f"input {node.name.text}" + ("" if node.label is None else f' labelled "{node.label.text}"')
    said += "" if node.wired is None else f", wired to {node.wired.to} when {node.wired.position.text}"
    return said + ("" if node.channel is None else f', channel "{node.channel.text}"')


def _counted(number: t.Value, what: str) -> str:
    one = {"bands per quantity": "band per quantity"}.get(what, what.removesuffix("s"))
    return f"{_value(number)} {one if number.number == 1 else what}"


def _rule(node: t.Rule) -> str:
    match node:
        case t.Assume():
            return f"assume {_when(node.when)}{_formula(node.formula)}{_sources(node.sources)}"
        case t.RangeStatement():
            except_for = "" if node.except_for is None else f" except for {_value(node.except_for)}"
            needs = "".join(f", needs {n.level}" + _within(n.within) for n in node.needs)
            when = "" if node.when is None else f"when {_formula(node.when)} "
            place = f"{_subject(node.subject)} {_region(node.region)}"
            return f"{when}{node.kind} {place}{except_for}{needs}{_sources(node.sources)}"
        case t.BandStatement():
            alert = "" if node.alert is None else f" with {_alert(node.alert)}"
            place = f"{_subject(node.subject)} {_region(node.region)}{_held(node.held)}"
            return f"{_when(node.when)}{place} is {node.colour.text}{alert}{_tail(node.tail)}"
        case t.AlertStatement():
            return f"when {_formula(node.when)}{_held(node.held)} then {_alert(node.alert)}{_tail(node.tail)}"
        case t.Prove():
            return f"prove {_when(node.when)}{_claim(node)}"


def _claim(node: t.Prove) -> str:
    if node.kind == "quiet":
        return "quiet"
    if node.kind == "any_raises":
        return f"raises {node.wanted}{_within(node.within)}"
    assert node.subject is not None
    assert node.region is not None
    place = f"{_subject(node.subject)} {_region(node.region)}"
    if node.kind == "raises":
        return f"{place} raises {node.wanted}{_within(node.within)}"
    word = {"is": "", "at_least": "at least ", "never": "never "}[node.kind]
    return f"{place} is {word}{node.wanted}"


def _quantity(node: t.QuantityStatement) -> str:
    size = "" if node.size is None else f"[{show_number(node.size.number)}]"
    ends = f"from {show_number(node.low.number)} to {_value(node.high)}"
    clauses = "".join(
        f", {word} {_value(value)}"
        for word in ("step", "accuracy", "deadband")
        if (value := getattr(node, word)) is not None
    )
    return f"quantity {node.name.text}{size}{_text(node.title)} {ends}{clauses}{_sources(node.sources)}"


def _condition(node: t.ConditionStatement) -> str:
    until = "" if node.until is None else f" until {_formula(node.until)}"
    set_after = "" if node.set_after is None else f", set after {_value(node.set_after)}"
    cleared = "" if node.cleared_after is None else f", cleared after {_value(node.cleared_after)}"
    return f"condition {node.name.text} means {_formula(node.formula)}{until}{set_after}{cleared}" + _sources(
        node.sources
    )


def _formula(node: t.Formula) -> str:
    match node:
        case t.NamedNode():
            return _subject(node.subject)
        case t.CompareNode():
            return f"{_quantifier(node.quantifier)}{_subject(node.subject)} {_region(node.region)}"
        case t.Failed():
            return f"{_quantifier(node.quantifier)}{_subject(node.subject)} failed"
        case t.IsAt():
            return f"{_subject(node.subject)} is {'not ' if node.negated else ''}{node.position.text}"
        case t.NotNode():
            return f"not {_in(node.part, t.AndNode | t.OrNode | t.HeldNode)}"
        case t.AndNode():
            return " and ".join(_in(part, t.AndNode | t.OrNode) for part in node.parts)
        case t.OrNode():
            return " or ".join(_in(part, t.OrNode) for part in node.parts)
        case t.HeldNode():
            word = "at least" if node.at_least else "less than"
            return f"{_in(node.part, t.AndNode | t.OrNode | t.NotNode | t.HeldNode)} for {word} {_value(node.duration)}"


def _in(node: t.Formula, in_parentheses: object) -> str:
    said = _formula(node)
    return f"({said})" if isinstance(node, in_parentheses) else said  # type: ignore[arg-type]


def _expression(node: t.Expression) -> str:
    match node:
        case t.Constant():
            return _value(node.value)
        case t.ReadNode():
            return _subject(node.subject)
        case t.StatisticNode():
            return f"{node.kind} of {_subject(node.subject)}"
        case t.TrendNode():
            return f"{node.kind} of {_subject(node.subject)} per {node.per.text}"
        case t.Arithmetic():
            # Parentheses wherever the grammar's own order would give another tree, and no others.
            weak = node.operator in "+-"
            left, right = _expression(node.left), _expression(node.right)
            if isinstance(node.left, t.Arithmetic) and not weak and node.left.operator in "+-":
                left = f"({left})"
            if isinstance(node.right, t.Arithmetic) and not (weak and node.right.operator in "*/"):
                right = f"({right})"
            return f"{left} {node.operator} {right}"


def _region(node: t.RegionNode) -> str:
    if node.kind == "failed":
        return "failed"
    if node.second is None:
        return f"{_REGIONS[node.kind]} {_bound(node.first)}"
    return TWO_SIDED[node.kind].format(_bound(node.first), _bound(node.second))


def _bound(node: t.Bound) -> str:
    return node.text if isinstance(node, t.WordNode) else _value(node)


def _tail(tail: t.Tail) -> str:
    after = "" if tail.after is None else f" after {_value(tail.after)}"
    latched = "" if tail.latched is None else " latched"
    return after + latched + ("" if tail.unless is None else f" unless {_formula(tail.unless)}")


def _held(node: t.HeldFor | None) -> str:
    if node is None:
        return ""
    return f" for more than {_value(node.duration)}{' in total' if node.in_total else ''}"


def _alert(node: t.AlertClause) -> str:
    return f'{node.level} "{node.text.text}"'


def _when(node: t.Formula | None) -> str:
    return "" if node is None else f"when {_formula(node)} then "


def _within(node: t.Value | None) -> str:
    return "" if node is None else f" within {_value(node)}"


def _sources(nodes: tuple[t.SourceClause, ...]) -> str:
    return "".join(f", source {node.name.text}{_text(node.note)}" for node in nodes)


def _quantifier(word: str | None) -> str:
    return "" if word is None else f"{word} "


def _text(word: t.WordNode | None) -> str:
    return "" if word is None else f' "{word.text}"'


def _subject(node: t.SubjectNode) -> str:
    return node.name.text if node.index is None else f"{node.name.text}[{show_number(node.index.number)}]"


def _value(node: t.Value | None) -> str:
    assert node is not None
    return show_number(node.number) + ("" if node.unit is None else f" {node.unit.text}")
