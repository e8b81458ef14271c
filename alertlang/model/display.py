"""A display: what a box that is to be configured can hold, as far as its file says it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from fractions import Fraction
from pathlib import Path

from alertlang.findings.codes import Severity
from alertlang.findings.finding import Finding
from alertlang.model.declarations import Declarations
from alertlang.model.files import LoadedFile, Loading, load_files
from alertlang.model.ruleset import Colour, DocumentSource, Origin
from alertlang.model.scope import Scope
from alertlang.syntax import tree as t
from alertlang.text.short import Short
from alertlang.text.source import Span


@dataclass(frozen=True, slots=True, repr=False)
class Display(Short):
    """What a box has room for. None (for colours: none at all) where the file does not say it, which is not "nothing".

    `label_length`: characters of a gauge's short label, as `text_length` of an alert's text.
    `scan`: seconds from one look at the sensors to the next. `colours`: those it can show, in the order of the file.
    `spans`: where each was said, by the name of its field; what was not said is not in it.
    """

    name: str
    version: int
    origin: Origin
    bands_per_quantity: int | None = None
    contexts: int | None = None
    timers: int | None = None
    text_length: int | None = None
    scan: Fraction | None = None
    colours: tuple[Colour, ...] = ()
    alerts: int | None = None
    lamps: int | None = None
    label_length: int | None = None
    about: tuple[str, ...] = ()
    sources: tuple[DocumentSource, ...] = ()
    spans: Mapping[str, Span] = field(default_factory=dict, compare=False, repr=False)


@dataclass(frozen=True, slots=True)
class LoadedDisplay:
    """What a file came to. `display` is none if it could not be read, or is none; then `findings` says why.

    Otherwise `findings` holds what is no error. `origin` names the file as far as its header was read.
    """

    path: str
    origin: Origin | None
    display: Display | None
    findings: tuple[Finding, ...]


def load_display(path: Path, *, shown: str | None = None) -> LoadedDisplay:
    """The display in a file. `shown` is how findings name it."""
    return display_in(load_files(path, shown, ()))


def display_in(loading: Loading) -> LoadedDisplay:
    """The display in a file that was read."""
    file, findings = loading.asked, loading.findings
    display: Display | None = None
    if file is not None and loading.is_display:
        display, more = _bind(file)
        findings = findings + more
    elif file is not None:
        # Where it was read what it is, nothing else in it is to the point.
        way_out = "name a file that begins for example: display ..."
        findings = loading.wrong_kind(file, "a display", way_out) or findings
    if any(finding.severity is Severity.ERROR for finding in findings):
        display = None
    findings = sorted(findings, key=lambda finding: finding.sort_key)
    return LoadedDisplay(loading.shown, None if file is None else file.origin, display, tuple(findings))


# What cannot stand in a display, in words.
_ELSEWHERE: Mapping[type[t.Node], str] = {
    t.Use: "`use`",
    t.EngineStatement: "`engine`",
    t.WeightsStatement: "a weight",
    t.QuantityStatement: "a quantity",
    t.SwitchStatement: "a switch",
    t.Let: "a let",
    t.Curve: "a curve",
    t.ConditionStatement: "a condition",
    t.Respond: "`respond within`",
    t.FollowStatement: "`follow`",
    t.Accept: "an accepted exception",
    t.Drop: "`drop`",
    t.Replace: "`replace`",
    t.Assume: "an assumption",
    t.RangeStatement: "a limit or range",
    t.BandStatement: "a band",
    t.AlertStatement: "an alert",
    t.Prove: "a claim",
    t.LampStatement: "a lamp",
    t.GaugeStatement: "a gauge",
    t.InputStatement: "an input",
}

_COUNTS = {
    "bands per quantity": "bands_per_quantity",
    "contexts": "contexts",
    "timers": "timers",
    "alerts": "alerts",
    "lamps": "lamps",
}


def _bind(file: LoadedFile) -> tuple[Display, list[Finding]]:
    of_all_files = tuple(s for s in file.tree.statements if isinstance(s, t.About | t.SourceDeclaration))
    declarations = Declarations([replace(file, tree=replace(file.tree, statements=of_all_files))])
    declarations.declare()
    reading = _DisplayReader(declarations.scope)
    for statement in file.tree.statements:
        reading.take(statement)
    display = Display(
        name=file.origin.name,
        version=file.origin.version,
        origin=file.origin,
        bands_per_quantity=reading.counts.get("bands_per_quantity"),
        contexts=reading.counts.get("contexts"),
        timers=reading.counts.get("timers"),
        text_length=reading.counts.get("text_length"),
        scan=reading.scan,
        colours=tuple(reading.colours),
        alerts=reading.counts.get("alerts"),
        lamps=reading.counts.get("lamps"),
        label_length=reading.counts.get("label_length"),
        about=tuple(declarations.about),
        sources=tuple(source for _, source in declarations.source_list),
        spans=reading.spans,
    )
    return display, reading.scope.findings


@dataclass(slots=True)
class _DisplayReader:
    """Takes the statements of a display one by one; what is wrong with one is said and left out."""

    scope: Scope
    counts: dict[str, int] = field(default_factory=dict)
    scan: Fraction | None = None
    colours: list[Colour] = field(default_factory=list)
    spans: dict[str, Span] = field(default_factory=dict)
    said: dict[str, Span] = field(default_factory=dict)

    def take(self, statement: t.Statement) -> None:
        match statement:
            case t.Allows():
                if self._first("`allows`", statement.span, "put all that it allows into one statement"):
                    self._allows(statement)
            case t.TextLength():
                if self._first("`text up to`", statement.span):
                    self._count("text_length", "the length of a text", statement.characters, statement.span)
            case t.LabelLength():
                if self._first("`labels up to`", statement.span):
                    self._count("label_length", "the length of a label", statement.characters, statement.span)
            case t.Scan():
                if self._first("`scan every`", statement.span):
                    self._scan(statement)
            case t.Colours():
                if self._first("`colours`", statement.span, "put all colours into one statement"):
                    self._colours(statement)
            case t.Header() | t.About() | t.SourceDeclaration():
                # Read before.
                pass
            case _:
                self._misplaced(statement)

    def _first(self, what: str, span: Span, way_out: str = "take one of the two out") -> bool:
        """Whether something is said for the first time."""
        before = self.said.setdefault(what, span)
        if before is span:
            return True
        self.scope.report("bad-value", f"{what} is said already, in line {before.line}", span, way_out)
        return False

    def _allows(self, node: t.Allows) -> None:
        for allowance in node.allowances:
            if self._first(allowance.what, allowance.span):
                self._count(
                    _COUNTS[allowance.what], f"the number of {allowance.what}", allowance.number, allowance.span
                )

    def _count(self, name: str, what: str, value: t.Value, span: Span) -> None:
        number = value.number
        if number.denominator != 1 or number < 1:
            advice = "write a whole number from 1 on"
            self.scope.report("bad-value", f"{what} is a whole number of at least 1", value.span, advice)
            return
        self.counts[name] = int(number)
        self.spans[name] = span

    def _scan(self, node: t.Scan) -> None:
        seconds = self.scope.seconds(node.period)
        if seconds is None:
            return
        if seconds <= 0:
            message = "the time from one scan to the next must be more than 0"
            self.scope.report("bad-value", message, node.period.span, "write for example: scan every 0.2 s")
            return
        self.scan = seconds
        self.spans["scan"] = node.span

    def _colours(self, node: t.Colours) -> None:
        for word in node.colours:
            colour = Colour[word.text.upper()]
            if colour is Colour.UNMARKED:
                message = "unmarked is no colour that a display can show: it means that a gauge has none, on purpose"
                self.scope.report("bad-value", message, word.span, "take it out: every display can show no colour")
            elif colour in self.colours:
                self.scope.report("bad-value", f"{colour.word} is in the list already", word.span, "take it out")
            else:
                self.colours.append(colour)
        if self.colours:
            self.spans["colours"] = node.span

    def _misplaced(self, statement: t.Statement) -> None:
        node = statement.rule if isinstance(statement, t.Labelled) else statement
        way_out = "move it into a .alert or .profile file"
        if isinstance(node, t.Use):
            way_out = "take it out: a display uses no other file"
        self.scope.report(
            "misplaced-statement",
            f"{_ELSEWHERE[type(node)]} cannot stand in a display: a display says only what a box can hold",
            statement.span,
            way_out,
        )
