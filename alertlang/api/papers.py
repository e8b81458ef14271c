"""What is looked at and what leaves the shop: gauges and maps, the sheet and its reading back, cards, the review
record, whether a display can hold the rules.

Papers are bytes of a file: `html` (UTF-8), `pdf` or `csv`. `paper` is the size of a page: `a4` or `us-letter`. A sheet
or a card should be made only of rules without open errors: `Rules.open_errors`.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from alertlang.api.rules import WORK_LIMIT, Display, Rules, Where
from alertlang.checks.context import Context
from alertlang.findings.errors import NameOrFileError, read_bytes_of
from alertlang.gauges.asked import asked_axis, asked_held
from alertlang.gauges.operating_map import Axis as Axis
from alertlang.gauges.operating_map import OperatingMap as OperatingMap
from alertlang.gauges.operating_map import axis
from alertlang.gauges.operating_map import operating_map as _operating_map
from alertlang.gauges.strip import Gauge as Gauge
from alertlang.gauges.strip import gauge
from alertlang.groundtest.card import Card as Card
from alertlang.groundtest.card import card
from alertlang.groundtest.table import ResultsError as ResultsError
from alertlang.groundtest.table import as_csv
from alertlang.groundtest.table import results as _results
from alertlang.keying.csv_file import RecordError as RecordError
from alertlang.library.identity import SHORT, content_digest
from alertlang.results.fit import FitReport as FitReport
from alertlang.results.readback import CardResult as CardResult
from alertlang.results.readback import Readback as Readback
from alertlang.text.short import Short
from alertlang.text.version import __version__

if TYPE_CHECKING:
    from alertlang.output.style import Line


@dataclass(frozen=True, slots=True, repr=False)
class Printed(Short):
    """A paper as the bytes of a file. `form`: html, pdf or csv. `about`: how much is in it, in words. `pages` of a pdf,
    0 where they are not counted. `open_errors`: in a review record, whether any are."""

    form: str
    data: bytes
    about: str = ""
    pages: int = 0
    open_errors: bool = False


def tool() -> str:
    """What papers say they were made by."""
    return f"alertlang {__version__}"


def _form(wanted: str, forms: Iterable[str]) -> None:
    if wanted not in forms:
        raise NameOrFileError(f"it cannot be made as {wanted!r}", f"there are {', '.join(forms)}")


# ---- gauges and maps


def show_gauges(rules: Rules, name: str | None = None) -> tuple[Gauge, ...]:
    """What a gauge (a quantity, or an element as `cht[2]`; none: each that has bands and a sensor) shows, as strips in
    every context that makes a difference. NameOrFileError if it cannot be drawn."""
    model = rules.model
    if name is not None:
        axes = [asked_axis(model, name)]
    else:
        axes = [axis(model, text) for text in rules.coloured if not model.quantities[text].is_computed]
    context = Context(model)
    return tuple(gauge(context, ax) for ax in axes)


def show_map(rules: Rules, name: str, over: str, *, at: Iterable[str] = ()) -> OperatingMap:
    """One gauge as a map over a second reading. `at`: what is held still, as `oil_temp 60 F`, `flaps up`, `not cold`.
    NameOrFileError for what cannot be drawn or held."""
    model = rules.model
    of, across = asked_axis(model, name), asked_axis(model, over)
    held = asked_held(model, at)
    if of.name == across.name:
        raise NameOrFileError(f"a map needs two different readings, not {of.name} twice")
    found = _operating_map(Context(model), of.name, across.name, held)
    if found is None:
        raise NameOrFileError("what is to be held still is impossible together, or could not be decided")
    return found


def draw(rules: Rules, found: Gauge | OperatingMap, form: str = "svg") -> bytes:
    """A gauge or a map as a picture, 16 cm wide: `svg`, `pdf` or `png`. On a map are the examples of what the checks
    find."""
    if isinstance(found, Gauge):
        from alertlang.documents.strip_picture import draw_gauge

        return draw_gauge(found, form)
    from alertlang.documents.drawing import draw_map, marks

    return draw_map(found, form, marks=marks(rules.model, found))


def gauge_lines(found: Gauge | OperatingMap, width: int = 80) -> list[Line]:
    """The same in signs and words, as lines of at most `width` columns."""
    from alertlang.documents import terminal

    return terminal.gauge_lines(found, width) if isinstance(found, Gauge) else terminal.map_lines(found, width)


# ---- what is keyed in


def fit_report(rules: Rules, display: Display, *, work_limit: int = WORK_LIMIT) -> FitReport:
    """Whether a display can hold a rule set: what is needed and what is there, what does not fit, and which statements,
    merged or dropped, would make it fit."""
    from alertlang.fit.report import report_of

    return report_of(rules.model, display, work_limit)


def sheet(rules: Rules, form: str = "csv", *, blank: bool = False, paper: str = "a4") -> Printed:
    """The installer's sheet: `csv` to be filled in (`blank`: without what is to be read off the box), `html` or `pdf`
    to be read."""
    from alertlang.keying.csv_file import sheet_csv
    from alertlang.keying.lines import sheet_of

    _form(form, ("csv", "html", "pdf"))
    made = sheet_of(rules.model, digest=content_digest(rules.model))
    about = f"{len(made.lines)} lines"
    if form == "csv":
        return Printed(form, sheet_csv(made, blank=blank), about)
    from alertlang.documents.sheet_paper import sheet_data

    words = sheet_data(rules.model, made, tool=tool())
    if form == "html":
        from alertlang.documents.html import page

        return Printed(form, page("sheet.html.j2", words).encode("utf-8"), about)
    from alertlang.documents.typeset import typeset

    return Printed(form, typeset("sheet.typ", "sheet", words, paper=paper)[0], about)


def read_back(rules: Rules, record: Where, *, anyway: bool = False, work_limit: int = WORK_LIMIT) -> Readback:
    """The sheet as it was filled in (csv), held against the rules line by line and by meaning: `.good`, or `.findings`
    with lines. NameOrFileError if it cannot be read, RecordError if it is none, or of other rules (unless `anyway`)."""
    return held_rules(rules, record, anyway=anyway, work_limit=work_limit)[0]


def held_rules(
    rules: Rules, record: Where, *, anyway: bool = False, work_limit: int = WORK_LIMIT
) -> tuple[Readback, str | None]:
    """The same with the text of the rules that the box then holds; none if no rules could be made of the record."""
    from alertlang.keying.csv_file import read_record
    from alertlang.keying.readback import read_back as held

    rows = read_record(read_bytes_of(record))
    digest = content_digest(rules.model)
    found = held(rules.model, rows, digest=digest, record=str(record), anyway=anyway, work_limit=work_limit)
    return found.result, found.text


# ---- cards


def cards(rules: Rules) -> Card:
    """The ground-test card of a rule set: steps with what to set and what must be seen, and what it cannot show."""
    return card(rules.model)


def card_file(made: Card, form: str = "csv", *, paper: str = "a4") -> Printed:
    """The ground-test card as `csv`, to be filled in, `html` or `pdf`."""
    _form(form, ("csv", "html", "pdf"))
    about = f"{len(made.steps)} steps"
    if form == "csv":
        return Printed(form, as_csv(made).encode("utf-8"), about)
    if form == "html":
        from alertlang.documents.card import as_html

        return Printed(form, as_html(made).encode("utf-8"), about)
    from alertlang.documents.card import as_pdf

    return Printed(form, as_pdf(made, size=paper), about)


def card_lines(made: Card, width: int = 80) -> list[str]:
    """The ground-test card in a few lines."""
    from alertlang.groundtest.words import told

    return told(made, width)


def card_results(made: Card, filled: Where) -> tuple[CardResult, ...]:
    """What was missed, failed or cannot be read in the card's csv as it was filled in; empty: all is as it must be.
    NameOrFileError for a file that cannot be read, ResultsError for one of another rule set, or none of results."""
    data = read_bytes_of(filled)
    try:
        text = data.decode("utf-8")
    except UnicodeDecodeError:
        raise NameOrFileError(f"{filled} cannot be read: it is not UTF-8; save it as CSV in UTF-8") from None
    return _results(made, text)


def pilot_card(rules: Rules, *, paper: str = "a4") -> Printed:
    """The card that goes to the pilot, as `pdf`; more than one of `pages` if it does not fit on one in type that can be
    read."""
    from alertlang.documents.pilot_card import card_pages
    from alertlang.documents.pilot_card import pilot_card as words

    made = words(rules.model, digest=content_digest(rules.model)[:SHORT], tool=tool())
    printed = card_pages(made, paper=paper)
    return Printed("pdf", printed.pdf, pages=printed.pages)


# ---- the review record


def review_record(
    rules: Rules,
    form: str = "html",
    *,
    library: Where | None = None,
    today: str | None = None,
    work_limit: int | None = None,
    paper: str = "a4",
) -> Printed:
    """The review record as `html` or `pdf`: findings, exceptions, claims, every limit with what guards it, pictures,
    versions, the rules with their sources. `library`: one that is asked which of the shop's reviewers approve it
    (LibraryError). `today` (an ISO date) ends exceptions that have an end."""
    from alertlang.documents.report import report_data
    from alertlang.logic.solver import solver_version

    _form(form, ("html", "pdf"))
    data = report_data(
        rules.model,
        tool=tool(),
        solver=solver_version(),
        digest=content_digest(rules.model)[:SHORT],
        approvals=None if library is None else _approvals(Path(library), rules),
        today=today,
        work_limit=work_limit,
        outlines=form == "pdf",
    )
    if form == "pdf":
        from alertlang.documents.typeset import typeset

        made = typeset("report.typ", "report", data, paper=paper)[0]
    else:
        from alertlang.documents.html import page, picture

        for one in (*data["gauges"], *data["maps"]):
            one["picture"] = picture(one["svg"].encode("utf-8"))
        made = page("report.html.j2", data).encode("utf-8")
    return Printed(form, made, data["counts"], open_errors=bool(data["unclean"]))


def _approvals(library: Path, rules: Rules) -> list[str]:
    from alertlang.library.verify import verify_one

    state = verify_one(library, rules.name)
    held = state.entry.rules_digest
    if held != content_digest(rules.model):
        # An approval of rules that bear the same name is none of these.
        return [
            f"{approval.by}: about other rules of this name ({held[:SHORT]}), not about these"
            for approval in state.approvals
        ]
    return [
        f"{approval.by}: {approval.status}" + (f" ({approval.why})" if approval.why else "")
        for approval in state.approvals
    ]
