"""For what other programs read: a finding or a claim as plain paragraphs, where a format has one field for all there is
to say; and how files are named."""

from __future__ import annotations

import os

from alertlang.findings.finding import Finding, Suggestion
from alertlang.output.text import is_here, lead_words, witness_words
from alertlang.results.report import ClaimResult, Verdict


def says(finding: Finding) -> str:
    """The message as a sentence of its own, which is all that some viewers show; then an example and the way out."""
    lines = [sentence(finding.message)]
    if finding.witness:
        lines.append(f"For example: {witness_words(finding.witness)}.")
    if finding.suggestion is not None:
        lines += _proposal(finding, finding.suggestion)
    if finding.lead is not None:
        lines.append(f"Mended with {sentence(lead_words(finding.lead, finding.path))}")
    lines += [sentence(advice) for advice in finding.advice]
    return "\n".join(lines)


def _proposal(finding: Finding, suggestion: Suggestion) -> list[str]:
    """What is proposed, each statement on a line of its own."""
    lines: list[str] = []
    if finding.trial is None:
        lines.append("Proposed, not tried:")
    elif not finding.trial.good:
        lines.append("A start, not enough by itself:")
    if suggestion.slip:
        lines.append(sentence(suggestion.slip))
    for edit in suggestion.edits:
        word = "Add"
        if edit.replaces is not None:
            word = (
                "Change to"
                if is_here(finding, edit) and not suggestion.more
                else f"Change line {edit.replaces.line} to"
            )
            if edit.replaces.source.path != finding.path:
                word = f"Change line {edit.replaces.line} of {edit.replaces.source.path} to"
        lines.append(f"{word}: {edit.text}")
    if finding.trial is not None and finding.trial.short_of:
        lines.append(sentence(f"But {finding.trial.short_of}"))
    lines += (
        [sentence(f"Less strict: {given}") for given in finding.trial.gives_up] if finding.trial is not None else []
    )
    return lines


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


def relative(path: str, folder: str) -> str:
    """A path as it was given, with `/` between its parts; one that is absolute is told from `folder` (absolute too),
    so that nothing more of the machine gets into what is handed on."""
    if os.path.isabs(path):
        try:
            path = os.path.relpath(path, folder)
        except ValueError:
            # On another drive there is no way from one to the other.
            path = os.path.basename(path)
    return path.replace(os.sep, "/")
