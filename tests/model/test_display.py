"""Display files: what is read of them, every mistake in them, and that no other file takes one for its own.

Source: the section on displays of the language reference.
"""

from __future__ import annotations

from dataclasses import FrozenInstanceError
from fractions import Fraction
from pathlib import Path

import pytest

from alertlang import api
from alertlang.api import UnreadableError
from alertlang.findings.finding import Finding
from alertlang.model.display import Display, LoadedDisplay, load_display
from alertlang.model.load import Loaded, load_any
from alertlang.model.ruleset import Colour
from alertlang.syntax.parse import reserved_words
from tests.helpers.displays import parse_display
from tests.model.conftest import Load

HEADER = 'display "small-panel" version 1\n'
FULL = HEADER + (
    "allows 8 bands per quantity, 6 contexts, 4 timers\n"
    "text up to 12 characters\n"
    "scan every 0.2 s\n"
    "colours red, yellow, green, white\n"
)


def _read(text: str) -> LoadedDisplay:
    return parse_display(text.encode(), shown="d.display")


def _display(text: str) -> Display:
    loaded = _read(text)
    assert [f.message for f in loaded.findings] == []
    assert loaded.display is not None
    return loaded.display


def _only(loaded: LoadedDisplay | Loaded) -> Finding:
    assert [f.message for f in loaded.findings][1:] == []
    assert (loaded.display if isinstance(loaded, LoadedDisplay) else loaded.ruleset) is None
    found = loaded.findings[0]
    assert found.advice or "did you mean" in found.message
    return found


def _underlined(found: Finding) -> tuple[int, str]:
    assert found.where is not None
    return found.where.line, found.where.text


# ---- what is read


def test_all_that_a_display_can_say() -> None:
    one = _display(FULL)
    assert (one.name, one.version, one.origin.kind, one.origin.path) == ("small-panel", 1, "display", "d.display")
    assert (one.bands_per_quantity, one.contexts, one.timers) == (8, 6, 4)
    assert (one.text_length, one.scan) == (12, Fraction(1, 5))
    assert one.colours == (Colour.RED, Colour.YELLOW, Colour.GREEN, Colour.WHITE)
    assert {name: (span.line, span.text) for name, span in one.spans.items()} == {
        "bands_per_quantity": (2, "8 bands per quantity"),
        "contexts": (2, "6 contexts"),
        "timers": (2, "4 timers"),
        "text_length": (3, "text up to 12 characters"),
        "scan": (4, "scan every 0.2 s"),
        "colours": (5, "colours red, yellow, green, white"),
    }


def test_it_is_frozen_and_known_by_the_bytes_of_its_file() -> None:
    one = _display(FULL)
    with pytest.raises(FrozenInstanceError):
        one.timers = 9  # type: ignore[misc]
    assert len(one.origin.sha256) == 64
    assert one.origin.sha256 != _display(FULL + "\n").origin.sha256


def test_what_is_not_said_is_not_known() -> None:
    one = _display(HEADER)
    assert (one.bands_per_quantity, one.contexts, one.timers) == (None, None, None)
    assert (one.text_length, one.scan, one.colours) == (None, None, ())
    assert (dict(one.spans), one.about, one.sources) == ({}, (), ())


def test_statements_and_allowances_come_in_any_order() -> None:
    other = HEADER + (
        "colours red, amber, green, white\nscan every 0.2 s\ntext up to 12 characters\n"
        "allows 4 timers, 8 bands per quantity,\n  6 contexts   # of each model\n"
    )
    one, another = _display(FULL), _display(other)
    for name in ("bands_per_quantity", "contexts", "timers", "text_length", "scan", "colours"):
        assert getattr(one, name) == getattr(another, name)
    assert another.spans["contexts"].line == 6


def test_one_of_something() -> None:
    one = _display(HEADER + "allows 1 band per quantity, 1 context, 1 timer\ntext up to 1 character\n")
    assert (one.bands_per_quantity, one.contexts, one.timers, one.text_length) == (1, 1, 1, 1)


@pytest.mark.parametrize(("written", "seconds"), [("1 min", 60), ("0.001 h", Fraction(18, 5)), ("2 s", 2)])
def test_scans_are_in_seconds(written: str, seconds: Fraction) -> None:
    assert _display(f"{HEADER}scan every {written}\n").scan == seconds


def test_about_and_source_stand_in_it_as_in_other_files() -> None:
    one = _display(f'{HEADER}about "A small panel"\nsource HAND "Handbook, chapter 4"\nsource MEMO from memory\n')
    assert one.about == ("A small panel",)
    assert [(s.name, s.status) for s in one.sources] == [("HAND", "document"), ("MEMO", "from memory")]
    found = _only(_read(f'{HEADER}source HAND "a"\nsource HAND "b"\n'))
    assert (found.code.name, _underlined(found)) == ("duplicate-name", (3, "HAND"))


def test_a_file_of_any_name_and_a_text_are_read_alike(tmp_path: Path) -> None:
    for name in ("small-panel.display", "small-panel.alert", "panel"):
        path = tmp_path / name
        path.write_text(FULL, encoding="utf-8")
        loaded = load_display(path, shown="x")
        assert loaded.display is not None
        assert loaded.display.timers == 4
        assert isinstance(load_any(path), LoadedDisplay)


# ---- what is wrong in it


@pytest.mark.parametrize(
    ("line", "underlined", "message"),
    [
        ("allows 0 timers", "0", "the number of timers is a whole number of at least 1"),
        ("allows 2.5 contexts", "2.5", "the number of contexts is a whole number of at least 1"),
        ("allows 0.5 bands per quantity", "0.5", "the number of bands per quantity is a whole number"),
        ("text up to 0 characters", "0", "the length of a text is a whole number of at least 1"),
        ("text up to 12.5 characters", "12.5", "the length of a text is a whole number of at least 1"),
        ("scan every 0 s", "0 s", "must be more than 0"),
        ("allows 4 timers, 6 contexts, 5 timers", "5 timers", "timers is said already, in line 2"),
        ("allows 4 timers\nallows 6 contexts", "allows 6 contexts", "`allows` is said already, in line 2"),
        ("text up to 9 characters\ntext up to 9 characters", "text up to 9 characters", "`text up to` is said already"),
        ("scan every 1 s\nscan every 2 s", "scan every 2 s", "`scan every` is said already, in line 2"),
        ("colours red\ncolours green", "colours green", "`colours` is said already, in line 2"),
        ("colours red, green, red", "red", "red is in the list already"),
        ("colours yellow, amber", "amber", "yellow is in the list already"),
        ("colours red, unmarked", "unmarked", "unmarked is no colour that a display can show"),
        (f"allows {'9' * 5000} timers", "9" * 5000, "is no value of a quantity"),
    ],
)
def test_values_that_make_no_sense(line: str, underlined: str, message: str) -> None:
    found = _only(_read(f"{HEADER}{line}\n"))
    assert found.code.code == "AL112"
    assert message in found.message
    assert _underlined(found)[1] == underlined


def test_a_number_that_is_whole_when_it_is_written_with_a_point_is_whole() -> None:
    assert _display(f"{HEADER}allows 4.0 timers\n").timers == 4


def test_the_time_from_scan_to_scan_is_a_time() -> None:
    assert _only(_read(f"{HEADER}scan every 5 rpm\n")).code.name == "wrong-dimension"
    assert _only(_read(f"{HEADER}scan every 5 sec\n")).code.name == "unknown-unit"


@pytest.mark.parametrize(
    ("line", "what"),
    [
        ("quantity rpm from 0 to 10 rpm", "a quantity"),
        ("rpm above 9 psi is red", "a band"),
        ("redline: limit rpm at most 5 rpm", "a limit or range"),
        ('when cold then caution "A"', "an alert"),
        ("prove quiet", "a claim"),
        ("assume cold", "an assumption"),
        ("switch canopy open, closed", "a switch"),
        ("let half = rpm / 2", "a let"),
        ("curve top over rpm: 1 -> 2", "a curve"),
        ("condition cold means rpm above 5", "a condition"),
        ("respond within 2 s", "`respond within`"),
        ("engine piston", "`engine`"),
        ("maximum weight 1310 kg, arcs at 1310 kg", "a weight"),
        ("arcs at 1310 rpm", "a weight"),
        ('follow "14 CFR 25.1549"', "`follow`"),
        ('accept gap on rpm because "x"', "an accepted exception"),
        ('drop low because "x"', "`drop`"),
        ("replace low: rpm above 5 is red", "`replace`"),
        ('use profile "no-such-file"', "`use`"),
        ('use rules "no-such-file"', "`use`"),
    ],
)
def test_statements_of_other_files_are_misplaced_in_it_and_not_looked_into(line: str, what: str) -> None:
    found = _only(_read(f"{FULL}{line}\n"))
    assert found.code.code == "AL109"
    assert found.message.startswith(f"{what} cannot stand in a display")
    assert _underlined(found) == (6, line)


@pytest.mark.parametrize("head", ['rules "t" version 1', 'profile "t" version 1'])
@pytest.mark.parametrize("line", FULL.splitlines()[1:])
def test_its_own_statements_are_misplaced_elsewhere(load: Load, head: str, line: str) -> None:
    loaded = load({"t.alert": f"{head}\n{line}\n"})
    found = _only(loaded)
    assert found.code.code == "AL109"
    assert f"cannot stand in {'rules' if head.startswith('rules') else 'a profile'}" in found.message
    assert ".display" in found.advice[0]
    assert _underlined(found) == (2, line)


@pytest.mark.parametrize(
    ("line", "underlined", "message"),
    [
        ("allows eight bands per quantity", "eight", "after `allows` stands a number"),
        ("allows -1 timers", "-", "after `allows` stands a number"),
        ("allows 8 bands, 6 contexts", "bands", "write `bands per quantity`"),
        ("allows 8 timrs", "timrs", "did you mean timers?"),
        ("allows 8 timers 6 contexts", "6", "expected a comma"),
        ("allow 8 timers", "allow", "did you mean allows?"),
        ("text 12 characters", "12", "after `text` stands `up to`"),
        ("text up to 12 letters", "letters", "write `characters`"),
        ("text up to 12", "12", "expected `characters`"),
        ("scan 0.2 s", "0.2", "after `scan` stands `every`"),
        ("scan every 0.2", "0.2", "a time needs its unit"),
        ("colours cyan, red", "cyan", "after `colours` stands a colour"),
        ("colours red, cyan", "cyan", "expected a colour"),
        ("colours", "colours", "after `colours` stands a colour"),
        ("colors red", "colors", "did you mean colours?"),
        ("memory 12 MB", "memory", "no statement of a display starts with memory"),
    ],
)
def test_statements_that_cannot_be_read(line: str, underlined: str, message: str) -> None:
    loaded = _read(f"{HEADER}{line}\n")
    assert loaded.display is None
    [found] = loaded.findings
    assert found.code.code == "AL102"
    assert message in " ".join([found.message, *found.advice])
    assert _underlined(found) == (2, underlined)


def test_every_mistake_is_found_at_once_in_the_order_of_the_text() -> None:
    text = f"{HEADER}text up to 0 characters\nscan 5 s\nrpm above 5 is red\ncolours red, red\n"
    assert [f.code.code for f in _read(text).findings] == ["AL112", "AL102", "AL109", "AL112"]


# ---- headers


def test_a_display_without_a_header_is_told_which(tmp_path: Path) -> None:
    for name in ("d.display", "d.alert"):
        path = tmp_path / name
        path.write_text(FULL.removeprefix(HEADER), encoding="utf-8")
        loaded = load_any(path, shown=name)
        [found] = loaded.findings
        assert found.code.code == "AL109"
        assert 'display "small-panel" version 1' in found.advice[0]


@pytest.mark.parametrize(
    ("name", "head"), [("d.display", "display small version 1"), ("d.alert", "dispaly s version 1")]
)
def test_a_broken_header_is_one_mistake(name: str, head: str) -> None:
    loaded = load_any(Path() / "-", text=(FULL.replace(HEADER, head + "\n")).encode(), shown=name)
    assert isinstance(loaded, LoadedDisplay)
    assert [(f.code.code, f.where and f.where.line) for f in loaded.findings] == [("AL102", 1)]


def test_a_broken_header_of_rules_does_not_become_one_of_a_display() -> None:
    text = b"rules t version 1\nquantity rpm from 0 to 10 rpm\nrpm at least 0 is green\n"
    loaded = load_any(Path() / "-", text=text, shown="t.display")
    assert isinstance(loaded, Loaded)
    assert [f.code.code for f in loaded.findings] == ["AL102"]


def test_headers_are_judged_as_in_all_files() -> None:
    assert _only(_read('display "d" version 1.5\n')).code.code == "AL112"
    assert _only(_read('display "" version 1\n')).code.code == "AL112"
    assert _only(_read(HEADER + HEADER)).code.code == "AL109"
    assert _only(_read("# nothing\n")).code.code == "AL109"


def test_a_file_that_is_not_there() -> None:
    found = _only(load_display(Path("no-such.display")))
    assert (found.code.code, found.path) == ("AL101", "no-such.display")


# ---- files that take one another for something else


def test_rules_and_profiles_are_no_displays(load: Load) -> None:
    for name, text in (
        ("t.alert", 'rules "t" version 1\nrpm abve 5 is red\n'),
        ("p.profile", 'profile "p" version 1\n'),
    ):
        load({name: text})
        loaded = load_display(Path(name))
        found = _only(loaded)
        assert found.code.name == "wrong-kind"
        assert "a display is asked for" in found.message
        assert _underlined(found)[0] == 1


def test_a_display_is_no_rule_set(load: Load) -> None:
    loaded = load({"d.display": FULL})
    found = _only(loaded)
    assert (found.code.name, _underlined(found)) == ("wrong-kind", (1, HEADER.strip()))
    assert loaded.origin is not None
    assert loaded.origin.kind == "display"
    with pytest.raises(UnreadableError, match="AL113"):
        api.load("d.display")


@pytest.mark.parametrize(("kind", "ending"), [("profile", "profile"), ("rules", "alert")])
def test_a_display_cannot_be_used(load: Load, kind: str, ending: str) -> None:
    files: dict[str, str | bytes] = {
        f"d.{ending}": FULL,
        "t.alert": f'rules "t" version 1\nuse {kind} "d"\nd_speed above 5 is red\n',
    }
    # The name that is not declared may be in the file that was not taken in.
    found = _only(load(files))
    assert (found.code.name, _underlined(found)) == ("wrong-kind", (2, '"d"'))
    assert "is a display" in found.message
    assert found.advice[0].startswith("no file uses a display")


@pytest.mark.parametrize("kind", ["profile", "rules"])
def test_a_display_beside_the_rules_is_never_taken_for_one_of_them(load: Load, kind: str) -> None:
    found = _only(load({"d.display": FULL, "t.alert": f'rules "t" version 1\nuse {kind} "d"\n'}))
    assert found.code.name == "missing-file"
    assert "d.display is a display" in found.advice[0]


# ---- names


WORDS = ("allows", "text", "scan", "colours", "bands", "contexts", "timers", "characters")


@pytest.mark.parametrize("name", WORDS)
def test_no_word_of_a_display_is_taken_from_anybody(load: Load, name: str) -> None:
    assert name not in reserved_words()
    text = (
        f'rules "t" version 1\nquantity {name} from 0 to 9\nquantity {name}_of[2] from 0 to 9\n'
        f"condition c means {name} above 5\n{name} above 5 is red\n{name} at most 5 is green\n"
        f"{name}: {name}_of[1] from 0 to 9 is white\nwhen c and {name} below 6 then {name} outside 1 to 2 is yellow\n"
        f"{name} failed is yellow\nprove {name} above 5 is red\n"
    )
    loaded = load({"t.alert": text})
    assert [f.message for f in loaded.findings] == []
    assert loaded.ruleset is not None
    assert [band.quantity for band in loaded.ruleset.bands].count(name) == 4
