"""What one shape consists of, and how a slip changes it."""

from __future__ import annotations

from dataclasses import dataclass

# What to write instead in a statement, or nothing: the statement is left out.
Edit = tuple[str, str] | None


@dataclass(frozen=True)
class Slip:
    """A mistake. `edits`: by the words a statement begins with (one in all files of the shape), what is replaced in it.
    `found`: the names of all findings on colours, alerts and times that it must give."""

    edits: dict[str, Edit]
    found: frozenset[str]


@dataclass(frozen=True)
class Shape:
    """`name` says the shape. `profiles`: the statements of each profile by its name, without headers. `rules`: what
    guards them, with its `use` lines and without a header. `slips`: by what went wrong."""

    name: str
    profiles: dict[str, str]
    rules: str
    slips: dict[str, Slip]

    def files(self) -> dict[str, list[str]]:
        """The statements of every file by its name; the rules are in `panel.alert`."""
        found = {f"{name}.profile": _statements(f'profile "{name}" version 1', s) for name, s in self.profiles.items()}
        return {**found, "panel.alert": _statements('rules "panel" version 1', self.rules)}

    def broken(self, name: str) -> dict[str, list[str]]:
        """The same with one slip made. Each edit must find its statement, and in it its words, just once."""
        files = self.files()
        for start, edit in self.slips[name].edits.items():
            places = [(f, n) for f, all_ in files.items() for n, one in enumerate(all_) if one.startswith(start)]
            assert len(places) == 1, (start, places)
            [(file, number)] = places
            statement = files[file][number]
            if edit is None:
                del files[file][number]
            else:
                assert statement.count(edit[0]) == 1, (edit[0], statement)
                files[file][number] = statement.replace(*edit)
        return files


def slip(edits: dict[str, Edit], *found: str) -> Slip:
    return Slip(edits, frozenset(found))


def _statements(header: str, text: str) -> list[str]:
    """A statement begins in the first column."""
    statements = [header]
    for line in text.strip("\n").split("\n"):
        if line.startswith(" "):
            statements[-1] += f"\n{line}"
        else:
            statements.append(line)
    return statements
