"""What a question to the solver asks, in words: for whoever has to judge its answer without reading the code."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Statement:
    """One question in words.

    `kind` and `name` say what it is asked for: a claim by its label, a check by its name, the assumptions as a whole.
    `quantity`: the one that a check looks at. `asks` is a sentence that some possible state makes true or none does;
    `sat` and `unsat` say what follows from either. `series`: every question that is asked under this statement is
    described by it; otherwise only the first, and the others narrow down what that one found.
    """

    kind: str
    name: str
    asks: str
    sat: str
    unsat: str
    quantity: str | None = None
    series: bool = False

    @property
    def about(self) -> str:
        """For example `claim warm`, `check gap on rpm`, `the assumptions`."""
        said = " ".join(part for part in (self.kind, self.name) if part)
        return said if self.quantity is None else f"{said} on {self.quantity}"
