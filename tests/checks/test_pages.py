"""Every finding has a page, and the two examples on it show what the page says."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import pytest

import alertlang.checks
from alertlang.api import Rules, UnreadableError, load, loads
from alertlang.checks.registry import CHECKS
from alertlang.findings.codes import BY_NAME, CODES, RETIRED, Code, Severity
from alertlang.findings.finding import Finding
from alertlang.findings.pages import reading_pages
from alertlang.fit.run import DISPLAY_CHECKS
from tests.helpers.displays import parse_display

HEADINGS = ("What it finds", "Why it matters", "Example", "Corrected", "How it is decided", "What it cannot see")
WIDEST = 110
OF_CHECKS = {one.code.name: one.page for one in CHECKS} | {one.code.name: one.page for one in DISPLAY_CHECKS}
EVERY = {**reading_pages(), **OF_CHECKS}

# A file that the file of a page uses, or that uses it.
ENGINE = 'profile "osier-engine" version 1\nquantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm\n'
USER = 'rules "osier" version 1\nuse rules "osier-gauges"\n'
ON_THE_BUS = """\
rules "osier" version 1
use profile "NAME"
volts at most 16.5 V is green
volts above 16.5 V is red with warning "VOLTS"
"""
PANEL = """\
rules "osier" version 1
use profile "osier-engine"
rpm at most 2750 rpm is green
rpm above 2750 rpm is red
"""


def sections(page: str) -> list[tuple[str, str]]:
    """The headings of a page in order, each with the text below it."""
    parts = re.split(r"^## (.+)\n", page, flags=re.MULTILINE)
    return list(zip(parts[1::2], parts[2::2], strict=True))


def block(page: str, heading: str) -> str:
    """The one file under a heading: its lines that are indented by four spaces or more."""
    lines = dict(sections(page))[heading].splitlines()
    return "".join(line[4:] + "\n" for line in lines if line.startswith("    "))


def found(read: Callable[[], Rules]) -> tuple[Finding, ...]:
    """All findings, whether the file can be read or not."""
    try:
        rules = read()
    except UnreadableError as problem:
        return problem.findings
    return rules.check().findings


def on_a_display(text: str, folder: Path) -> tuple[Finding, ...]:
    """The same where the page names a display: a second file, from its header on."""
    rules, header, display = text.partition("display ")
    loaded = parse_display((header + display).encode(), shown="box.display")
    assert loaded.display is not None, shown(loaded.findings)
    return loads(rules, folder=folder).check(display=loaded.display).findings


def findings_of(name: str, heading: str, folder: Path) -> tuple[Finding, ...]:
    """What is found in the example of a page, with the other files that its text speaks of in place."""
    text = block(EVERY[name], heading)

    def write(file_name: str, content: str, encoding: str = "utf-8") -> Path:
        path = folder / file_name
        path.write_text(content, encoding=encoding)
        return path

    if name == "unreadable-file":
        main = write("osier.alert", text, "utf-16" if heading == "Example" else "utf-8")
    elif name == "missing-file":
        write("osier-engine.profile", ENGINE)
        main = write("osier.alert", text)
    elif name == "circular-use":
        write("osier-gauges.alert", text)
        main = write("osier.alert", USER)
    elif name == "altered-copy":
        called = text.split('"')[1]
        write(f"{called}.profile", text)
        main = write("osier.alert", ON_THE_BUS.replace("NAME", called))
    elif name == "name-mismatch":
        write("osier-engine.profile", text)
        main = write("osier.alert", PANEL)
    elif name in {check.code.name for check in DISPLAY_CHECKS}:
        return on_a_display(text, folder)
    else:
        return found(lambda: loads(text, folder=folder))
    return found(lambda: load(main))


def shown(findings: tuple[Finding, ...]) -> list[str]:
    return [f"{one.code.name}: {one.message}" for one in findings]


every_code = pytest.mark.parametrize("code", CODES.values(), ids=lambda code: code.name)


def test_each_code_has_one_page() -> None:
    assert not reading_pages().keys() & OF_CHECKS.keys()
    assert sorted(EVERY) == sorted(code.name for code in CODES.values())


def test_a_code_of_the_past_is_not_given_again() -> None:
    assert {one.code for one in RETIRED} >= {"AL190"}
    for one in RETIRED:
        assert one.code not in CODES
        assert one.name not in BY_NAME
        assert one.name not in EVERY
    for some in ([one.code for one in RETIRED], [one.name for one in RETIRED]):
        assert len(set(some)) == len(some)


def test_each_check_is_a_file_named_after_it() -> None:
    """Found by its code; those of displays are listed where they run."""
    folder = Path(alertlang.__path__[0])
    of_displays = [code.name for code in CODES.values() if code.code.startswith("AL7")]
    places = {check.code.name: "checks/standards" if check.code.code >= "AL6" else "checks" for check in CHECKS}
    places |= dict.fromkeys(of_displays, "fit")
    assert sorted(places) == sorted(OF_CHECKS)
    for name, place in places.items():
        text = (folder / place / f"{name.replace('-', '_')}.py").read_text(encoding="utf-8")
        assert f'\nNAME = "{name}"\n' in text
    # No file has a name that no code has: it would never run.
    named = {
        path.stem.replace("_", "-")
        for place in ("checks", "checks/standards", "fit")
        for path in (folder / place).glob("*.py")
        if "\nNAME = " in path.read_text(encoding="utf-8")
    }
    assert named == set(places)


@every_code
def test_the_form_of_a_page(code: Code) -> None:
    page = EVERY[code.name]
    first, second = page.split("\n")[:2]
    assert first.endswith(".")
    assert not second.strip(), "the first line is a sentence of its own"
    parts = sections(page)
    assert tuple(heading for heading, _ in parts) == HEADINGS
    for heading, text in parts:
        assert text.strip(), heading
    for heading in ("Example", "Corrected"):
        others = {"misplaced-statement", "name-mismatch", "altered-copy"}
        assert block(page, heading).startswith("rules ") or code.name in others
    assert [line for line in page.split("\n") if len(line) > WIDEST] == []


@every_code
def test_the_example_gives_the_finding(code: Code, tmp_path: Path) -> None:
    findings = findings_of(code.name, "Example", tmp_path)
    names = {one.code.name for one in findings if one.severity > Severity.NOTE}
    assert code.name in {one.code.name for one in findings}, shown(findings)
    assert names <= {code.name}, shown(findings)
    assert not any(one.undecided for one in findings)


@every_code
def test_the_corrected_one_gives_none(code: Code, tmp_path: Path) -> None:
    findings = findings_of(code.name, "Corrected", tmp_path)
    assert [text for one, text in zip(findings, shown(findings), strict=True) if one.severity > Severity.NOTE] == []
    assert code.name not in {one.code.name for one in findings}
