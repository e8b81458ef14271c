"""What the questions of checks and claims ask, in words."""

from __future__ import annotations

from functools import cache

from alertlang.checks.registry import FIRST, Check
from alertlang.logic.statement import Statement
from alertlang.model import ruleset as m


def of_check(check: Check, quantity: str | None) -> Statement:
    """A check by itself: its page says what is asked."""
    if check is FIRST:
        return Statement(
            "the assumptions",
            "",
            "some state keeps every assumption, with every reading within the range of its sensor",
            "the assumptions can hold together, so no verdict is empty for their sake",
            "no state is possible at all, so nothing is proved of anything",
        )
    return Statement(
        "check",
        check.code.name,
        f"one of the questions of this: {_asked(check.page)}",
        "there is a state of the kind that is asked for",
        "there is none",
        quantity,
        series=True,
    )


@cache
def _asked(page: str) -> str:
    """How a check is decided, as its page says it."""
    return " ".join(page.partition("## How it is decided")[2].partition("\n## ")[0].split())


def in_case(ruleset: m.RuleSet, claim: m.Claim, reading: str | None) -> Statement:
    """Whether a claim is about anything."""
    return Statement(
        "claim",
        claim.label,
        f"some possible state is in the case of the claim: {_case(ruleset, claim, reading)}",
        "there is something that the claim is about",
        f"no state is in its case, so it says nothing{f' of {reading}' if reading else ''} (vacuous)",
    )


def broken(ruleset: m.RuleSet, claim: m.Claim, reading: str | None) -> Statement:
    """Whether a claim is refuted."""
    of_it = f" of {reading}" if reading else ""
    return Statement(
        "claim",
        claim.label,
        f"some possible state is in the case of the claim, and yet {_otherwise(claim, reading)}; "
        f"the case: {_case(ruleset, claim, reading)}",
        "the claim is refuted",
        f"what is claimed{of_it} holds in every possible state of the case (unsatisfiable if and only if it does)",
    )


def needed(claim: m.Claim) -> Statement:
    """Which assumptions a proof needs."""
    return Statement(
        "claim",
        claim.label,
        "some state that keeps the assumptions named here, whatever becomes of the others, is in the case of the "
        "claim and is not as it claims",
        "these assumptions are too few for the proof",
        "the proof needs no assumption but these",
        series=True,
    )


def rests_on(claim: m.Claim) -> Statement:
    """Which alerts a proof needs."""
    return Statement(
        "claim",
        claim.label,
        "some possible state is in the case of the claim, and none of some of the alerts that raise it is up",
        "without the alerts that were left out there is no proof",
        "the proof needs none of the alerts that were left out",
        series=True,
    )


def _case(ruleset: m.RuleSet, claim: m.Claim, reading: str | None) -> str:
    parts: list[str] = []
    if claim.when is not None:
        parts.append(f"`{' '.join(claim.when.span.text.split())}` holds")
    if claim.quantity is not None and claim.region is not None:
        quantity = ruleset.quantities[claim.quantity]
        parts.append(f"{reading} is {claim.region.in_words(quantity.unit)}")
        if claim.index is None and reading != claim.quantity and claim.quantity not in ruleset.indexed_arrays:
            parts[-1] += f" (no statement tells the elements of {claim.quantity} apart: {reading} stands for each)"
    return " and ".join(parts) if parts else "any state at all"


def _otherwise(claim: m.Claim, reading: str | None) -> str:
    """The opposite of what is claimed."""
    # What has a delay counts as up if that is no longer than what is claimed: the question holds no other alert.
    in_time = ", however long this lasts" if claim.within is None else f" within {m.in_seconds(claim.within)}"
    level = "" if claim.level is None else claim.level.word
    colour = "" if claim.colour is None else claim.colour.word
    said = {
        "quiet": "a caution or a warning is up",
        "any_raises": f"no alert of level {level} or above comes up{in_time}",
        "raises": f"no alert for {reading} of level {level} or above comes up{in_time}",
        "is": f"{reading} does not show {colour} alone",
        "at_least": f"{reading} shows a colour calmer than {colour}, or none",
        "never": f"{reading} shows {colour}",
    }
    return said.get(claim.kind, "it is not as is claimed")
