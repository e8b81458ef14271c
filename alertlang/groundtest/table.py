"""The card as CSV, and what came back in it."""

from __future__ import annotations

import csv
import io
from fractions import Fraction

from alertlang.findings.errors import AlertlangError
from alertlang.groundtest.card import Card
from alertlang.output.text import CAUTION
from alertlang.results.readback import CardResult
from alertlang.text.cells import guarded, unguarded
from alertlang.units.number import show_number

HEAD = ("line", "step", "stimulus", "hold s", "look after s", "item", "expected", "seen", "initials")
# What stands for "as it must be".
_YES = frozenset({"yes", "ok", "o.k.", "as expected", "\u2713", "\u2714"})
# What a gauge without colour is called, too.
_NOTHING = frozenset({"no colour", "none", "unmarked", "blank"})


class ResultsError(AlertlangError, ValueError):
    """A file of results that cannot be used at all."""


def as_csv(card: Card) -> str:
    """One line for each expectation; what is to be filled in is empty. A line before the head names the rule set."""
    opened = io.StringIO(newline="")
    writer = csv.writer(opened, lineterminator="\r\n")
    writer.writerow(("rules", guarded(card.name), card.version, "digest", card.digest))
    writer.writerow(("caution", CAUTION))
    writer.writerow(HEAD)
    writer.writerows(map(guarded, row) for row in _rows(card))
    return opened.getvalue()


def _rows(card: Card) -> list[tuple[str, ...]]:
    return [
        (
            str(expectation.number),
            str(step.number),
            "; ".join(step.changes),
            show_number(step.hold),
            show_number(expectation.after),
            expectation.item,
            expectation.seen,
            "",
            "",
        )
        for step in card.steps
        for expectation in step.expected
    ]


def results(card: Card, text: str) -> tuple[CardResult, ...]:
    """What was missed, what failed and what cannot be read, in the order of the card; nothing: all is as it must be.

    ResultsError for a file of another rule set, or none of results.
    """
    reader = csv.reader(io.StringIO(text.removeprefix("\ufeff"), newline=""), delimiter=_delimiter(text))
    try:
        lines = [(reader.line_num, [unguarded(cell.strip()) for cell in row]) for row in reader]
    except csv.Error as problem:
        raise ResultsError(f"line {reader.line_num}: {problem}") from problem
    lines = [(number, row) for number, row in lines if any(row)]
    first = lines[0][1] if lines else []
    if len(first) < 5 or first[0] != "rules" or first[3] != "digest":
        raise ResultsError('line 1 does not name the rule set: it begins with "rules" as on the card')
    if first[4] != card.digest:
        raise ResultsError(
            f"the results are of another state of the rules (digest {first[4][:12]}, the rules have "
            f"{card.digest[:12]}): make the card anew and test again"
        )
    heads = [place for place, (_, row) in enumerate(lines) if row[: len(HEAD)] == list(HEAD)]
    if not heads:
        raise ResultsError(_no_head(lines))
    return _judged(card, lines[heads[0] + 1 :], _delimiter(text) == ";")


def _no_head(lines: list[tuple[int, list[str]]]) -> str:
    """Why there is no head: the columns that the line most like it lacks."""
    number, row = max(lines, key=lambda line: sum(cell in line[1] for cell in HEAD))
    missing = [cell for cell in HEAD if cell not in row]
    if len(missing) == len(HEAD):
        return f"no line has the head {', '.join(HEAD)}"
    if missing:
        return f"line {number}: the head lacks {', '.join(missing)}; it must read {', '.join(HEAD)}"
    return f"line {number}: the columns stand in another order than {', '.join(HEAD)}"


def _delimiter(text: str) -> str:
    """Spreadsheets of some countries part cells by semicolons."""
    first = text.lstrip("\ufeff").split("\n", 1)[0]
    return ";" if first.startswith(("rules;", '"rules";')) else ","


def _judged(card: Card, lines: list[tuple[int, list[str]]], comma: bool) -> tuple[CardResult, ...]:
    wanted = {row[0]: row for row in _rows(card)}
    found: dict[str, list[CardResult]] = {}
    lost: list[CardResult] = []
    for number, row in lines:
        cells = [*row, *[""] * (len(HEAD) - len(row))]
        asked = wanted.get(cells[0])
        if asked is None:
            lost.append(CardResult("unreadable", number, cells[0], "", f"the card has no line {cells[0]!r}"))
        elif cells[0] in found:
            found[cells[0]].append(CardResult("unreadable", number, cells[0], asked[1], "the line stands here twice"))
        elif not all(_same(i, cells[i], asked[i], comma) for i in range(7)):
            place = next(i for i in range(7) if not _same(i, cells[i], asked[i], comma))
            said = f"{HEAD[place]} is {cells[place]!r}, on the card {asked[place]!r}"
            found[cells[0]] = [CardResult("unreadable", number, cells[0], asked[1], said)]
        elif len(row) > len(HEAD):
            found[cells[0]] = [CardResult("unreadable", number, cells[0], asked[1], "more cells than the head has")]
        else:
            found[cells[0]] = _line(number, cells)
    for line, cells_asked in wanted.items():
        if line not in found:
            said = f"step {cells_asked[1]}: {cells_asked[5]}: the line is not there"
            found[line] = [CardResult("missed", 0, line, cells_asked[1], said)]
    return (*(result for line in wanted for result in found[line]), *lost)


def _same(place: int, cell: str, asked: str, comma: bool) -> bool:
    """A cell is as on the card. Times are numbers, which a spreadsheet may write in another way: 0,50 for 0.5 where
    semicolons part the cells (elsewhere a comma is none of a number)."""
    if cell == asked or HEAD[place] not in {"hold s", "look after s"}:
        return cell == asked
    try:
        return Fraction(cell.replace(",", ".") if comma else cell) == Fraction(asked)
    except (ValueError, ZeroDivisionError):
        return False


def _line(number: int, cells: list[str]) -> list[CardResult]:
    step, item, expected, seen, initials = cells[1], cells[5], cells[6], cells[7], cells[8]
    if not seen:
        return [CardResult("missed", number, cells[0], step, f"step {step}: {item}: nothing was written down", True)]
    if _plain(seen) not in _YES and not _alike(item, expected, seen):
        return [CardResult("failed", number, cells[0], step, f"step {step}: {item}: {expected} expected, {seen} seen")]
    if not initials:
        return [CardResult("missed", number, cells[0], step, f"step {step}: {item}: not signed")]
    return []


def _alike(item: str, expected: str, seen: str) -> bool:
    """What was written down says what must be seen. "Still off" is off; alerts may come in any order."""
    must, was = _plain(expected), _plain(seen).removeprefix("still ")
    if must == was:
        return True
    if item.startswith("gauge ") and must in _NOTHING:
        return was in _NOTHING
    if item == "all alerts":
        return sorted(_parts(must)) == sorted(_parts(was))
    return False


def _parts(text: str) -> list[str]:
    return [part.strip() for part in text.split(";" if ";" in text else ",")]


def _plain(text: str) -> str:
    return " ".join(text.casefold().split())
