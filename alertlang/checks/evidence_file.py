"""The evidence: every question with its answer as one text, for people and for any solver that reads SMT-LIB 2.

The text as a whole is a valid script: what is there for people stands in comments, and every question starts afresh.
"""

from __future__ import annotations

import textwrap
from collections.abc import Sequence

from alertlang.checks.evidence import Asked, Evidence
from alertlang.model.ruleset import Origin
from alertlang.output.text import CAUTION, witness_words
from alertlang.results.report import Verdict
from alertlang.text.lists import listed

_WIDTH = 100
_RULE = "; " + "-" * (_WIDTH - 2)


def evidence_text(evidence: Evidence, version: str) -> str:
    """The text. `version` is that of the tool. Nothing in it depends on when or where it is written."""
    lines = [
        *_head(evidence, version),
        *_files(evidence),
        *_verdicts(evidence),
        *_assumptions(evidence),
        *_second(evidence),
        *_coverage(evidence),
        "(set-info :smt-lib-version 2.6)",
    ]
    for asked in evidence.asked:
        lines += _question(asked, len(evidence.asked), evidence.solver, evidence.second)
    return "\n".join(lines) + "\n"


def _head(evidence: Evidence, version: str) -> list[str]:
    what = "the checks and claims" if evidence.results is not None else "the claims"
    undecided = [asked.number for asked in evidence.asked if asked.answer == "unknown"]
    lines = _comment(f"Evidence: every question asked for {what} of {_file_name(evidence.ruleset.origin)}")
    lines += [";"]
    lines += _comment(f"written by alertlang {version}; answers by {evidence.solver}")
    lines += _comment(f"{_count(len(evidence.asked), 'question')}, {len(undecided) or 'none'} of them undecided")
    if undecided:
        lines += _comment(f"UNDECIDED, which is no pass: {_numbers(undecided)}")
    lines += [";"]
    lines += _comment(
        "To check it without alertlang: give this file to a solver that reads SMT-LIB 2. To each (check-sat), in the "
        "order of the file, it must answer what the (set-info :status ...) before it states. Each question is complete "
        "in itself: the readings within the ranges of their sensors, each switch at exactly one position, what derived "
        "quantities and conditions over time are, the assumptions, and last the formula that is asked about."
    )
    return lines


def _files(evidence: Evidence) -> list[str]:
    lines = [";", "; FILES, with the SHA-256 of their bytes"]
    for origin in evidence.ruleset.origins:
        lines += _comment(f"{_file_name(origin)}: {origin.path}", 2)
        lines += _comment(origin.sha256, 4)
    return lines


def _verdicts(evidence: Evidence) -> list[str]:
    lines = [";", "; VERDICTS"]
    if not evidence.claims:
        lines += _comment("it makes no claims, so none is proved", 2)
    for claim in evidence.claims:
        asked = _asked_for(evidence, "claim", claim.label)
        said = f"{claim.verdict.value}: {claim.label}"
        said += f" ({_numbers(asked)})" if asked else " (no question of its own: see the assumptions)"
        lines += _comment(said, 2)
        lines += _comment(claim.text, 4)
        if claim.verdict is Verdict.PROVED:
            lines += _comment(f"assumptions used: {', '.join(claim.assumptions) or 'none'}", 4)
            if claim.covers:
                lines += _comment(claim.covers, 4)
        elif claim.witness:
            shown = f"; {claim.shown}" if claim.shown else ""
            lines += _comment(f"not so for example at {witness_words(claim.witness)}{shown}", 4)
        elif claim.shown:
            lines += _comment(claim.shown, 4)
    if evidence.results is not None:
        for proof in evidence.results.proved:
            asked = _asked_for(evidence, "check", proof.check, proof.quantity)
            about = f" on {proof.quantity}" if proof.quantity else ""
            lines += _comment(f"nothing found: {proof.check}{about} ({_numbers(asked) or 'no question needed'})", 2)
        for found in evidence.results.findings:
            lines += _comment(f"{found.severity.word}: {found.code.code} {found.code.name}: {found.message}", 2)
    return lines


def _asked_for(evidence: Evidence, kind: str, name: str = "", quantity: str | None = None) -> list[int]:
    """The numbers of the questions that were asked for something."""
    wanted = kind, name, quantity
    return [
        asked.number
        for asked in evidence.asked
        if (asked.statement.kind, asked.statement.name, asked.statement.quantity if kind == "check" else None) == wanted
    ]


def _assumptions(evidence: Evidence) -> list[str]:
    lines = [";", "; ASSUMPTIONS"]
    if not evidence.ruleset.assumptions:
        return [*lines, *_comment("none: no state within the ranges of the sensors is left out", 2)]
    for assumption in evidence.ruleset.assumptions:
        lines += _comment(f"{assumption.label} ({assumption.span.source.path} line {assumption.span.line})", 2)
        lines += _comment(assumption.span.text, 4)
    asked = _asked_for(evidence, "the assumptions")
    lines += _comment(f"whether they can hold together: {_numbers(asked)}", 2)
    lines += _comment(
        "A question leaves those out that share no reading and no switch with it, directly or through others. Since "
        "all of them can hold together, they can do so beside what the question finds.",
        2,
    )
    return lines


def _second(evidence: Evidence) -> list[str]:
    lines = [";", "; SECOND SOLVER"]
    if evidence.second is None:
        return [*lines, *_comment("none was asked", 2)]
    lines += _comment(f"{len(evidence.confirmed)} of {len(evidence.asked)} confirmed by {evidence.second}", 2)
    if evidence.disputed:
        lines += _comment(f"DISAGREEMENT: {_numbers([asked.number for asked in evidence.disputed])}", 2)
    if evidence.unconfirmed:
        lines += _comment(f"not confirmed: {_numbers([asked.number for asked in evidence.unconfirmed])}", 2)
    return lines


def _coverage(evidence: Evidence) -> list[str]:
    """What the text does not show: nobody is to take it for more than it is."""
    points = [
        "that the questions say what the files say: alertlang translated the text into them, and wrote their "
        "statements in words, and no solver looks at that",
        "that the files are right: their numbers, and assumptions that are not true of the aircraft",
        "what is undecided: it is listed as undecided, with status unknown, and is a pass nowhere",
        "the elements of an array one by one: where no statement tells them apart, one stands for each",
    ]
    points.append(
        "moments at which a delayed condition has not settled yet or a sensor has failed, but for questions that are "
        "about those"
    )
    if any(claim.within is not None for claim in evidence.ruleset.claims):
        points.append(
            "the adding up of delays: which alerts come in the time that a claim names is worked out beforehand, and "
            "its question holds only those"
        )
    if evidence.results is None:
        points.append("anything but the claims: the checks (alertlang check) ask questions of their own")
    lines = [";", "; NOT SHOWN BY IT"]
    for point in points:
        lines += _comment(f"- {point}", 2, 4)
    lines += [";"]
    return lines + _comment(CAUTION)


def _question(asked: Asked, count: int, solver: str, second: str | None) -> list[str]:
    lines = ["", _RULE]
    lines += _comment(f"QUESTION {asked.number} of {count}: {asked.statement.about}")
    if asked.follows is None:
        lines += _comment(f"asks: {asked.statement.asks}", 2, 4)
        lines += _comment(f"sat: {asked.statement.sat}", 2, 4)
        lines += _comment(f"unsat: {asked.statement.unsat}", 2, 4)
    else:
        lines += _comment(
            f"asks: follows question {asked.follows} and narrows down what that one found: how far it reaches, which "
            "round values show it, which statements cause it",
            2,
            4,
        )
        lines += _comment("sat, unsat: the verdict rests on neither", 2, 4)
    lines += _comment(f"assumptions: {', '.join(asked.assumptions) or 'none'}", 2, 4)
    said = (
        f"answer: {asked.answer} ({solver})" if asked.answer != "unknown" else f"answer: UNDECIDED ({solver} gave up)"
    )
    lines += _comment(said, 2)
    if second is not None:
        word = "confirmed" if asked.confirmed else "DISAGREES" if asked.disputed else "not confirmed"
        lines += _comment(f"second: {word}: {asked.second} ({second})", 2)
    # Each question starts afresh, so that it is complete in itself.
    lines += ["(reset)"] if asked.number > 1 else []
    return [*lines, f"(set-info :status {asked.answer})", *asked.script.rstrip("\n").split("\n")]


def _comment(text: str, indent: int = 0, hanging: int | None = None) -> list[str]:
    """Comment lines. Nothing in a text can end them before their time: what is no printable character is spelled."""
    said = " ".join(text.split())
    said = "".join(letter if letter.isprintable() else f"\\u{ord(letter):04x}" for letter in said)
    return textwrap.wrap(
        said,
        _WIDTH,
        initial_indent="; " + " " * indent,
        subsequent_indent="; " + " " * (indent if hanging is None else hanging),
        break_long_words=False,
        break_on_hyphens=False,
    ) or [";"]


def _numbers(numbers: Sequence[int]) -> str:
    """`question 3`, `questions 3 to 5 and 8`; nothing for none."""
    stretches: list[list[int]] = []
    for number in numbers:
        if stretches and stretches[-1][-1] == number - 1:
            stretches[-1].append(number)
        else:
            stretches.append([number])
    if not stretches:
        return ""
    said = [f"{part[0]} to {part[-1]}" if len(part) > 1 else str(part[0]) for part in stretches]
    return f"question{'s' if len(numbers) > 1 else ''} {listed(said)}"


def _file_name(origin: Origin) -> str:
    return f'{origin.kind} "{origin.name}" version {origin.version}'


def _count(number: int, word: str) -> str:
    return f"{number} {word}{'' if number == 1 else 's'}"
