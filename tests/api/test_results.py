"""What the calls of the api give: the JSON of the commands, a `repr` for a screen, a hash.

Source: the docstring of `alertlang.api`.
"""

from __future__ import annotations

import json
import typing
from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from fractions import Fraction
from importlib import import_module
from pathlib import Path
from pkgutil import iter_modules
from typing import Any

import pytest
from typer.testing import CliRunner

import alertlang
from alertlang import results
from alertlang.cli.app import app
from alertlang.text.resources import examples_dir

BRAMBLE = examples_dir() / "02-bramble"
VETTED = str(BRAMBLE / "bramble.alert")
MISTAKE = str(BRAMBLE / "mistakes" / "missing-alert.alert")
LOG = str(BRAMBLE / "logs" / "first-flight.csv")
MAP = str(BRAMBLE / "logs" / "recorder.toml")
SCENARIO = str(BRAMBLE / "warm-up.scenario")
PROFILE = "continental-iof-240-b"


def said(*words: str) -> str:
    result = CliRunner().invoke(app, list(words))
    assert result.exit_code in {0, 1}, result.output
    return result.stdout


@pytest.fixture(scope="module")
def library(tmp_path_factory: pytest.TempPathFactory) -> str:
    folder = tmp_path_factory.mktemp("shop") / "library"
    alertlang.add_to_library(VETTED, folder)
    return str(folder)


@pytest.fixture(scope="module")
def everything(library: str, tmp_path_factory: pytest.TempPathFactory) -> dict[str, Any]:
    """One result of each kind."""
    rules, mistake = alertlang.load(VETTED, shown=VETTED), alertlang.load(MISTAKE, shown=MISTAKE)
    work = tmp_path_factory.mktemp("work")
    record = work / "sheet.csv"
    record.write_bytes(alertlang.sheet(rules).data)
    card = alertlang.cards(rules)
    gauge = alertlang.show_gauges(rules, "rpm")[0]
    checked = alertlang.check(MISTAKE, shown=MISTAKE)
    return {
        "rules": rules,
        "model": rules.model,
        "check": checked,
        "finding": checked.findings[0],
        "prove": alertlang.prove(rules),
        "evidence": rules.evidence(),
        "compare": alertlang.compare(rules, mistake),
        "scenarios": alertlang.run_scenario(SCENARIO, shown=SCENARIO),
        "scenario that differs": alertlang.run_scenario(SCENARIO, rules=mistake),
        "fix": alertlang.fix(MISTAKE),
        "witness": alertlang.witness_scenarios(mistake, checked)[0],
        "format": alertlang.format_rules(VETTED),
        "draft": alertlang.draft([PROFILE]),
        "profile": alertlang.profile_sheet(alertlang.load_profile(PROFILE)),
        "replay": alertlang.replay_log(rules, LOG, column_map=MAP),
        "against": alertlang.replay_against(rules, mistake, LOG, column_map=MAP),
        "why": alertlang.why_recorded(rules, LOG, at="1200s", column_map=MAP),
        "why by hand": alertlang.why_given(rules, ["rpm=2500", "oil_temp=40F"], after=Fraction(20), about="rpm"),
        "column map": alertlang.load_column_map(MAP),
        "page": alertlang.replay_page(rules, LOG, column_map=MAP),
        "tune": alertlang.tune(rules, "volts_red", [LOG], column_map=MAP, ranges={"after": [Fraction(0), Fraction(4)]}),
        "fleet": alertlang.replay_fleet(rules, [LOG], work / "fleet", column_map=MAP),
        "gauge": gauge,
        "axis": gauge.axis,
        "map": alertlang.show_map(rules, "rpm", "oil_temp"),
        "display": alertlang.load_display("small-box"),
        "fit": alertlang.fit_report(rules, alertlang.load_display("small-box")),
        "sheet": alertlang.sheet(rules),
        "readback": alertlang.read_back(rules, record),
        "card": card,
        "card result": alertlang.card_results(card, _written(work / "card.csv", alertlang.card_file(card).data))[0],
        "pilot card": alertlang.pilot_card(rules),
        "report": alertlang.review_record(rules),
        "list": alertlang.list_library(library),
        "entry": alertlang.library_entry(library, "bramble"),
        "verify": alertlang.verify_library(library, recheck=True),
        "affected": alertlang.affected_entries(library, PROFILE),
    }


def _written(path: Path, data: bytes) -> Path:
    path.write_bytes(data)
    return path


@pytest.mark.alike
@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("check", ["check", MISTAKE]),
        ("prove", ["prove", VETTED]),
        ("compare", ["compare", VETTED, MISTAKE]),
        ("scenarios", ["scenarios", SCENARIO]),
        ("profile", ["profiles", "show", PROFILE]),
        ("replay", ["replay", VETTED, LOG, "--map", MAP]),
        ("against", ["replay", VETTED, LOG, "--map", MAP, "--against", MISTAKE]),
        ("why", ["why", VETTED, LOG, "--map", MAP, "--at", "20 min"]),
        ("why by hand", ["why", VETTED, "rpm=2500", "oil_temp=40F", "rpm", "--after", "20s"]),
        ("tune", ["tune", "volts_red", VETTED, LOG, "--map", MAP, "--after", "0:4:4"]),
        ("fit", ["fit", VETTED, "small-box"]),
        ("list", ["library", "list", "--library", "LIBRARY"]),
        ("entry", ["library", "show", "bramble", "--library", "LIBRARY"]),
        ("verify", ["library", "verify", "--recheck", "--library", "LIBRARY"]),
        ("affected", ["library", "affected", PROFILE, "--library", "LIBRARY"]),
    ],
)
def test_results_say_what_the_command_says(
    everything: dict[str, Any], library: str, name: str, words: list[str]
) -> None:
    printed = said(*[library if word == "LIBRARY" else word for word in words], "--output", "json")
    assert everything[name].to_json() + "\n" == printed
    assert everything[name].to_dict() == json.loads(printed)


def test_readback_and_fleet_too(everything: dict[str, Any], tmp_path: Path) -> None:
    """What they name is where it was read and written."""
    record = _written(tmp_path / "sheet.csv", everything["sheet"].data)
    found = alertlang.read_back(everything["rules"], record)
    assert found.to_json() + "\n" == said("readback", str(record), VETTED, "--output", "json")
    out = str(tmp_path / "out")
    printed = said("fleet", VETTED, LOG, "-o", out, "--map", MAP, "--output", "json", "--jobs", "1")
    again = alertlang.replay_fleet(everything["rules"], [LOG], out, column_map=MAP, again=True)
    assert again.to_json() + "\n" == printed


def test_reprs_fit_on_a_screen(everything: dict[str, Any]) -> None:
    long = {name: len(repr(one)) for name, one in everything.items() if len(repr(one)) > 800}
    assert not long
    assert "bramble" in repr(everything["rules"])


def test_results_can_be_hashed(everything: dict[str, Any]) -> None:
    for one in everything.values():
        assert hash(one) == hash(one)
    again = alertlang.load(VETTED, shown=VETTED)
    # Texts are read anew, so that places in them are others; what the rules say is the same.
    assert {everything["rules"].model, again.model} <= {everything["rules"].model, again.model}
    assert len({everything["check"], everything["check"]}) == 1


def test_no_mapping_spoils_a_hash() -> None:
    """A mapping has no hash: it is left out of that of its dataclass."""
    seen = 0
    for module in [import_module(f"alertlang.results.{one.name}") for one in iter_modules(results.__path__)]:
        for kind in vars(module).values():
            if isinstance(kind, type) and is_dataclass(kind) and kind.__module__ == module.__name__:
                hints = typing.get_type_hints(kind)
                for one in fields(kind):
                    inner = [hints[one.name], *typing.get_args(hints[one.name])]
                    if any(typing.get_origin(part) is Mapping for part in inner):
                        seen += 1
                        assert one.hash is False, f"{kind.__name__}.{one.name}"
    assert seen > 4
