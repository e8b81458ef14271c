"""Every question that checking the examples asks, answered again by another solver.

Source: the independent solver cvc5, by way of the SMT-LIB 2 scripts. These are written from the questions and not from
what Z3 was given, so neither the translation nor the solver is shared.
"""

from __future__ import annotations

import re
from functools import cache
from pathlib import Path

import cvc5
import pytest

from alertlang.api import load, loads
from alertlang.checks.context import Context
from alertlang.checks.run import run_in
from alertlang.logic.smtlib import script
from alertlang.logic.solver import Answer, Question
from alertlang.model.ruleset import RuleSet
from alertlang.text.resources import examples_dir

EXAMPLES = sorted(examples_dir().rglob("*.alert"))

# What the examples have none of: an assumption that matters, and numbers that are no decimals or are negative.
ASSUMING = """rules "assuming" version 1
source S common practice "invented for this test"
quantity rpm from 0 to 3500 rpm, step 10 rpm
quantity oil_temp from -40 to 300 F, step 1 F
quantity oil_pressure from 0 to 10 bar, step 0.1 bar
switch pump off, low, high
condition running means rpm above 400 rpm
no_flow: assume when not running then oil_pressure below 5 psi
pumped: assume pump is not off or oil_pressure at most 1 bar
when running limit oil_pressure at least 20 psi, needs warning, source S
limit oil_temp from -10 C to 121 C, source S
oil_pressure below 20 psi is red with warning "OIL PRESS" unless not running
oil_pressure at least 20 psi is green
when not running then oil_pressure below 20 psi is unmarked
oil_temp from -10 C to 121 C is green
oil_temp outside -11 C to 121 C is red
prove when not running then oil_pressure above 1 bar is green
prove when pump is off then oil_pressure above 1 bar is green
prove oil_temp below -10 C is red
"""


def asked(model: RuleSet) -> list[tuple[str, Question]]:
    """Each question once, as a script, with Z3's answer."""
    record: list[Question] = []
    context = Context(model, record=record)
    run_in(context)
    # What the names in the questions mean is known where they were asked.
    return list({script(context.encoder, question): question for question in record}.items())


@cache
def second_opinion(text: str) -> str:
    """What cvc5 says to a script. The status that the script states is kept from it."""
    solver = cvc5.Solver()
    parser = cvc5.InputParser(solver)
    parser.setStringInput(cvc5.InputLanguage.SMT_LIB_2_6, text, "question")
    symbols = parser.getSymbolManager()
    said = ""
    while not (command := parser.nextCommand()).isNull():
        said += command.invoke(solver, symbols)
    return said.strip()


def stated(text: str) -> str | None:
    """The status that a script states."""
    match = re.search(r"^\(set-info :status (\w+)\)$", text, re.MULTILINE)
    return match[1] if match else None


def without_status(text: str) -> str:
    return re.sub(r"^\(set-info :status \w+\)\n", "", text, flags=re.MULTILINE)


def disagreements(questions: list[tuple[str, Question]]) -> list[str]:
    """The scripts to which cvc5 says something else than they state."""
    return [text for text, _ in questions if second_opinion(without_status(text)) != stated(text)]


@pytest.mark.alike
@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_both_solvers_agree_on_an_example(path: Path) -> None:
    questions = asked(load(path).model)
    assert len(questions) >= 10
    assert {question.answer for _, question in questions} == {Answer.YES, Answer.NO}
    assert disagreements(questions) == []


def test_both_solvers_agree_under_assumptions() -> None:
    model = loads(ASSUMING).model
    questions = asked(model)
    assert any(question.assumptions for _, question in questions)
    # -10 C are 14 F, 121 C are 249.8 F; 1 bar and 20 psi are no decimals of each other.
    assert any("(/ " in text for text, _ in questions)
    assert any("(- " in text for text, _ in questions)
    assert {question.answer for _, question in questions} == {Answer.YES, Answer.NO}
    assert disagreements(questions) == []


def test_a_script_states_the_answer() -> None:
    for text, question in asked(loads(ASSUMING).model):
        assert stated(text) == {Answer.YES: "sat", Answer.NO: "unsat"}[question.answer]
        assert text.endswith("(check-sat)\n")


def flipped(text: str) -> str:
    """The same script with the opposite status."""
    return re.sub(r":status (un)?sat", lambda match: ":status sat" if match[1] else ":status unsat", text)


def test_a_wrong_status_is_noticed() -> None:
    """By the comparison above, and by cvc5 itself if it is told the status."""
    wrong = [(flipped(text), question) for text, question in asked(loads(ASSUMING).model)]
    assert len(disagreements(wrong)) == len(wrong)
    assert all("Expected result" in second_opinion(text) for text, _ in wrong)


def test_a_wrong_number_is_noticed() -> None:
    """One edge, 14 F, moved by a hair in the scripts alone changes what cvc5 answers to some question."""
    questions = asked(loads(ASSUMING).model)
    moved = [(text.replace("14.0)", "14.001)", 1), question) for text, question in questions]
    assert disagreements(moved) != []
