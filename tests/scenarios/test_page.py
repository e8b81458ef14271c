"""grammar/SCENARIOS.md: every example on it does what is said of it, and every form of the grammar is shown."""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path

import pytest
from lark import Lark, Token, Tree
from lark.exceptions import UnexpectedInput

from alertlang.model.load import load_ruleset
from alertlang.output.scenario import scenario_lines
from alertlang.scenarios.load import LoadedScenario, load_scenario, parse_scenario_text
from alertlang.scenarios.run import report_on_scenario
from alertlang.scenarios.scenario import DEFAULT_SPACING
from alertlang.text.resources import grammar_dir
from alertlang.units.number import show_number

TEXT = (grammar_dir() / "SCENARIOS.md").read_text(encoding="utf-8")
_BLOCK = re.compile(r"<!-- (?P<kind>[a-z ]+?)(?:: (?P<argument>[^>]+?))? -->\n```alert\n(?P<code>.*?)```", re.DOTALL)
HEAD = 'scenario "trial" version 1\n'


@dataclass(frozen=True)
class Block:
    line: int
    kind: str
    argument: str
    code: str

    def __str__(self) -> str:
        return f"line-{self.line}"


BLOCKS = [
    Block(TEXT.count("\n", 0, match.start()) + 1, match["kind"], match["argument"] or "", match["code"])
    for match in _BLOCK.finditer(TEXT)
]
TRIALS = [block for block in BLOCKS if block.kind != "rules"]


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    place = tmp_path_factory.mktemp("scenarios")
    [rules] = [block for block in BLOCKS if block.kind == "rules"]
    (place / f"{rules.argument}.alert").write_text(rules.code, encoding="utf-8")
    return place


def read(block: Block, folder: Path) -> LoadedScenario:
    text = block.code
    if block.kind != "scenario":
        text = HEAD + ("" if "use rules" in text else 'use rules "osier"\n') + text
    return parse_scenario_text(text.encode(), shown="SCENARIOS.md", folder=folder)


@pytest.mark.parametrize("block", TRIALS, ids=str)
def test_example_does_what_is_said_of_it(block: Block, folder: Path) -> None:
    loaded = read(block, folder)
    codes = {one.code.code for one in loaded.findings}
    if block.kind == "error":
        assert codes == {block.argument}, [one.message for one in loaded.findings]
        return
    assert codes == set(), [one.message for one in loaded.findings]
    found = report_on_scenario(loaded).difference
    if block.kind == "differs":
        assert found is not None
        assert f"{show_number(found.time)} s" == block.argument
    else:
        assert block.kind in {"scenario", "as said"}
        assert found is None, found


def test_no_example_escapes() -> None:
    assert TEXT.count("\n```alert") == len(BLOCKS)
    kinds = [block.kind for block in BLOCKS]
    assert {kind: kinds.count(kind) for kind in set(kinds)} == {
        "scenario": 1,
        "rules": 1,
        "as said": kinds.count("as said"),
        "differs": 2,
        "error": kinds.count("error"),
    }
    assert kinds.count("as said") >= 8
    assert kinds.count("error") >= 6


def test_every_form_and_terminal_occurs_in_an_example() -> None:
    grammar = Lark(
        (grammar_dir() / "scenario.lark").read_text(encoding="utf-8"),
        start="statement",
        parser="lalr",
        lexer="contextual",
        keep_all_tokens=True,
    )
    # What is told in the tables counts too.
    table = re.search(r"\| INPUT \| says \|\n(.*?)\n\n", TEXT, re.DOTALL)
    shown = re.search(r"\| EXPECTED \| is so where \|\n(.*?)\n\n", TEXT, re.DOTALL)
    assert table is not None
    assert shown is not None
    cells = [row.split("|")[1] for row in table[1].splitlines()[1:]]
    statements = [f"at 0 s: {one}" for cell in cells for one in re.findall(r"`([^`]+)`", cell)]
    cells = [row.split("|")[1] for row in shown[1].splitlines()[1:]]
    statements += [f"at 0 s -> {one}" for cell in cells for one in re.findall(r"`([^`]+)`", cell)]
    statements += re.findall(r"(at \d.*?->.*? until .*)", TEXT)
    for block in TRIALS:
        statements += re.findall(r"^[^\s#].*(?:\n(?:[ #].*)?)*", block.code, re.MULTILINE)
    terminals: set[str] = set()
    rules: set[str] = set()
    for statement in statements:
        try:
            tree = grammar.parse(statement)
        except UnexpectedInput:
            continue
        for part in tree.iter_subtrees():
            assert isinstance(part, Tree)
            rules.add(str(part.data))
            terminals.update(c.type for c in part.children if isinstance(c, Token))
    forms = {
        rule.alias or rule.origin.name
        for rule in grammar.rules
        if rule.alias or not (rule.options.expand1 or rule.origin.name.startswith("_"))
    }
    # Colours and levels are those of LANGUAGE.md; a minus is one.
    unseen = {"negative", "negative_fraction", "MINUS", "AMBER", "WHITE", "BLUE"}
    assert forms - rules - unseen == set()
    assert {t.name for t in grammar.terminals} - terminals - unseen - {"COMMENT", "SPACE"} == set()


def test_inputs_and_expectations_of_the_tables_can_be_read() -> None:
    """Each cell of the two tables is a piece of a line."""
    for head, line in (("INPUT", "at 0 s: {}"), ("EXPECTED", "at 0 s -> {}")):
        table = re.search(rf"\| {head} \| [^\n]*\n(.*?)\n\n", TEXT, re.DOTALL)
        assert table is not None
        pieces = [p for row in table[1].splitlines()[1:] for p in re.findall(r"`([^`]+)`", row.split("|")[1])]
        assert len(pieces) >= 7
        for piece in pieces:
            loaded = parse_scenario_text((HEAD + line.format(piece)).encode(), shown="x", folder=Path("."), rules=None)
            assert {one.code.name for one in loaded.findings} <= {"missing-file"}, piece


def test_the_spacing_that_is_told_is_the_one() -> None:
    assert f"without it, {show_number(DEFAULT_SPACING)} s (common practice, no source)" in TEXT


def test_the_difference_that_is_shown_is_what_is_said(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    text = 'scenario "trial" version 1\nat 0 s: rpm 2600\nat 4.5 min -> caution "PWR TIME"\n'
    (folder / "trial.scenario").write_text(text, encoding="utf-8")
    monkeypatch.chdir(folder)
    rules = load_ruleset(Path("osier.alert")).ruleset
    report = report_on_scenario(load_scenario(Path("trial.scenario"), rules=rules))
    said = "\n".join("".join(piece for _, piece in line).rstrip() for line in scenario_lines(report, 80))
    shown = re.search(r"```text\n(differs .*?)```", TEXT, re.DOTALL)
    assert shown is not None
    assert said == shown[1].rstrip("\n")


def test_the_json_that_is_shown_has_all_keys(folder: Path) -> None:
    shown = re.search(r"```text\n(\{\"tool\".*?)```", TEXT, re.DOTALL)
    assert shown is not None
    loaded = read(Block(0, "", "", 'at 0 s: rpm 2600\nat 4.5 min -> caution "PWR TIME"'), folder)
    data = report_on_scenario(loaded).to_dict()

    def keys(part: object) -> set[str]:
        if isinstance(part, dict):
            return set(part) | {k for value in part.values() for k in keys(value)}
        return {k for one in part for k in keys(one)} if isinstance(part, list) else set()

    told = set(re.findall(r'"([a-z_]+)"(?=[:,}])', shown[1])) - {"rpm", "oil_temp", "canopy", "open", "cold_engine"}
    assert keys(data) - {"rpm"} == told


def test_links_lead_somewhere() -> None:
    prose = re.sub(r"^```.*?^```$", "", TEXT, flags=re.MULTILINE | re.DOTALL)
    headings = re.findall(r"^#{1,4} (.+)$", prose, re.MULTILINE)
    slugs = {re.sub(r"[^a-z0-9 -]", "", h.lower()).replace(" ", "-") for h in headings}
    assert set(re.findall(r"\]\(#([^)]+)\)", TEXT)) <= slugs
    for heading in headings[2:]:
        assert f"[{heading}](" in TEXT, heading
    language = (grammar_dir() / "LANGUAGE.md").read_text(encoding="utf-8")
    for target in re.findall(r"\]\(LANGUAGE\.md#([^)]+)\)", TEXT):
        assert target in {
            re.sub(r"[^a-z0-9 -]", "", h.lower()).replace(" ", "-")
            for h in re.findall(r"^#+ (.+)$", language, re.MULTILINE)
        }
    for target in re.findall(r"\]\(([A-Za-z.]+)\)", TEXT):
        assert (grammar_dir() / target).is_file()
