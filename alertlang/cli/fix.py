"""`--fix` and `--diff` of `alertlang check`."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from alertlang.api.rules import Fixed, NameOrFileError, fix
from alertlang.cli.common import stop
from alertlang.output.diff import diff_lines
from alertlang.output.style import Line, wrapped
from alertlang.text.write_file import reason, write_whole


def fixed(name: str, search: Sequence[Path], today: str | None, work_limit: int) -> Fixed | None:
    """What becomes of a file; none if it cannot be read, which the ordinary way of reading it will say."""
    try:
        return fix(name, shown=name, search=search, today=today, work_limit=work_limit)
    except NameOrFileError as problem:
        stop(f"{problem}; nothing was written to it")


def save(name: str, result: Fixed) -> None:
    """Writes the file, if there is anything to write and it is still the one that was read; else a message and
    code 2."""
    if result.after == result.before:
        return
    path = Path(name)
    try:
        if path.read_bytes() != result.before:
            stop(f"{name}: it was changed by something else in the meantime; nothing was written to it")
        write_whole(path, result.after)
    except OSError as problem:
        stop(f"{name}: it could not be written ({reason(problem)}); nothing was written to it")


def told(name: str, result: Fixed, width: int, *, written: bool) -> list[Line]:
    """The difference, and which suggestions are in it and which are not."""
    lines = diff_lines(_text(result.before), _text(result.after), name)
    if lines:
        lines.append([])
    count = len(result.kept)
    if not count and not result.left:
        said = "no finding has a suggestion to write in" if result.found.findings else "nothing to mend"
    else:
        said = f"{count} {'suggestion' if count == 1 else 'suggestions'} {'written' if written else 'to write'} in"
    lines.append([("strong", f"{name}: {said}")])
    for tried in result.kept:
        for given in tried.gives_up:
            lines += _item(f"less strict, as {tried.finding.code.code} {tried.finding.code.name} asks: {given}", width)
    for tried in result.left:
        where = tried.finding.where
        place = f"{tried.finding.path}:{where.line}" if where is not None else tried.finding.path
        lines += _item(f"{place}: {tried.finding.code.code} {tried.finding.code.name} is left: {tried.why}", width)
    if not result.complete:
        lines += _item("stopped after many tries: run it again for what is left", width)
    if count and not written:
        lines += _item("nothing was written; with the above in the file, what follows is found:", width)
    lines.append([])
    return lines


def _item(text: str, width: int) -> list[Line]:
    return wrapped("", text, width, "  ", "    ")


def _text(data: bytes) -> str:
    return data.decode("utf-8-sig")
