"""What one shape consists of."""

from __future__ import annotations

from dataclasses import dataclass



@dataclass(frozen=True)
class Slip:
    """A mistake: each text (found once in all files of the shape) and what stands there instead. `found`: the names of
    the findings about colours, alerts and times that it must give, all of them."""

    edits: dict[str, str]
    found: frozenset[str]


@dataclass(frozen=True)
class Shape:
    """`name` says the shape. `profiles`: the statements of each profile by its name, without headers. `rules`: what
    guards them, with its `use` lines and without a header. `slips`: by what went wrong."""

    name: str
    profiles: dict[str, str]
    rules: str
    slips: dict[str, Slip]

    def texts(self) -> dict[str, str]:
        """Every file by its name; the rules are in `panel.alert`."""
        files = {f"{name}.profile": f'profile "{name}" version 1\n{text}' for name, text in self.profiles.items()}
        return {**files, "panel.alert": f'rules "panel" version 1\n{self.rules}'}


def slip(edits: dict[str, str], *found: str) -> Slip:
    return Slip(edits, frozenset(found))
