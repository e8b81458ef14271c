"""What `--evidence` and `--second-solver` have to say."""

from __future__ import annotations

import os
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

import typer

from alertlang.api.rules import ENDING, Asked, Evidence, NoSecondSolverError, evidence_text, second_solver_version
from alertlang.cli.common import complain, not_saved, stop
from alertlang.output.style import Line, wrapped
from alertlang.text.visible import visible
from alertlang.text.write_file import kept

_OPTION = "--evidence"
_MOST_SHOWN = 10


def usable_path(path: Path, files: Sequence[str], *, force: bool) -> None:
    """A usage error if the evidence cannot stand there: said before the work and not after it."""

    def wrong(why: str) -> typer.BadParameter:
        return typer.BadParameter(f"{visible(str(path))}: {why}", param_hint=_OPTION)

    if len(files) > 1:
        raise wrong("evidence is about one rule file: call prove for each of them")
    if path.suffix in ENDING.values() or any(_same(path, Path(name)) for name in files):
        raise wrong("this names a file of rules, not one for evidence: name it for example proof.smt2")
    if path.is_dir():
        raise wrong("this is a folder: name the file in it, for example proof.smt2")
    if path.exists() and not path.is_file():
        raise wrong("this is not a plain file: name one, for example proof.smt2")
    if not path.parent.is_dir():
        raise wrong("there is no such folder: make it first, or name another")
    why = kept(path, force=force, room=";")
    if why is not None:
        raise wrong(why)


def _same(path: Path, other: Path) -> bool:
    try:
        return os.path.samefile(path, other)
    except (OSError, ValueError):
        return False


def need_second_solver() -> None:
    """An error with the way to install it, if it is not there."""
    try:
        second_solver_version()
    except NoSecondSolverError as problem:
        stop(f"--second-solver: {problem}")


def save(path: Path, evidence: Evidence, *, force: bool) -> bool:
    """Writes the evidence, all of it or nothing; whether that could be done."""
    why = not_saved(path, evidence_text(evidence).encode("utf-8"), force=force, room=";")
    if why is not None:
        complain(f"the evidence was not written: {path}: {why}")
    return why is None


def saved_lines(path: Path, evidence: Evidence) -> list[Line]:
    count = len(evidence.asked)
    # Not wrapped: a path is there to be copied.
    return [[("", f"evidence with {count} question{'' if count == 1 else 's'}: {path}")]]


def second_lines(evidence: Evidence, width: int) -> list[Line]:
    """What the second solver says, the worst first."""
    lines: list[Line] = []
    for asked in evidence.disputed:
        said = (
            f"error: the solvers disagree on {_named(asked)}: {evidence.solver} says {asked.answer}, {evidence.second} "
        )
        said += f"says {asked.second}. Asked was whether {_asked(evidence, asked)}"
        lines += wrapped("error", said, width)
    if evidence.disputed:
        advice = "One of the two is wrong: trust no verdict here until it is known which. "
        advice += f"{_OPTION} writes the questions down, for a third solver or for a report."
        lines += wrapped("", advice, width)
    for asked in evidence.unconfirmed[:_MOST_SHOWN]:
        lines += wrapped("warning", f"not confirmed: {_named(asked)}: {_why(evidence, asked)}", width)
    more = len(evidence.unconfirmed) - _MOST_SHOWN
    if more > 0:
        lines += wrapped("warning", f"and {more} more that are not confirmed; {_OPTION} lists them", width)
    style = "good" if len(evidence.confirmed) == len(evidence.asked) else "error"
    said = f"{len(evidence.confirmed)} of {len(evidence.asked)} questions confirmed by {evidence.second}"
    return [*lines, *wrapped(style, said, width)]


def _named(asked: Asked) -> str:
    return f"question {asked.number} ({asked.statement.about})"


def _asked(evidence: Evidence, asked: Asked) -> str:
    head = asked if asked.follows is None else evidence.asked[asked.follows - 1]
    return ("" if asked is head else f"(a question that narrows down question {head.number}) ") + head.statement.asks


def _why(evidence: Evidence, asked: Asked) -> str:
    if asked.answer == "unknown":
        return f"{evidence.solver} has no answer itself"
    return f"{evidence.second} says {asked.second or 'nothing'}"


def second_data(evidence: Evidence) -> Mapping[str, Any]:
    """The same as JSON."""
    return {
        "solver": evidence.second,
        "questions": len(evidence.asked),
        "confirmed": len(evidence.confirmed),
        "not_confirmed": [_data(asked) for asked in evidence.unconfirmed],
        "disagreements": [_data(asked) for asked in evidence.disputed],
    }


def _data(asked: Asked) -> Mapping[str, Any]:
    return {
        "question": asked.number,
        "about": asked.statement.about,
        "asks": asked.statement.asks,
        "answer": asked.answer,
        "second": asked.second,
    }
