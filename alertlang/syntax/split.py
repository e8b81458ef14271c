"""A text cut into statements, with its comments, and the characters that cannot be part of one."""

from __future__ import annotations

import re
from dataclasses import dataclass

from alertlang.findings.finding import Finding, finding
from alertlang.syntax.tree import Comment
from alertlang.text.source import Source, Span

# What people paste from manuals and word processors, and what to write in its place.
_STRAY = {
    "\t": ("a tab", "use spaces"),
    "\u201c": ("a typographic quote", 'write "'),
    "\u201d": ("a typographic quote", 'write "'),
    "\u201e": ("a typographic quote", 'write "'),
    "\u00ab": ("a typographic quote", 'write "'),
    "\u00bb": ("a typographic quote", 'write "'),
    "\u2018": ("a typographic quote", 'write "'),
    "\u2019": ("a typographic quote", 'write "'),
    "'": ("a single quote", 'texts stand in double quotes: write "'),
    ";": ("a semicolon", "a statement ends where the next one starts, in the first column: take it out"),
    "`": ("a back quote", 'texts stand in double quotes: write "'),
    "\u2212": ("a typographic minus", "write -"),
    "\u2013": ("a dash", "write - for a minus, `from X to Y` for a range"),
    "\u2014": ("a dash", "write - for a minus, `from X to Y` for a range"),
    "\u2010": ("a typographic hyphen", "write -"),
    "\u2011": ("a typographic hyphen", "write -"),
    "\u2192": ("an arrow", "write ->"),
    "\u2264": ("a sign", "write `at most`"),
    "\u2265": ("a sign", "write `at least`"),
    "<": ("a sign", "write `below`, or `at most` for <="),
    ">": ("a sign", "write `above`, or `at least` for >="),
    "\u00a0": ("a space that is not a space (no-break space)", "type a plain space"),
    "\u202f": ("a space that is not a space (narrow no-break space)", "type a plain space"),
    "\u2009": ("a space that is not a space (thin space)", "type a plain space"),
    "\u200b": ("an invisible character (zero width space)", "take it out"),
    "\ufeff": ("an invisible character (byte order mark)", "take it out"),
    "\u00b5": ("a sign", "units are written in plain letters"),
    "\u00b1": ("a sign", "write the two ends: `from X to Y`"),
    "\u00d7": ("a sign", "write *"),
    "\u00f7": ("a sign", "write /"),
}
# The degree sign is let through to the unit after it, where the message can name the unit.
_PLAIN = re.compile(r"[A-Za-z0-9_ \r\n.,:()\[\]+\-*/=%\u00b0]")
# In a text anything may stand but what would move the letters around it on a screen: control characters, and the
# marks that turn the direction of writing.
_UNSEEN = r"\x00-\x1f\x7f-\x9f\u2028\u2029\u200e\u200f\u202a-\u202e\u2066-\u2069"
_ALL_PLAIN = re.compile(rf'(?:[A-Za-z0-9_ \n.,:()\[\]+*/=%\u00b0-]++|"[^"{_UNSEEN}]*+"|#[^\n]*+)*+')
_IN_TEXT = re.compile(f"[{_UNSEEN}]")
_TOKEN = re.compile(r'"[^"\r\n]*"|#[^\n]*|->|.', re.DOTALL)
_COMMENT_OR_TEXT = re.compile(r'"[^"\n]*"|#[^\n]*')


@dataclass(frozen=True, slots=True)
class StatementText:
    """One statement's stretch of the text, without comments and blanks around it."""

    start: int
    end: int


def split(source: Source) -> tuple[list[StatementText], list[Comment], list[tuple[StatementText, Finding]]]:
    """Statements in order, all comments, and the statements that hold a stray character, each with its finding.

    A statement with a stray character is not among the pieces: its finding is the one thing said about it.
    """
    pieces: list[StatementText] = []
    comments: list[Comment] = []
    findings: list[tuple[StatementText, Finding]] = []
    start = -1
    end = -1
    loose: Finding | None = None
    loose_start = -1

    def close() -> None:
        nonlocal start, loose
        if start >= 0:
            stray = _stray(source, start, end)
            if stray is None:
                pieces.append(StatementText(start, end))
            else:
                findings.append((StatementText(start, end), stray))
        elif loose is not None:
            findings.append((StatementText(loose_start, end), loose))
        start, loose = -1, None

    text = source.text
    for line_start in source.line_starts:
        newline = text.find("\n", line_start)
        line_end = len(text) if newline < 0 else newline
        line = text[line_start:line_end]
        code_end = len(line)
        if "#" in line:
            for match in _COMMENT_OR_TEXT.finditer(line):
                if match.group().startswith("#"):
                    span = Span(source, line_start + match.start(), line_end)
                    comments.append(Comment(span, match.group()))
                    code_end = match.start()
                    break
        code = line[:code_end].rstrip(" \t")
        if not code.strip():
            continue
        indented = code[0] in " \t\u00a0"
        if not indented:
            close()
            start = line_start
        elif start < 0 and loose is None:
            loose_start = line_start + len(code) - len(code.lstrip())
            loose = finding(
                "syntax",
                "an indented line continues a statement, and there is none before it",
                Span(source, loose_start, line_start + len(code)),
                advice=("a statement starts in the first column: take away the spaces before it",),
            )
        end = line_start + len(code)
    close()
    return pieces, comments, findings


def _stray(source: Source, start: int, end: int) -> Finding | None:
    if _ALL_PLAIN.fullmatch(source.text, start, end):
        return None
    for match in _TOKEN.finditer(source.text, start, end):
        token = match.group()
        if token[0] == '"' and len(token) > 1:
            unseen = _IN_TEXT.search(token)
            if unseen is not None:
                return _unseen(source, match.start() + unseen.start())
            continue
        if len(token) > 1 or token == "#" or _PLAIN.match(token):
            continue
        span = Span(source, match.start(), match.start() + 1)
        if token == '"':
            return finding(
                "syntax",
                'a text that is not closed: its second " is missing on this line',
                Span(source, match.start(), _line_end(source, match.start(), end)),
                advice=("a text stands in double quotes on one line",),
            )
        known = _STRAY.get(token)
        if known is not None:
            what, instead = known
            shown = "" if token.isspace() or token in "\u200b\ufeff" else f" ({token})"
            return finding("stray-character", f"{what}{shown} cannot stand here", span, advice=(instead,))
        shown = token if token.isprintable() else f"U+{ord(token):04X}"
        return finding(
            "stray-character",
            f"the character {shown} is not part of the language",
            span,
            advice=("names are plain lower case letters, digits and _",),
        )
    return None


def _unseen(source: Source, place: int) -> Finding:
    character = source.text[place]
    shown = "a tab" if character == "\t" else f"the invisible character U+{ord(character):04X}"
    return finding(
        "stray-character",
        f"{shown} cannot stand in a text",
        Span(source, place, place + 1),
        advice=("take it out, or write a space",),
    )


def _line_end(source: Source, offset: int, end: int) -> int:
    newline = source.text.find("\n", offset, end)
    return end if newline < 0 else newline
