"""For the shop: its profiles, and a complete first draft from them."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING

from alertlang.api.rules import Rules, Where, load
from alertlang.drafting.style import Style as Style
from alertlang.findings.errors import NameOrFileError
from alertlang.model.expression import CurveOver
from alertlang.model.files import shipped_profiles
from alertlang.model.grades import citing, grade_of, numbers_by_grade
from alertlang.model.ruleset import Assumption, Condition, Quantity, Range, RuleSet, Weights, in_seconds
from alertlang.model.sources import comparisons_of, count_of, document_of, searched
from alertlang.results.report import FileName, SheetEntry
from alertlang.results.report import ProfileSheet as ProfileSheet
from alertlang.text.source import Span
from alertlang.text.suggest import nearest

if TYPE_CHECKING:
    from alertlang.drafting.draft import Draft as Draft


def __getattr__(name: str) -> object:
    if name == "Draft":
        from alertlang.drafting.draft import Draft

        return Draft
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")


def draft(
    profiles: Iterable[str],
    *,
    name: str = "draft",
    version: int = 1,
    style: Style | None = None,
    search: Iterable[Where] = (),
) -> Draft:
    """A complete rule set from profiles (shipped ones by name, or files), checked: see `Draft`. The same profiles and
    style give the same bytes. `name` and `version` are what it is called."""
    from alertlang.drafting.draft import draft as drafted

    folders = tuple(Path(p) for p in search)
    return drafted(profiles, name=name, version=version, style=style or Style(), search=folders)


def profile_names() -> Mapping[str, Path]:
    """The shipped profiles by name, each with its file."""
    return shipped_profiles()


def find_profile(name: Where, *, search: Iterable[Where] = ()) -> tuple[Path, str | None]:
    """The file of a profile by its name (shipped, here, in `profiles`, or in a folder of `search`) or path, and how
    findings call it (none: by its path). NameOrFileError if nothing is called so."""
    shipped, said = shipped_profiles(), str(name)
    if said in shipped and not Path(said).is_file():
        found = shipped[said]
        return found, f"stdlib_profiles/{found.parent.name}/{found.name}"
    if not Path(said).exists() and "/" not in said and not said.endswith(".profile"):
        # As `use profile` does for a file that stands here.
        for folder in (Path(), Path("profiles"), *(Path(path) for path in search)):
            candidate = folder / f"{said}.profile"
            if candidate.is_file():
                return candidate, None
        close = nearest(said, shipped)
        hint = f"did you mean {close}?" if close else "alertlang profiles list shows them"
        raise NameOrFileError(f"there is no profile {said}", hint)
    return Path(said), said


def load_profile(name: Where, *, search: Iterable[Where] = ()) -> Rules:
    """A profile by its name or path. NameOrFileError if there is none, UnreadableError if it cannot be read."""
    listed = tuple(search)
    path, shown = find_profile(name, search=listed)
    return load(path, shown=shown, search=listed)


def profile_sheet(rules: Rules) -> ProfileSheet:
    """Every number of a profile with where it comes from.

    A `let` or `curve` that cites no source is shown with those of the limits and ranges that read it.
    """
    model = rules.model

    def entry(kind: str, label: str, one: Quantity | Weights | Condition | Assumption | Range) -> SheetEntry:
        words = tuple(source.in_words for source in one.sources)
        return SheetEntry(kind, label, _on_one_line(one.span), words, grade_of(one.sources))

    entries = [
        *(entry("quantity", q.name, q) if q.derived is None else _derived(model, q) for q in model.quantities.values()),
        *(entry("weight", "weight", weight) for weight in model.weights),
        *(SheetEntry("switch", s.name, _on_one_line(s.span), (), None) for s in model.switches.values()),
        *(entry("condition", condition.name, condition) for condition in model.conditions.values()),
        *(entry("assumption", assumption.label, assumption) for assumption in model.assumptions),
        *(entry(declared.kind, declared.label, declared) for declared in model.ranges),
    ]
    return ProfileSheet(
        FileName.of(model.origin),
        model.about,
        model.engine,
        tuple(f"{source.name}: {source.in_words}{_read(model, source.name)}" for _, source in model.sources),
        tuple(entries),
        _reaction_times(model),
        numbers_by_grade(model),
        tuple((comparison.outcome, comparison.in_words) for comparison in comparisons_of(model)),
        count_of(model, "agrees"),
        count_of(model, "disagrees"),
        searched(model),
    )


def _read(model: RuleSet, name: str) -> str:
    """Where a source of a shipped profile was read, and when, where that was written down."""
    document = document_of(model, name)
    if document is None or not document.read_at:
        return ""
    when = f" on {document.read_on.isoformat()}" if document.read_on else ""
    return f" [read{when}: {', '.join(document.read_at)}]"


def _derived(model: RuleSet, quantity: Quantity) -> SheetEntry:
    kind = "curve" if isinstance(quantity.derived, CurveOver) else "let"
    words = tuple(source.in_words for source in quantity.sources)
    sources = quantity.sources
    if not sources:
        cited = [(declared.label, source) for declared in citing(model, quantity.name) for source in declared.sources]
        words = tuple(f"as {label}: {source.in_words}" for label, source in cited)
        sources = tuple(source for _, source in cited)
    return SheetEntry(kind, quantity.name, _on_one_line(quantity.span), words, grade_of(sources))


def _reaction_times(model: RuleSet) -> tuple[str, ...]:
    """How soon red and an alert must be up where a limit does not say so itself, each time with who says it."""
    said: dict[tuple[Fraction, str], list[str]] = {}
    for declared in model.ranges:
        if declared.forbids and declared.allowed_by != "`within`":
            said.setdefault((declared.allowed, declared.allowed_by), []).append(declared.label)
    count = {by: sum(1 for _, other in said if other == by) for _, by in said}
    return tuple(
        f"{in_seconds(time)} ({by})" + (f": {', '.join(labels)}" if count[by] > 1 else "")
        for (time, by), labels in said.items()
    )


_COMMENT = re.compile(r'("[^"]*")|#.*')


def _on_one_line(span: Span) -> str:
    """A statement without its line breaks and comments; `#` in a text is none."""
    lines = (_COMMENT.sub(lambda match: match[1] or "", line).strip() for line in span.text.split("\n"))
    return " ".join(line for line in lines if line)
