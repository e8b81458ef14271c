"""The header of a file: what it is, what it calls itself, and whether that is what was asked for."""

from __future__ import annotations

from alertlang.findings.finding import Finding, finding
from alertlang.model.ruleset import Origin
from alertlang.syntax import display
from alertlang.syntax import tree as t
from alertlang.text.source import Span
from alertlang.text.suggest import nearest

ENDING = {"profile": ".profile", "rules": ".alert", "display": display.ENDING}
"""How the name of a file ends, by kind."""

_KINDS = ("profile", "rules", "display")
A_FILE_OF = {"profile": "a profile", "rules": "a file of rules", "display": "a display"}


def read_header(tree: t.File, depth: int, use: t.Use | None) -> tuple[Origin | None, list[Finding]]:
    """Where the statements of a file come from; none if it cannot be used at all. `use`: what asked for it."""
    wrong: list[Finding] = []

    def report(name: str, message: str, where: Span, *advice: str) -> None:
        wrong.append(finding(name, message, where, advice=advice))

    headers = [s for s in tree.statements if isinstance(s, t.Header)]
    broken = _broken_header(tree)
    if not headers:
        if broken is not None:
            # Said already, at the statement that could not be read.
            kind = use.kind if use else _kind_meant(tree, broken)
            return Origin(kind, "", 0, tree.source.path, depth), wrong
        first = _first(tree)
        if first is not None:
            message = "the file has no header that says what it is"
        else:
            message = "the file holds nothing but comments" if tree.comments else "the file is empty"
        report(
            "misplaced-statement",
            message,
            first or Span(tree.source, 0, 0),
            f"write as its first line, for example: {_example(tree)}",
        )
        return None, wrong
    header = headers[0]
    if tree.statements[0] is not header and broken is None:
        report(
            "misplaced-statement",
            "the header must be the first statement",
            header.span,
            "move this line to the top of the file",
        )
    for again in headers[1:]:
        report(
            "misplaced-statement",
            f"a file has one header, and it stands in line {header.span.line}",
            again.span,
            "take this one out",
        )
    if header.version.number.denominator != 1:
        report("bad-value", "a version is a whole number", header.version.span, "write 1, 2, 3 ...")
    if not header.name.text.strip():
        report(
            "bad-value",
            "the name is empty",
            header.name.span,
            "write the name of the file without its ending",
        )
    if use is not None and header.kind != use.kind:
        advice = f'write: use {header.kind} "{use.name.text}"'
        if header.kind == "display":
            advice = "no file uses a display: take this line out, or name the file that is meant"
        message = f'"{use.name.text}" is {A_FILE_OF[header.kind]}, and {A_FILE_OF[use.kind]} is asked for'
        report("wrong-kind", message, use.name.span, advice)
        return None, wrong
    if use is not None and header.name.text != use.name.text:
        report(
            "name-mismatch",
            f'the file found for "{use.name.text}" calls itself "{header.name.text}"',
            use.name.span,
            "give the file the name in its header, or mend the header",
        )
    source = tree.source
    version = int(header.version.number)
    return Origin(header.kind, header.name.text, version, source.path, depth, source.sha256, source.text), wrong


def _kind_meant(tree: t.File, broken: Span) -> str:
    """What a file is whose header cannot be read, as far as one can tell."""
    words = broken.text.split(maxsplit=1)
    said = nearest(words[0], _KINDS) if words else None
    called = next((kind for kind, ending in ENDING.items() if tree.source.path.endswith(ending)), "rules")
    return said if said is not None and "display" in {said, called} else called


def _example(tree: t.File) -> str:
    of_display = any(isinstance(s, t.Allows | t.TextLength | t.Scan | t.Colours) for s in tree.statements)
    if of_display or tree.source.path.endswith(ENDING["display"]):
        return 'display "small-panel" version 1'
    return 'rules "osier" version 1'


def _broken_header(tree: t.File) -> Span | None:
    """The statement that could not be read and was the header, as far as one can tell."""
    first = _first(tree)
    for span in tree.broken:
        words = span.text.split(maxsplit=1)
        if span is first or (words and nearest(words[0], _KINDS) is not None):
            return span
    return None


def _first(tree: t.File) -> Span | None:
    """The first statement of a file, be it readable or not."""
    read = tree.statements[0].span if tree.statements else None
    lost = tree.broken[0] if tree.broken else None
    if read is None or (lost is not None and lost.start < read.start):
        return lost
    return read
