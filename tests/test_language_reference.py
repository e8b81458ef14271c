"""The language reference: every example in it runs, and it leaves out nothing the language has.

A fenced block tagged `alert` is told what it is by the comment before it:

    <!-- file -->             a complete rules file; read without a finding
    <!-- profile -->          a complete profile; read without a finding
    <!-- display -->          a complete display; read without a finding
    <!-- prelude: NAME -->    a complete rules file that fragments are appended to
    <!-- with: NAME -->       a fragment, read without a finding at the end of that prelude
    <!-- error: AL104 -->     a complete file whose findings are all of exactly this code

A claim in a good example that ends with `# proved` or `# refuted` comes to that. A table after `<!-- samples -->` is
what the example above it does over time, one row a sample, by the reference stepper.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path

import pytest
from lark import Lark, Token, Tree
from lark.exceptions import UnexpectedInput

from alertlang.checks.run import run
from alertlang.findings.codes import CODES
from alertlang.meaning.readings import Sample
from alertlang.meaning.stepper import Shown as Step
from alertlang.meaning.stepper import Stepper
from alertlang.model.display import Display, LoadedDisplay
from alertlang.model.facts import FACTS
from alertlang.model.header import ENDING
from alertlang.model.load import Loaded, load_any
from alertlang.model.ruleset import Alert, Assumption, Band, Claim, Colour, Level, Range, RuleSet, variable
from alertlang.syntax.parse import reserved_words
from alertlang.text.resources import grammar_dir
from alertlang.units.unit import UNITS, convert, find_unit
from tests.helpers.displays import parse_display

TEXT = (grammar_dir() / "LANGUAGE.md").read_text(encoding="utf-8")

_BLOCK = re.compile(
    r"(?:^<!--[ ]*(?P<tag>[^>\n]*?)[ ]*-->\n\n?)?^```alert\n(?P<code>.*?)^```$", re.MULTILINE | re.DOTALL
)
_SAMPLES = re.compile(r"^<!-- samples -->\n(?P<rows>(?:\|[^\n]*\|\n)+)", re.MULTILINE)
_TAG = re.compile(r"(file|profile|display)|(prelude|with): ([a-z-]+)|(error): (AL\d{3})")
_HEADER = re.compile(r'^(profile|rules|display) "([^"]+)" version', re.MULTILINE)


@dataclass(frozen=True)
class Block:
    """One example. `argument` is the prelude's name or the code of the finding."""

    line: int
    kind: str
    argument: str
    code: str

    def __str__(self) -> str:
        return f"line-{self.line}-{self.kind}"


def _blocks() -> list[Block]:
    found = []
    for match in _BLOCK.finditer(TEXT):
        line = TEXT.count("\n", 0, match.start("code")) + 1
        tag = _TAG.fullmatch(match["tag"] or "")
        if tag is None:
            pytest.fail(f"LANGUAGE.md line {line}: the example is not told what it is: {match['tag']!r}")
        kind = tag[1] or tag[2] or tag[4]
        found.append(Block(line, kind, tag[3] or tag[5] or "", match["code"]))
    return found


BLOCKS = _blocks()
PRELUDES = {b.argument: b.code for b in BLOCKS if b.kind == "prelude"}
DISPLAYS = [b for b in BLOCKS if b.kind == "display"]
# Displays have nothing to check or to prove.
GOOD = [b for b in BLOCKS if b.kind not in {"error", "display"}]
BAD = [b for b in BLOCKS if b.kind == "error"]


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with every complete file of the page, so that the examples can use one another."""
    place = tmp_path_factory.mktemp("language")
    for block in BLOCKS:
        if block.kind in {"file", "profile", "display"}:
            kind, name = _header(block)
            path = place / (name + ENDING[kind])
            assert not path.exists(), f"two examples are called {name}"
            path.write_text(block.code, encoding="utf-8")
    return place


def _header(block: Block) -> tuple[str, str]:
    header = _HEADER.search(block.code)
    assert header is not None, f"LANGUAGE.md line {block.line}: a complete file has a header"
    return header[1], header[2]


def _whole(block: Block) -> str:
    return PRELUDES[block.argument] + "\n" + block.code if block.kind == "with" else block.code


def _read(block: Block, folder: Path) -> Loaded | LoadedDisplay:
    return load_any(folder / "-", text=_whole(block).encode(), shown="LANGUAGE.md")


def _ruleset(block: Block, folder: Path) -> RuleSet:
    loaded = _read(block, folder)
    assert isinstance(loaded, Loaded)
    assert loaded.ruleset is not None
    return loaded.ruleset


def _said(loaded: Loaded | LoadedDisplay) -> list[str]:
    return [f"{f.code.code} {f.message}" for f in loaded.findings]


# ---- the examples run


@pytest.mark.parametrize("block", GOOD, ids=str)
def test_example_is_read_without_a_finding(block: Block, folder: Path) -> None:
    loaded = _read(block, folder)
    assert _said(loaded) == []
    assert isinstance(loaded, Loaded)
    assert loaded.ruleset is not None
    assert loaded.origin is not None
    assert loaded.origin.kind == ("profile" if block.kind == "profile" else "rules")


@pytest.mark.parametrize("block", DISPLAYS, ids=str)
def test_display_is_read_without_a_finding(block: Block) -> None:
    loaded = parse_display(block.code.encode(), shown="LANGUAGE.md")
    assert _said(loaded) == []
    assert loaded.display is not None
    assert loaded.display.name == _header(block)[1]


def test_the_displays_show_what_the_page_says_of_them() -> None:
    first, second = (parse_display(block.code.encode(), shown="x").display for block in DISPLAYS)
    assert first is not None
    assert second is not None
    assert _stated(first) == (8, 6, 4, 12, Fraction(1, 5), ("red", "yellow", "green", "white"))
    assert _stated(second) == (1, None, 1, None, None, ("red", "yellow"))


def _stated(one: Display) -> tuple[object, ...]:
    colours = tuple(colour.word for colour in one.colours)
    return one.bands_per_quantity, one.contexts, one.timers, one.text_length, one.scan, colours


@pytest.mark.parametrize("block", BAD, ids=str)
def test_wrong_example_gives_its_code(block: Block, folder: Path) -> None:
    loaded = _read(block, folder)
    assert {f.code.code for f in loaded.findings} == {block.argument}, _said(loaded)


def test_no_example_escapes() -> None:
    assert TEXT.count("\n```alert") == len(BLOCKS)
    assert {b.kind for b in BLOCKS} == {"file", "profile", "display", "prelude", "with", "error"}
    used = {b.argument for b in BLOCKS if b.kind == "with"}
    assert used == set(PRELUDES)


def test_page_opens_with_a_complete_file_of_one_screen() -> None:
    first = BLOCKS[0]
    assert first.kind == "file"
    assert TEXT.index(first.code) < TEXT.index("\n## ")
    assert first.code.count("\n") <= 40


# ---- and mean what is said of them


@pytest.mark.parametrize("block", GOOD, ids=str)
def test_claims_come_to_what_is_written_behind_them(block: Block, folder: Path) -> None:
    report = run(_ruleset(block, folder))
    assert [f.message for f in report.findings if f.undecided] == []
    told = [line.rpartition("# ")[2] for line in block.code.splitlines() if re.match(r"(\w+: )?prove ", line)]
    verdicts = [one.verdict.value for one in report.claims]
    # A claim that nothing is said of may come to anything.
    assert [v if t in {"proved", "refuted"} else t for v, t in zip(verdicts, told, strict=True)] == told


def test_both_verdicts_are_shown() -> None:
    told = re.findall(r"^prove .*# (proved|refuted)$", TEXT, re.MULTILINE)
    assert min(told.count("proved"), told.count("refuted")) >= 10


@dataclass(frozen=True)
class Samples:
    """A table of samples with the example it belongs to."""

    line: int
    block: Block
    head: list[str]
    rows: list[list[str]]

    def __str__(self) -> str:
        return f"line-{self.line}"


def _samples() -> list[Samples]:
    found = []
    for match in _SAMPLES.finditer(TEXT):
        line = TEXT.count("\n", 0, match.start()) + 1
        rows = [[cell.strip() for cell in row.strip("|").split("|")] for row in match["rows"].splitlines()]
        found.append(Samples(line, [b for b in GOOD if b.line < line][-1], rows[0], rows[2:]))
    return found


TABLES = _samples()


def test_no_table_of_samples_escapes() -> None:
    assert TEXT.count("<!-- samples -->") == len(TABLES) >= 8
    for one in TABLES:
        assert len(one.rows) >= 3
        assert {len(row) for row in one.rows} == {len(one.head)}


@pytest.mark.parametrize("table", TABLES, ids=str)
def test_samples_show_what_the_table_says(table: Samples, folder: Path) -> None:
    ruleset = _ruleset(table.block, folder)
    sensors = {variable(q.name, i) for q in ruleset.quantities.values() if q.derived is None for i in q.indexes}
    stepper = Stepper(ruleset)
    for row in table.rows:
        cells = dict(zip([name.replace("`", "") for name in table.head], row, strict=True))
        time = cells.pop("time").removesuffix(" s")
        readings: dict[str, Fraction] = {
            name: Fraction(cells.pop(name)) for name in sensors & set(cells) if cells[name] != "failed"
        }
        positions = {name: cells.pop(name) for name in ruleset.switches if name in cells}
        pressed = cells.pop("acknowledged", "no") == "yes"
        step = stepper.step(Sample(Fraction(time), readings, positions, pressed))
        assert {name: _seen(step, name) for name in cells} == cells, time


def _seen(step: Step, asked: str) -> str:
    """What one cell asks of a sample: `cold`, `rpm`, `rpm shows`, `overspeed is up`, `takeoff is broken`."""
    name, _, what = asked.partition(" ")
    quantity, _, element = name.rstrip("]").partition("[")
    place = (quantity, int(element) if element else None)
    if what == "shows":
        colour = step.colours[place]
        return "nothing" if colour is None else colour.word
    if what:
        return "yes" if {"is up": place in step.alerts, "is broken": step.violated.get(place)}[what] else "no"
    if name in step.conditions:
        return "yes" if step.conditions[name] else "no"
    value = step.values[name]
    return "failed" if value is None else str(value)


def test_the_table_of_units_of_time_is_all_there_is() -> None:
    second = find_unit("s")
    assert second is not None
    times = {name: convert(Fraction(1), unit, second) for name, unit in UNITS.items() if unit.dimension == "time"}
    assert times == {"s": 1, "min": 60, "h": 3600}
    for name in times:
        assert f"`{name}`" in _section("Times")


# ---- and show the whole language


@dataclass(frozen=True)
class Shown:
    """What of the grammar the examples make use of."""

    terminals: frozenset[str]
    rules: frozenset[str]


@pytest.fixture(scope="module")
def grammar() -> Lark:
    text = (grammar_dir() / "alertlang.lark").read_text(encoding="utf-8")
    return Lark(text, start="statement", parser="lalr", lexer="contextual", keep_all_tokens=True)


@pytest.fixture(scope="module")
def shown(grammar: Lark) -> Shown:
    terminals: set[str] = set()
    rules: set[str] = set()
    for block in BLOCKS:
        # A statement starts in the first column; a comment line is none.
        for statement in re.findall(r"^[^\s#].*(?:\n(?:[ #].*)?)*", block.code, re.MULTILINE):
            try:
                tree = grammar.parse(statement)
            except UnexpectedInput:
                # Only examples of what is no statement may fail.
                assert block.kind == "error", statement
                continue
            for part in tree.iter_subtrees():
                assert isinstance(part, Tree)
                rules.add(str(part.data))
                terminals.update(c.type for c in part.children if isinstance(c, Token))
    return Shown(frozenset(terminals), frozenset(rules))


def test_every_terminal_occurs_in_an_example(grammar: Lark, shown: Shown) -> None:
    ignored = {"COMMENT", "SPACE"}
    assert {t.name for t in grammar.terminals} - ignored - shown.terminals == set()


def test_every_form_of_every_statement_occurs_in_an_example(grammar: Lark, shown: Shown) -> None:
    forms = {
        rule.alias or rule.origin.name
        for rule in grammar.rules
        if rule.alias or not (rule.options.expand1 or rule.origin.name.startswith("_"))
    }
    assert forms - shown.rules == set()


def test_every_kind_of_region_occurs_in_a_good_example(folder: Path) -> None:
    grammar_text = (grammar_dir() / "alertlang.lark").read_text(encoding="utf-8")
    rules = re.findall(r"^\??(?:band_)?region:.*?(?=\n\S|\n\n)", grammar_text, re.MULTILINE | re.DOTALL)
    kinds = {name.removesuffix("_region") for rule in rules for name in re.findall(r"->\s*(\w+)", rule)}
    assert {"below", "failed"} <= kinds
    seen: set[str] = set()
    for block in GOOD:
        ruleset = _ruleset(block, folder)
        seen.update(band.region.kind for band in ruleset.bands)
        seen.update(one.region.kind for one in ruleset.ranges)
    # Another way to write what is outside.
    assert kinds - {"below_above"} == seen


def test_every_colour_and_level_is_shown_by_a_good_example(folder: Path) -> None:
    colours: set[Colour] = set()
    levels: set[Level] = set()
    for block in GOOD:
        ruleset = _ruleset(block, folder)
        colours.update(b.colour for b in ruleset.bands)
        levels.update(a.alert.level for a in ruleset.rules if a.alert is not None)
    assert colours == set(Colour)
    assert levels == set(Level)


# ---- the tables are complete and true


@pytest.mark.parametrize("name", UNITS)
def test_unit_is_named(name: str) -> None:
    assert f"`{name}`" in _section("Units")


def test_no_unit_is_named_that_there_is_not() -> None:
    rows = [row for row in _section("Units").splitlines() if row.startswith("| ")][1:]
    named = {name for row in rows for name in re.findall(r"`([^`]+)`", row)}
    assert named == set(UNITS)


def test_engine_facts_are_named() -> None:
    rows = re.findall(r"^\| `([^`]+)` \|", _section("Engine facts"), re.MULTILINE)
    assert rows == list(FACTS)


def test_reserved_words_are_the_reserved_words() -> None:
    block = re.search(r"<!-- reserved words -->\n```text\n(.*?)```", TEXT, re.DOTALL)
    assert block is not None
    assert block[1].split() == sorted(reserved_words())


def test_findings_of_reading_are_listed() -> None:
    rows = re.findall(r"^\| (AL\d{3}) \| ([a-z-]+) \|", TEXT, re.MULTILINE)
    assert rows == [(c.code, c.name) for c in CODES.values() if c.reading]


def test_derived_labels_are_as_the_example_says(folder: Path) -> None:
    block = next(b for b in GOOD if "# rpm_limit_1" in b.code)
    ruleset = _ruleset(block, folder)
    statements: list[Band | Range | Alert | Assumption | Claim] = [
        *ruleset.bands, *ruleset.ranges, *ruleset.alerts, *ruleset.assumptions, *ruleset.claims,
    ]  # fmt: skip
    labels = {one.label for one in statements}
    assert labels == set(re.findall(r"# (\w+)$", block.code, re.MULTILINE))


def test_every_link_leads_somewhere() -> None:
    prose = re.sub(r"^```.*?^```$", "", TEXT, flags=re.MULTILINE | re.DOTALL)
    headings = re.findall(r"^#{1,4} (.+)$", prose, re.MULTILINE)
    slugs = {re.sub(r"[^a-z0-9 -]", "", h.lower()).replace(" ", "-") for h in headings}
    assert set(re.findall(r"\]\(#([^)]+)\)", TEXT)) <= slugs
    contents = _section("Contents")
    for heading in headings[2:]:
        assert f"[{heading}](" in contents, heading


def test_page_closes_with_the_caution() -> None:
    last = TEXT[TEXT.rindex("\n## ") :]
    for word in ("advises", "approved manuals", "licensed persons"):
        assert word in last


def _section(title: str) -> str:
    """The text under a heading, up to the next heading of any depth."""
    match = re.search(rf"^#+ {re.escape(title)}$(.*?)(?=^#+ |\Z)", TEXT, re.MULTILINE | re.DOTALL)
    assert match is not None, title
    return match[1]
