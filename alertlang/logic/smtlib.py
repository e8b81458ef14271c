"""Questions as SMT-LIB 2 scripts, for another solver to answer.

Written from the terms, not by Z3, so that a fault in the translation to Z3 does not repeat itself here.
"""

from __future__ import annotations

from fractions import Fraction

from alertlang.logic.encode import Encoder
from alertlang.logic.solver import Answer, Question
from alertlang.logic.terms import TRUE, All, AtValue, Flag, Less, Linear, Negation, Some, Term, conjunction

# What a solver says for each answer.
STATUS = {Answer.YES: "sat", Answer.NO: "unsat", Answer.UNDECIDED: "unknown"}


def script(encoder: Encoder, question: Question) -> str:
    """A script whose `check-sat` answers the question. The order of everything in it is fixed."""
    whole = conjunction((question.term, *question.assumptions))
    names, definitions = encoder.definitions_for(whole.reads)
    lines = ["(set-logic QF_LRA)"]
    if question.answer is not Answer.UNDECIDED:
        lines.insert(0, f"(set-info :status {STATUS[question.answer]})")
    for name in sorted(names):
        if encoder.is_switch(name):
            positions = encoder.ruleset.switches[name].positions
            flags = [_flag(name, position) for position in positions]
            lines += [f"(declare-fun {flag} () Bool)" for flag in flags]
            lines.append(f"(assert (or {' '.join(flags)}))")
            lines += [f"(assert (not (and {text} {other})))" for i, text in enumerate(flags) for other in flags[:i]]
        elif encoder.is_flag(name):
            lines.append(f"(declare-fun {_quoted(name)} () Bool)")
        else:
            low, high = encoder.range_of(name).bounds
            lines.append(f"(declare-fun {_quoted(name)} () Real)")
            lines.append(f"(assert (<= {_number(low)} {_quoted(name)} {_number(high)}))")
    lines += [f"(assert {_term(term)})" for term in definitions if term is not TRUE]
    lines += [f"(assert {_term(term)})" for term in question.assumptions]
    lines.append(f"(assert {_term(question.term)})")
    lines.append("(check-sat)")
    return "\n".join(lines) + "\n"


def _term(term: Term) -> str:
    match term:
        case Less():
            return f"({'<=' if term.included else '<'} {_quoted(term.variable)} {_number(term.value)})"
        case AtValue():
            return _flag(term.switch, term.position)
        case Flag():
            return _quoted(term.name)
        case Linear():
            parts = [f"(* {_number(factor)} {_quoted(name)})" for name, factor in term.coefficients]
            relation = "=" if term.equal else "<="
            return f"({relation} (+ {' '.join(parts)} {_number(term.constant)}) 0.0)"
        case Negation():
            return f"(not {_term(term.part)})"
        case All():
            return f"(and {' '.join(map(_term, term.parts))})" if term.parts else "true"
        case Some():
            return f"(or {' '.join(map(_term, term.parts))})" if term.parts else "false"
    raise AssertionError(term)


def _number(value: Fraction) -> str:
    digits = f"{abs(value.numerator)}.0"
    text = digits if value.denominator == 1 else f"(/ {digits} {value.denominator}.0)"
    return f"(- {text})" if value < 0 else text


def _quoted(name: str) -> str:
    return f"|{name}|"


def _flag(switch: str, position: str) -> str:
    return _quoted(f"{switch} is {position}")
