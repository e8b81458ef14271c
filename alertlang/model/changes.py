"""The rules of all files in order, each under its label, with what files change of what they inherit."""

from __future__ import annotations

from dataclasses import dataclass, field

from alertlang.model import ruleset as m
from alertlang.model.declarations import good_name
from alertlang.model.files import LoadedFile
from alertlang.model.labels import Labels, qualified, shared_labels, written_labels
from alertlang.model.scope import Scope
from alertlang.syntax import tree as t
from alertlang.text.source import Span
from alertlang.text.suggest import did_you_mean

_ONLY_RULES = {
    t.BandStatement: "a band",
    t.AlertStatement: "an alert",
    t.Prove: "a claim",
    t.Accept: "an accepted exception",
    t.Drop: "`drop`",
    t.Replace: "`replace`",
    t.FollowStatement: "`follow`",
    t.LampStatement: "a lamp",
}

_ONLY_DISPLAYS = {
    t.Allows: "`allows`",
    t.TextLength: "`text up to`",
    t.LabelLength: "`labels up to`",
    t.Scan: "`scan every`",
    t.Colours: "`colours`",
}


@dataclass(slots=True)
class RuleEntry:
    """A rule on its way into the rule set."""

    label: str
    labelled: bool
    rule: t.Rule
    span: Span
    file: LoadedFile
    replaces: bool = False


@dataclass(slots=True)
class Changes:
    """The rules that count, by label, in the order in which they are met."""

    files: list[LoadedFile]
    scope: Scope
    entries: dict[str, RuleEntry] = field(default_factory=dict)
    acceptances: list[tuple[t.Accept, m.Origin]] = field(default_factory=list)
    drops: list[tuple[str, str]] = field(default_factory=list)
    dropped_at: dict[str, Span] = field(default_factory=dict)
    shared: frozenset[str] = frozenset()

    def collect(self) -> None:
        labels = Labels(frozenset(self.scope.declared()))
        # Profiles are written apart, and who uses two of them can change neither.
        self.shared = shared_labels(file.tree for file in self.files if file.origin.kind == "profile")
        for file in self.files:
            # File by file: what a file writes must not rename what it inherits.
            written = written_labels(file.tree)
            labels.written |= written | {self._own_label(label, file) for label in written}
            for statement in file.tree.statements:
                if self._misplaced(statement, file.origin.kind):
                    continue
                match statement:
                    case t.Labelled():
                        self._labelled(statement, labels, file)
                    case t.Replace():
                        self._replace(statement, file)
                    case t.Drop():
                        self._drop(statement, file)
                    case t.Accept():
                        self.acceptances.append((statement, file.origin))
                    case _:
                        pass

    def _misplaced(self, statement: t.Statement, kind: str) -> bool:
        node = statement.rule if isinstance(statement, t.Labelled) else statement
        what = _ONLY_DISPLAYS.get(type(node))
        if what is not None:
            where = "a profile" if kind == "profile" else "rules"
            why = f"{what} cannot stand in {where}: it says what a display can hold"
            way_out = 'move it into a .display file, which begins for example: display "small-panel" version 1'
        elif kind == "profile" and (what := _ONLY_RULES.get(type(node))) is not None:
            says = "a profile says what is true of the aircraft, rules say what is shown"
            why = f"{what} cannot stand in a profile: {says}"
            way_out = "move it into a .alert file that uses this profile"
        else:
            return False
        self.scope.report("misplaced-statement", why, statement.span, way_out)
        return True

    def _own_label(self, label: str, file: LoadedFile) -> str:
        """A written label as it counts: with the profile's name before it where another profile writes it, too."""
        if file.origin.kind == "profile" and label in self.shared:
            return qualified(label, file.origin.name)
        return label

    def _labelled(self, statement: t.Labelled, labels: Labels, file: LoadedFile) -> None:
        rule = statement.rule
        if statement.label is None:
            label = labels.derive(rule)
        else:
            if not good_name(statement.label, self.scope):
                return
            label = self._own_label(statement.label.text, file)
            first = self.entries.get(label)
            if first is not None:
                taken = statement.label.text if first.file is file else label
                inherited = first.file.path in file.uses and first.file.origin.kind == "rules"
                advice = (
                    f"to change the inherited statement write: replace {label}: ..."
                    if inherited
                    else "choose another label"
                )
                self.scope.report(
                    "duplicate-name",
                    f"the label {taken} is taken already, in {first.span.source.path} line {first.span.line}",
                    statement.label.span,
                    advice,
                )
                # Kept under a name that nobody can write, so that its other mistakes are found now.
                label = f"{label} ({len(self.entries)})"
        self.entries[label] = RuleEntry(label, statement.label is not None, rule, statement.span, file)

    def _inherited(self, word: t.WordNode, verb: str, file: LoadedFile) -> RuleEntry | None:
        """The statement that a file changes; none, with a finding, if it is not the file's to change."""
        entry = self.entries.get(word.text)
        if entry is None:
            self._not_there(word, verb, file)
            return None
        place = f"{entry.span.source.path} line {entry.span.line}"
        if entry.file is file and entry.replaces:
            advice = "take one of the two out"
            self.scope.report("bad-change", f"{word.text} is replaced already, in {place}", word.span, advice)
        elif entry.file is file:
            # It is clear what is meant, so it is done; but two statements say what one would say.
            self.scope.warn(
                "bad-change",
                f"{word.text} is a statement of this file (line {entry.span.line}), not an inherited one",
                word.span,
                "change the statement itself",
            )
            return entry
        elif entry.file.origin.kind == "profile":
            self.scope.report(
                "bad-change",
                f"{word.text} is a statement of the profile {entry.file.origin.name}: rules cannot change a profile",
                word.span,
                "a tighter limit may be added; where one does not apply, accept the finding and give the reason",
            )
        elif entry.file.path not in file.uses:
            self.scope.report(
                "bad-change",
                f"{word.text} comes from {place}, which this file does not use",
                word.span,
                "let one of the two files use the other, so that it is clear whose change counts",
            )
        else:
            return entry
        return None

    def _not_there(self, word: t.WordNode, verb: str, file: LoadedFile) -> None:
        if self.scope.is_lost(word.text):
            return
        dropped = self.dropped_at.get(word.text)
        if dropped is not None:
            self.scope.report(
                "bad-change",
                f"{word.text} is dropped already, in {dropped.source.path} line {dropped.line}",
                word.span,
                "take one of the two out",
            )
            return
        candidates = [
            e.label for e in self.entries.values() if e.file.path in file.uses and e.file.origin.kind == "rules"
        ]
        advice = did_you_mean(word.text, candidates, f"`{verb}` works on statements that `use rules` brings in")
        self.scope.report("bad-change", f"no inherited statement is labelled {word.text}", word.span, advice)

    def _replace(self, statement: t.Replace, file: LoadedFile) -> None:
        entry = self._inherited(statement.label, "replace", file)
        if entry is not None:
            self.entries[entry.label] = RuleEntry(entry.label, True, statement.rule, statement.span, file, True)

    def _drop(self, statement: t.Drop, file: LoadedFile) -> None:
        entry = self._inherited(statement.target, "drop", file)
        self.scope.no_reason(statement.reason)
        if entry is not None:
            del self.entries[entry.label]
            self.dropped_at[entry.label] = statement.target.span
            self.drops.append((entry.label, statement.reason.text))
