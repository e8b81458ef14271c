"""A small reader of evidence files, for the tests: it knows the layout and nothing of how the questions came about."""

from __future__ import annotations

import re
from dataclasses import dataclass

import cvc5
import z3


@dataclass(frozen=True)
class Read:
    """One question as it stands in the file. `script` is without its status."""

    number: int
    about: str
    said: str
    assumptions: tuple[str, ...]
    status: str
    script: str


def read_evidence(text: str) -> tuple[str, list[Read]]:
    """The head as one line of words, and the questions."""
    head, *parts = re.split(r"^; -+$\n", text, flags=re.MULTILINE)
    return _words(head), [_question(part) for part in parts]


def _words(text: str) -> str:
    lines = [line.removeprefix(";").strip() for line in text.splitlines() if line.startswith(";")]
    return " ".join(" ".join(lines).split())


def _question(part: str) -> Read:
    said = _words(part)
    title = re.match(r"QUESTION (\d+) of \d+: (.*?) asks: ", said)
    assumptions = re.search(r" assumptions: (.*?) answer: ", said)
    [status] = re.findall(r"^\(set-info :status (\w+)\)$", part, re.MULTILINE)
    assert title
    assert assumptions
    lines = [line for line in part.splitlines() if line and not line.startswith((";", "(reset)", "(set-info :status"))]
    labels = () if assumptions[1] == "none" else tuple(assumptions[1].split(", "))
    return Read(int(title[1]), title[2], said, labels, status, "\n".join(lines) + "\n")


def said_by_cvc5(text: str) -> list[str]:
    """What cvc5 prints while it goes through a script."""
    solver = cvc5.Solver()
    parser = cvc5.InputParser(solver)
    parser.setStringInput(cvc5.InputLanguage.SMT_LIB_2_6, text, "evidence")
    symbols = parser.getSymbolManager()
    said: list[str] = []
    while not (command := parser.nextCommand()).isNull():
        said.append(command.invoke(solver, symbols))
    return "".join(said).splitlines()


def said_by_z3(text: str) -> list[str]:
    """What Z3 prints while its own reader goes through a script."""
    context = z3.Context()
    said: str = z3.Z3_eval_smtlib2_string(context.ref(), text)
    return said.splitlines()


def wrong(questions: list[Read]) -> list[int]:
    """The numbers of questions to which cvc5 or the reader of Z3 says something else than they state."""
    return [one.number for one in questions if not said_by_cvc5(one.script) == said_by_z3(one.script) == [one.status]]
