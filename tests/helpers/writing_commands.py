"""Every command that writes a file, as a person would give it, over small inputs in a folder of its own."""

from __future__ import annotations

import shutil
from dataclasses import dataclass
from pathlib import Path

from typer.testing import CliRunner

from alertlang.cli.app import app
from alertlang.text.resources import examples_dir

BRAMBLE = examples_dir() / "02-bramble"
LOG = str(BRAMBLE / "logs/first-flight.csv")
MAP = str(BRAMBLE / "logs/recorder.toml")
SMALL = """\
rules "small" version 1
quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm
rpm at most 2700 rpm is green
fast: rpm above 2700 rpm is red with warning "OVERSPEED"
claim: prove rpm above 2700 rpm is red
"""
# With a finding that has a witness and a proposal, laid out by hand.
FAULTY = SMALL.replace("rpm at most 2700", "rpm   at most 2600")

# A run with something of everything that a map can name.
RUN = """\
rules "run" version 1
quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm
quantity cht[2] "Cylinder head temperature" from 0 to 300 C, step 1 C
quantity volts "Bus" from 0 to 20 V, step 0.1 V, deadband 0.2 V
switch flaps "Flaps" up, landing
lamp "MASTER" shows warning, sequence A without lock-in, acknowledged by acknowledge
rpm at most 2700 rpm is green
fast: rpm above 2700 rpm is red with warning "OVERSPEED" after 2 s
cht at most 230 C is green
cht above 230 C is red with warning "HEAD" latched
volts failed is white
when flaps is landing and volts below 12 V for more than 3 s then caution "BUS"
"""
RUN_MAP = """\
time = {column = "Time", unit = "s"}
mark = {column = "Event"}

[columns]
rpm = {column = "Engine speed", unit = "rpm"}
"cht[1]" = {column = "CHT 1", unit = "F"}
"cht[2]" = {column = "CHT 2", unit = "F"}
volts = {column = "Bus", unit = "V"}

[switches]
flaps = {column = "Flaps", positions = {"0" = "up", "30" = "landing"}}

[inputs]
acknowledge = {column = "Ack"}
"""
RUN_LOG = "Time,Engine speed,CHT 1,CHT 2,Bus,Flaps,Event,Ack\n" + "".join(
    f"{i},{1000 + 370 * i % 2500},{350 + i},{360 + 4 * i},{10 + i % 7}.5,{30 * (i > 15)},{'x' * (i == 9)},{i % 2}\n"
    for i in range(30)
)


@dataclass(frozen=True)
class Writing:
    """`target` is what it writes. `again`: it can be given once more."""

    words: tuple[str, ...]
    target: str
    again: bool = True


READ = ("run.alert", "log.csv", "--map", "run.toml")
COMMANDS = {
    "show": Writing(("show", "small.alert", "rpm", "-o", "a.svg"), "a.svg"),
    "show-png": Writing(("show", "small.alert", "rpm", "-o", "a.png"), "a.png"),
    "report": Writing(("report", "small.alert", "-o", "a.html"), "a.html"),
    "sheet": Writing(("sheet", "small.alert", "-o", "a.csv"), "a.csv"),
    "cards": Writing(("cards", "small.alert", "-o", "a.html"), "a.html"),
    "pilot-card": Writing(("pilot-card", "small.alert", "-o", "a.pdf"), "a.pdf"),
    "draft": Writing(("draft", "electrical-14v", "-o", "a.alert"), "a.alert"),
    "columns": Writing(("columns", "log.csv", "--rules", "run.alert", "-o", "a.toml"), "a.toml"),
    "replay": Writing(("replay", *READ, "-o", "a.html"), "a.html"),
    "against": Writing(("replay", *READ, "--against", "run.alert", "-o", "a.html"), "a.html"),
    "from-log": Writing(
        ("scenarios", "from-log", *READ, "--mark", "1", "--around", "2s", "-o", "a.scenario"), "a.scenario"
    ),
    "evidence": Writing(("prove", "small.alert", "--evidence", "a.smt2"), "a.smt2"),
    "baseline": Writing(("check", "faulty.alert", "--write-baseline", "a.json"), "a.json"),
    "witnesses": Writing(("check", "faulty.alert", "--save-witnesses", "seen"), "seen"),
    "fix": Writing(("check", "faulty.alert", "--fix"), "faulty.alert"),
    "format": Writing(("format", "faulty.alert"), "faulty.alert"),
    "readback": Writing(("readback", "sheet.csv", "small.alert", "-o", "b.alert"), "b.alert"),
    "tune": Writing(("tune", "fast", *READ, "--after", "0:2:1", "-o", "a.svg"), "a.svg"),
    "fleet": Writing(("fleet", *READ, "-o", "results", "--jobs", "1"), "results"),
    "fleet-page": Writing(("fleet", *READ, "-o", "results", "--jobs", "1", "--page", "a.html"), "a.html"),
    "library-add": Writing(("library", "add", "small.alert"), "library", again=False),
    "library-replace": Writing(("library", "add", "new/vetted.alert", "--library", "shop", "--replace"), "shop"),
    "library-derive": Writing(
        ("library", "derive", "vetted", "new.alert", "--library", "shop"), "new.alert", again=False
    ),
    "library-approve": Writing(
        (
            *("library", "approve", "vetted", "--library", "shop", "--key", "key.pem", "--reviewer", "inspector"),
            *("--date", "2025-05-04", "--version", "1"),
        ),
        "shop",
    ),
    "library-key": Writing(("library", "key", "new", "new.pem"), "new.pem", again=False),
    "library-trust": Writing(
        ("library", "key", "trust", "other.pem.pub", "--reviewer", "other", "--library", "shop"), "shop", again=False
    ),
    "library-retire": Writing(
        ("library", "key", "retire", "inspector", "--reason", "left", "--date", "2025-06-01", "--library", "shop"),
        "shop",
        again=False,
    ),
}


def prepare(folder: Path) -> None:
    """What the commands read: rules, a sheet, a library with an entry and a reviewer."""
    (folder / "small.alert").write_text(SMALL, encoding="utf-8")
    vetted = SMALL.replace('"small"', '"vetted"')
    for name, text in (("src", vetted), ("new", vetted.replace("version 1", "version 2"))):
        (folder / name).mkdir()
        (folder / name / "vetted.alert").write_text(text, encoding="utf-8")
    for name, text in {"faulty.alert": FAULTY, "run.alert": RUN, "run.toml": RUN_MAP, "log.csv": RUN_LOG}.items():
        (folder / name).write_text(text, encoding="utf-8")
    for words in (
        ["sheet", "small.alert", "-o", "sheet.csv"],
        ["library", "add", "src/vetted.alert", "--library", "shop"],
        ["library", "key", "new", "key.pem"],
        ["library", "key", "new", "other.pem"],
        ["library", "key", "trust", "key.pem.pub", "--reviewer", "inspector", "--library", "shop"],
    ):
        result = CliRunner().invoke(app, words)
        assert result.exit_code == 0, result.output


def content(folder: Path) -> dict[str, bytes]:
    """Every file of a folder that is no trace of a run that was cut off."""
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in sorted(folder.rglob("*"))
        if path.is_file() and not path.is_symlink() and path.name != ".lock"
    }


def fresh(source: Path, target: Path) -> None:
    """A copy of a prepared folder in the place of what is there."""
    shutil.rmtree(target, ignore_errors=True)
    shutil.copytree(source, target)
