"""Proposals written into texts: statements added at the end, or put in the place of others."""

from __future__ import annotations

from collections.abc import Iterable

from alertlang.findings.finding import Edit
from alertlang.model.load import Loaded, rewritten
from alertlang.syntax.parse import parse
from alertlang.syntax.read import read_bytes
from alertlang.text.source import Source, Span

_MARK = b"\xef\xbb\xbf"


def applied(loaded: Loaded, edits: Iterable[Edit]) -> Loaded:
    """What was loaded with some statements added or changed, in whichever of its files; nothing is read or written."""
    texts: dict[str, str] = {}
    own = loaded.files[-1].origin
    changes: dict[str, list[tuple[int, int, str]]] = {own.path: []}
    for edit in edits:
        if edit.replaces is None:
            end = len(own.text)
            start = "" if not own.text or own.text.endswith("\n") else "\n"
            changes[own.path].append((end, end, f"{start}{edit.text}\n"))
        else:
            span = edit.replaces
            changes.setdefault(span.source.path, []).append((span.start, span.end, edit.text))
    for file in loaded.files:
        wanted = changes.get(file.origin.path)
        if wanted:
            texts[file.origin.path] = _changed(file.origin.text, wanted)
    return rewritten(loaded, texts)


def _changed(text: str, changes: list[tuple[int, int, str]]) -> str:
    """A text with pieces of it put anew; what is added at one place stays in its order."""
    parts: list[str] = []
    at = 0
    for start, end, new in sorted(changes, key=lambda change: change[:2]):
        parts += [text[at:start], new]
        at = end
    return "".join((*parts, text[at:]))


def written(data: bytes, shown: str, edits: tuple[Edit, ...]) -> bytes | str:
    """The bytes of a file with a proposal written in, or why that cannot be done. Line ends, comments and everything
    else stay as they are."""
    source = read_bytes(data, shown)
    assert isinstance(source, Source), "a file that was checked can be read"
    raw = data.removeprefix(_MARK).decode("utf-8")
    end = _line_end(raw)
    tree = parse(source)[0]
    changes: list[tuple[int, int, str]] = []
    wanted = len(tree.statements)
    for edit in edits:
        text = edit.text.replace("\n", end)
        if edit.replaces is None:
            before = "" if (changes and changes[-1][0] == len(raw)) or not raw or raw.endswith(("\n", "\r")) else end
            changes.append((len(raw), len(raw), before + text + end))
            wanted += 1
            continue
        span = edit.replaces
        if span.source.path != source.path or span.source.text != source.text:
            return f"it changes a statement of {span.source.path}, which only --fix on that file may do"
        if not any((s.span.start, s.span.end) == (span.start, span.end) for s in tree.statements):
            return "it does not stand for one whole statement"
        if any(span.start <= comment.span.start < span.end for comment in tree.comments):
            return "a comment stands inside the statement and would be lost"
        start, stop = _raw_offsets(raw, span)
        changes.append((start, stop, text))
    changed = (_MARK if data.startswith(_MARK) else b"") + _changed(raw, changes).encode("utf-8")
    again = read_bytes(changed, shown)
    if not isinstance(again, Source):
        return "the file would be too large"
    read, wrong = parse(again)
    if wrong or read.broken or len(read.statements) != wanted:
        return "it is not one whole statement"
    return changed


def _raw_offsets(raw: str, span: Span) -> tuple[int, int]:
    """Where a place of the read text is in the text as it is on disk: a line end of two characters was read as one."""
    pairs: list[int] = []
    at = raw.find("\r\n")
    while at >= 0:
        # Every pair before makes a place come one earlier in what was read.
        pairs.append(at - len(pairs))
        at = raw.find("\r\n", at + 2)
    start, end = (offset + sum(1 for pair in pairs if pair < offset) for offset in (span.start, span.end))
    return start, end


def _line_end(raw: str) -> str:
    """The line end that a text uses first."""
    places = [(raw.find(end), -len(end), end) for end in ("\r\n", "\n", "\r") if end in raw]
    return min(places)[2] if places else "\n"
