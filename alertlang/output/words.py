"""A finding or a claim as plain paragraphs, for formats that have one field for all there is to say."""

from __future__ import annotations

from alertlang.diagnostics.finding import Finding
from alertlang.diagnostics.report import ClaimResult, Verdict
from alertlang.output.text import witness_words


def says(one: Finding) -> str:
    """The message as a sentence of its own, which is all that some viewers show; then an example and the way out."""
    lines = [sentence(one.message)]
    if one.witness:
        lines.append(f"For example: {witness_words(one.witness)}.")
    if one.suggestion is not None:
        lines.append(f"{'Change to' if one.suggestion.replaces is not None else 'Add'}: {one.suggestion.text}")
    lines += [sentence(advice) for advice in one.advice]
    return "\n".join(lines)


def says_of_claim(claim: ClaimResult) -> str:
    """What was claimed and what became of it."""
    lines = [f"The claim {claim.label} is {claim.verdict.value}: {claim.text}."]
    if claim.witness:
        shown = f"; {claim.shown}" if claim.shown else ""
        lines.append(f"Not so for example at {witness_words(claim.witness)}{shown}.")
    if claim.verdict is Verdict.VACUOUS:
        lines.append("No state is in its case, so it says nothing.")
    if claim.verdict is Verdict.UNDECIDED:
        why = claim.shown or "the solver gave up"
        lines.append(f"{why[:1].upper()}{why[1:]}: nothing is proved.")
    return "\n".join(lines)


def sentence(text: str) -> str:
    """A text with a full stop, unless it ends with a mark already."""
    return text if text.endswith((".", "?", "!")) else f"{text}."
