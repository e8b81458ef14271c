"""Files of every kind, changed at random, given to every command that reads them: a result or a message, and no more.

    python -m tests.hostile 100000 --seed 7

Most changes are made word by word (another word of the same kind, a number moved, a unit or a name taken from
elsewhere, statements doubled, dropped, mixed), so that most get past the parser; some are made byte by byte. Most begin
from files of a few lines, so that many can be tried in an hour, and some from large ones. What ends in a traceback,
takes longer than LONGEST seconds or more than MOST_MEMORY is told, its file saved in `.fuzz/`. Ends with 1 if there was
any.
"""

from __future__ import annotations

import argparse
import contextlib
import gc
import io
import json
import os
import random
import re
import resource
import secrets
import shutil
import signal
import sys
import tempfile
import time
import traceback
from collections import Counter
from collections.abc import Callable, Iterator
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from functools import cache, partial
from itertools import chain
from multiprocessing import get_context
from os import cpu_count
from pathlib import Path

import typer.testing
from typer.testing import CliRunner

from alertlang.cli.app import app
from alertlang.findings.codes import Severity
from alertlang.model.load import load_any
from alertlang.text.resources import examples_dir, grammar_dir, profiles_dir
from tests.checks.test_pages import EVERY
from tests.checks.test_pages import block as file_of_page
from tests.helpers.writing_commands import BRAMBLE, LOG, prepare
from tests.test_language_reference import BLOCKS, PRELUDES

FEW = 700
"""Characters of a small file."""
LARGE = 0.02
"""How often one is begun with that is not small."""
# As in `conftest.py`, and for the same reason.
typer.testing._get_command = cache(typer.main.get_command)  # type: ignore[attr-defined]

LONGEST = 60
MOST_MEMORY = 2 << 30
CORPUS = Path(__file__).parent / "corpus"


@dataclass(frozen=True)
class Hostile:
    """One changed file and the command it was given to; `fault`: what went wrong, none if nothing did. `read`: it got
    past reading."""

    number: int
    kind: str
    words: tuple[str, ...]
    data: bytes
    fault: str
    read: bool


# ---- changes


@cache
def texts(kind: str) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Files to begin with: small ones, which between them hold every kind of statement, and large ones."""
    small: list[str] = []
    found: list[Path] = []
    if kind in {"rules", "profile", "display"}:
        small = [text for text in shown() if f'{kind} "' in text]
    if kind == "rules":
        found = [*examples_dir().rglob("*.alert"), *CORPUS.rglob("*.alert")]
    elif kind == "profile":
        found = sorted(profiles_dir().rglob("*.profile"))
    elif kind == "display":
        found = sorted(profiles_dir().rglob("*.display"))
    elif kind == "scenario":
        small = [SCENARIO]
        found = [*examples_dir().rglob("*.scenario"), *CORPUS.rglob("*.scenario")]
    elif kind == "map":
        found = sorted(examples_dir().rglob("*.toml"))
    read = [path.read_bytes() for path in sorted(found)]
    usable = [one.decode("utf-8") for one in read if len(one) < 12_000 and b"\0" not in one and _is_text(one)]
    every = [*small, *usable]
    small = [text for text in every if len(text) < FEW] if kind in {"rules", "profile", "display"} else small or every
    return tuple(small), tuple(text for text in every if text not in small) or tuple(small)


def _is_text(data: bytes) -> bool:
    with contextlib.suppress(UnicodeDecodeError):
        data.decode("utf-8")
        return True
    return False


def begun(kind: str, chance: random.Random) -> str:
    """A file to begin with: mostly a small one, for of those many more can be tried in the same time."""
    small, large = texts(kind)
    text = chance.choice(large if chance.random() < LARGE else small)
    if kind != "map" and chance.random() < 0.8:
        # What cannot be read, for it shows a mistake or uses a file that is not here, is begun with less often.
        while not readable(text):
            text = chance.choice(small)
    if kind == "rules" and chance.random() < 0.15:
        # Statements of every kind, few of which fit; one that does not spoils only what needs it.
        text += "".join(chance.choice(statements()) for _ in range(chance.choice((1, 1, 2, 4))))
    return text


def shown() -> Iterator[str]:
    """The files that the reference of the language and the pages of the checks show."""
    for block in BLOCKS:
        yield PRELUDES[block.argument] + block.code if block.kind == "with" else block.code
    for page in EVERY.values():
        for heading in ("Example", "Corrected"):
            yield file_of_page(page, heading)


@cache
def readable(text: str) -> bool:
    """Whether a text is read as it is; of scenarios, which need their rules, it is taken for granted."""
    if "scenario " in text:
        return True
    found = load_any(Path("x.alert"), text=text.encode("utf-8"))
    return not any(one.severity is Severity.ERROR for one in found.findings)


@cache
def statements() -> tuple[str, ...]:
    """Statements that use every alternative of the grammar, one by one."""
    lines = (CORPUS / "statements.txt").read_text(encoding="utf-8").splitlines(keepends=True)
    found: list[str] = []
    for line in lines:
        if line.startswith((" ", "\t")) and found:
            found[-1] += line
        elif line.strip() and not line.startswith("#"):
            found.append(line)
    return tuple(found)


@cache
def vocabulary() -> dict[str, tuple[str, ...]]:
    """Words by their kind, of all that is shipped and of the grammar."""
    words: dict[str, set[str]] = {"number": set(), "name": set(), "text": set(), "other": set()}
    for kind in ("rules", "profile", "display", "scenario"):
        for text in chain(*texts(kind), statements()):
            for word in TOKEN.findall(text):
                words[kind_of(word)].add(word)
    words["name"] |= set(re.findall(r"[a-z]+", (grammar_dir() / "alertlang.lark").read_text(encoding="utf-8")))
    words["number"] |= {"0", "-0", "1e9", "0.000000000000000000001", "99999999999999999999", "-1", "1/3", "07", "1_000"}
    words["text"] |= {'""', '"' + "x" * 300 + '"', '"=1+1"', '"\\x1b[2J"', '"a\\nb"', '"{n}"', '"ü€"'}
    return {kind: tuple(sorted(some)) for kind, some in words.items()}


TOKEN = re.compile(r'"[^"\n]*"|-?\d+(?:\.\d+)?|[A-Za-z_][\w-]*|\s+|.', re.DOTALL)


def kind_of(word: str) -> str:
    if word.startswith('"'):
        return "text"
    if re.fullmatch(r"-?\d.*", word):
        return "number"
    return "name" if re.fullmatch(r"[A-Za-z_][\w-]*", word) else "other"


ALIKE = (
    ("above", "below"),
    ("green", "yellow", "red", "white", "unmarked"),
    ("warning", "caution", "advisory"),
    ("and", "or"),
    ("any", "every"),
    ("most", "least"),
    ("limit", "precaution", "normal", "avoid"),
    ("when", "unless"),
    ("min", "s", "h"),
    ("F", "C"),
    ("psi", "bar"),
)


def changed_softly(text: str, chance: random.Random) -> str:
    """Numbers a little off, words of the same part, quoted of the same file: most of these are still rules."""
    words = TOKEN.findall(text)
    swaps = {word: group for group in ALIKE for word in group}
    places = [
        i
        for i, word in enumerate(words)
        if (kind_of(word) == "number" and words[max(0, i - 2)] != "version") or word in swaps or kind_of(word) == "text"
    ]
    quoted = sorted({word for word in words if kind_of(word) == "text"})
    for _ in range(chance.choice((1, 1, 2, 3, 6))):
        if not places:
            break
        at = chance.choice(places)
        if words[at] in swaps:
            words[at] = chance.choice(swaps[words[at]])
        elif kind_of(words[at]) == "text":
            words[at] = chance.choice(quoted)
        else:
            number = float(words[at])
            near = number + chance.choice((-1, 1)) * chance.choice((1, 5, 10, number * 0.1, number * 0.5))
            words[at] = f"{near:.6g}" if "e" not in f"{near:.6g}" else words[at]
    made = "".join(words)
    if chance.random() < 0.3:
        lines = made.splitlines()
        # A statement of one line less, or the one again under no label.
        at = chance.randrange(1, len(lines)) if len(lines) > 2 else 0
        if at and not lines[at].startswith((" ", "\t")):
            lines[at] = "" if chance.random() < 0.7 else lines[at] + "\n" + lines[at].partition(": ")[2]
        made = "\n".join(lines) + "\n"
    return made


def changed_words(text: str, chance: random.Random) -> str:
    """Words for words of their kind, mostly."""
    words = TOKEN.findall(text)
    places = [i for i, word in enumerate(words) if not word.isspace()]
    for _ in range(chance.choice((1, 1, 1, 2, 3, 8))):
        if not places:
            break
        at = chance.choice(places)
        kind = kind_of(words[at])
        what = chance.random()
        if kind == "number" and what < 0.5:
            words[at] = chance.choice(
                (f"{float(words[at]) * chance.choice((-1, 0, 0.1, 10, 1000)):g}", words[at] + "0")
            )
        elif what < 0.75:
            local = [word for word in words if kind_of(word) == kind and not word.isspace()]
            words[at] = chance.choice((local if what < 0.4 else vocabulary()[kind]) or [words[at]])
        elif what < 0.85:
            words[at] = ""
        elif what < 0.95:
            words[at] = f"{words[at]} {words[at]}"
        else:
            words[at] = chance.choice(vocabulary()[chance.choice(tuple(vocabulary()))])
    return "".join(words)


def changed_lines(text: str, other: str, chance: random.Random) -> str:
    """Lines doubled, dropped, put elsewhere, taken from another file."""
    lines = text.splitlines()
    for _ in range(chance.randint(1, 3)):
        at = chance.randrange(len(lines)) if lines else 0
        match chance.randrange(5):
            case 0 if lines:
                del lines[at]
            case 1 if lines:
                lines.insert(at, chance.choice(lines))
            case 2 if lines:
                lines.insert(at, lines.pop(chance.randrange(len(lines))))
            case 3:
                lines.insert(at, chance.choice(other.splitlines() or [""]))
            case _:
                lines = lines[: max(1, at)]
    return "\n".join(lines) + "\n"


def changed_bytes(data: bytes, chance: random.Random) -> bytes:
    made = bytearray(data)
    for _ in range(chance.randint(1, 6)):
        at = chance.randrange(len(made) + 1)
        match chance.randrange(4):
            case 0:
                made[at : at + chance.randint(1, 40)] = b""
            case 1:
                made[at:at] = bytes(chance.randrange(256) for _ in range(chance.randint(1, 4)))
            case 2:
                made[at:at] = made[: chance.randint(0, 60)]
            case _:
                made[at : at + 1] = chance.choice((b"\0", b"\xff", b"\r", b"\xef\xbb\xbf", b'"', b"\\", b"{", b"\x1b"))
    return bytes(made)


def changed_json(value: object, chance: random.Random) -> object:
    """Somewhere in it another value, a key more or less."""
    odd: tuple[object, ...] = (
        None,
        True,
        -1,
        1.5,
        10**30,
        "",
        "x" * 500,
        [],
        {},
        [[]],
        "../../x",
        "\x1b[2J",
        "2025-02-30",
    )
    if chance.random() < 0.1 or not isinstance(value, dict | list) or not value:
        return chance.choice(odd)
    if isinstance(value, list):
        at = chance.randrange(len(value))
        if chance.random() < 0.2:
            return value[:at] + value[at + 1 :]
        return [changed_json(one, chance) if i == at else one for i, one in enumerate(value)]
    key = chance.choice(sorted(value))
    if chance.random() < 0.2:
        return {name: one for name, one in value.items() if name != key}
    return {name: changed_json(one, chance) if name == key else one for name, one in value.items()}


def changed_table(text: str, chance: random.Random) -> str:
    """Cells, rows and columns of a CSV."""
    rows = [line.split(",") for line in text.splitlines()]
    odd = (
        "",
        "-",
        "NaN",
        "1e999",
        "0x10",
        "1,5",
        '"',
        '""4',
        "12:61:00",
        "2025-02-30 10:00",
        "TRUE",
        "=1+1",
        "ü",
        " 5 ",
        "--",
    )
    for _ in range(chance.choice((1, 2, 5, 30))):
        row = chance.choice(rows)
        at = chance.randrange(len(row)) if row else 0
        match chance.randrange(7):
            case 0 | 1 | 2 if row:
                row[at] = chance.choice(odd)
            case 3 if row:
                row[at] = chance.choice(chance.choice(rows) or [""])
            case 4:
                row.insert(at, chance.choice(odd))
            case 5 if row:
                del row[at]
            case _:
                rows.insert(chance.randrange(len(rows) + 1), list(row))
    return chance.choice(("\n", "\n", "\r\n")).join(",".join(row) for row in rows) + "\n"


def changed(text: str, kind: str, chance: random.Random) -> bytes:
    """A text with something in it changed."""
    if kind not in {"json", "table"} and chance.random() < 0.6:
        return changed_softly(text, chance).encode("utf-8")
    if chance.random() < 0.2:
        return changed_bytes(text.encode("utf-8"), chance)
    if kind == "json":
        with contextlib.suppress(ValueError):
            return json.dumps(changed_json(json.loads(text), chance), indent=2, sort_keys=True).encode("utf-8")
    if kind == "table":
        return changed_table(text, chance).encode("utf-8", "replace")
    if chance.random() < 0.35:
        text = changed_lines(text, begun("rules" if kind in {"map", "config"} else kind, chance), chance)
    return changed_words(text, chance).encode("utf-8", "replace")


# ---- what is given to whom


SCENARIO = """\
scenario "faster" version 1
use rules "run"
about "Too fast, too hot, a dead sensor"

at 0 s: rpm 900 rpm, cht[1] 100 C, cht[2] 100, volts 14 V, flaps up -> rpm green
at 10 s: rpm to 2800 by 15 s -> rpm red by 15 s, warning "OVERSPEED" by 18 s
at 20 s: cht[2] 240 C -> cht[2] red, warning "HEAD"
at 1 min: volts failed, cht[2] 200 C -> volts white, no caution "BUS"
at 70 s: volts 11.5 V, flaps landing -> caution "BUS" by 75 s until 80 s
"""
CONFIG = '[tool.alertlang]\nfail-on = "warning"\nwork-limit = 20000\npath = ["rules"]\noutput = "json"\n'
LIMIT = ("--work-limit", "20000")


def _cases(
    folder: Path, chance: random.Random
) -> dict[str, tuple[str, str, Callable[[], str], tuple[tuple[str, ...], ...]]]:
    """By kind: how it is changed, the file it is put in, what it is made from, and the commands that read it."""

    def text(kind: str) -> Callable[[], str]:
        return lambda: begun(kind, chance)

    def file(name: str) -> Callable[[], str]:
        return lambda: (folder / name).read_text(encoding="utf-8")

    rules = (
        ("check", "x.alert", *LIMIT),
        ("check", "x.alert", "--output", "json", *LIMIT),
        ("check", "x.alert", "--output", "github", *LIMIT),
        ("format", "x.alert"),
        ("check", "x.alert", "--for", "small-box", *LIMIT),
        ("compare", "x.alert", "small.alert", *LIMIT),
        ("sheet", "x.alert", "-o", "x.csv", "--force"),
        ("why", "x.alert", "log.csv", "--at", "1", "--all"),
    )
    library = (
        ("library", "verify", "--library", "shop"),
        ("library", "list", "--library", "shop"),
        ("library", "show", "vetted", "--library", "shop"),
        ("library", "derive", "vetted", "d.alert", "--library", "shop"),
        ("library", "key", "list", "--library", "shop"),
        ("library", "add", "src/vetted.alert", "--library", "shop", "--replace"),
        (
            *("library", "approve", "vetted", "--library", "shop", "--key", "key.pem", "--reviewer", "inspector"),
            *("--date", "2025-05-04", "--version", "1"),
        ),
    )
    shop = "shop/entries/vetted"
    approval = next((folder / shop / "approvals").iterdir()).name
    reviewer = next((folder / "shop/reviewers").iterdir()).name
    return {
        "rules": ("rules", "x.alert", text("rules"), rules),
        "profile": ("profile", "x.profile", text("profile"), (("check", "x.profile", *LIMIT), ("draft", "x.profile"))),
        "display": ("display", "x.display", text("display"), (("check", "small.alert", "--for", "x.display", *LIMIT),)),
        "run": (
            "rules",
            "run.alert",
            file("run.alert"),
            (
                ("replay", "run.alert", "log.csv", "--map", "run.toml"),
                ("columns", "log.csv", "--rules", "run.alert"),
                ("scenarios", "run.scenario"),
            ),
        ),
        "scenario": (
            "scenario",
            "x.scenario",
            text("scenario"),
            (("scenarios", "x.scenario", "--path", ".", "--path", str(BRAMBLE)),),
        ),
        "log": (
            "table",
            "x.csv",
            file("log.csv"),
            (
                ("replay", "run.alert", "x.csv", "--map", "run.toml"),
                ("why", "run.alert", "x.csv", "--map", "run.toml", "--at", "1"),
                ("columns", "x.csv", "--rules", "run.alert"),
            ),
        ),
        "map": ("map", "x.toml", file("run.toml"), (("replay", "run.alert", "log.csv", "--map", "x.toml"),)),
        "large map": (
            "map",
            "x.toml",
            text("map"),
            (("replay", str(BRAMBLE / "bramble.alert"), LOG, "--map", "x.toml"),),
        ),
        "sheet": ("table", "x.csv", file("sheet.csv"), (("readback", "x.csv", "small.alert", *LIMIT),)),
        "card": ("table", "x.csv", file("card.csv"), (("cards", "small.alert", "--results", "x.csv"),)),
        "baseline": ("json", "x.json", file("known.json"), (("check", "small.alert", "--baseline", "x.json", *LIMIT),)),
        "expectation": (
            "json",
            "x.json",
            file("list.json"),
            (("library", "verify", "--library", "shop", "--expect", "x.json"),),
        ),
        "config": (
            "config",
            "pyproject.toml",
            lambda: CONFIG,
            (("check", "small.alert"), ("sheet", "small.alert", "-o", "y.csv", "--force")),
        ),
        "entry": ("json", f"{shop}/entry.json", file(f"{shop}/entry.json"), library),
        "approval": ("json", f"{shop}/approvals/{approval}", file(f"{shop}/approvals/{approval}"), library),
        "marker": ("json", "shop/library.json", file("shop/library.json"), library),
        "reviewer": ("rules", f"shop/reviewers/{reviewer}", file(f"shop/reviewers/{reviewer}"), library),
        "vetted": ("rules", f"{shop}/files/vetted.alert", file(f"{shop}/files/vetted.alert"), library),
        "pinned": ("rules", f"{shop}/pinned/vetted.alert", file(f"{shop}/pinned/vetted.alert"), library),
    }


def made_ready(folder: Path) -> None:
    """Everything that a command reads, whole."""
    os.chdir(folder)
    prepare(folder)
    (folder / "run.scenario").write_text(SCENARIO, encoding="utf-8")
    run = CliRunner().invoke
    for words in (
        ["cards", "small.alert", "-o", "card.csv"],
        ["check", "faulty.alert", "--write-baseline", "known.json"],
        [
            *("library", "approve", "vetted", "--library", "shop", "--key", "key.pem", "--reviewer", "inspector"),
            *("--date", "2025-05-04", "--version", "1"),
        ],
    ):
        assert run(app, words).exit_code in {0, 1}, words
    (folder / "list.json").write_text(
        run(app, ["library", "list", "--library", "shop", "--output", "json"]).stdout, encoding="utf-8"
    )


class TooLongError(BaseException):
    """Past anything that catches errors."""


def _too_long(*_: object) -> None:
    raise TooLongError


class Folder:
    """A folder that a command may write into, put in order again file by file: to copy it anew would take longer than
    most commands."""

    def __init__(self, whole: Path, work: Path) -> None:
        shutil.copytree(whole, work)
        self.path = work
        self.known = {path: (path.read_bytes(), self.seen(path)) for path in self.files()}
        self.folders = {path for path in work.rglob("*") if path.is_dir()}

    def files(self) -> list[Path]:
        return [Path(root, name) for root, _, names in os.walk(self.path) for name in names]

    @staticmethod
    def seen(path: Path) -> tuple[int, ...]:
        found = path.lstat()
        return found.st_mtime_ns, found.st_size, found.st_ino, found.st_mode

    def restore(self) -> None:
        now = {path: self.seen(path) for path in self.files()}
        for path in now.keys() - self.known.keys():
            path.unlink()
        for root, names, _ in os.walk(self.path, topdown=False):
            for name in names:
                if Path(root, name) not in self.folders:
                    Path(root, name).rmdir()
        for path, (data, before) in self.known.items():
            if now.get(path) != before:
                path.parent.mkdir(parents=True, exist_ok=True)
                path.unlink(missing_ok=True)
                path.write_bytes(data)
                path.chmod(before[-1])
                self.known[path] = (data, self.seen(path))


def hostile(seed: str, whole: Path, numbers: range) -> list[Hostile]:
    """Some changed files, each tried in a folder that is whole but for it; faults, and one line for each other."""
    resource.setrlimit(resource.RLIMIT_AS, (MOST_MEMORY + (2 << 30), MOST_MEMORY + (2 << 30)))
    for timer in (signal.SIGPROF, signal.SIGALRM):
        signal.signal(timer, _too_long)
    with tempfile.TemporaryDirectory(dir=whole.parent) as scratch:
        folder = Folder(whole, Path(scratch) / "work")
        os.chdir(folder.path)
        # What is there by now stays: to look through it for garbage again and again takes long.
        gc.collect()
        gc.freeze()
        gc.set_threshold(20_000, 10, 10)
        try:
            found = []
            for number in numbers:
                found.append(_tried(seed, number, folder.path))
                folder.restore()
            return found
        finally:
            os.chdir(whole)


def _tried(seed: str, number: int, folder: Path) -> Hostile:
    chance = random.Random(f"{seed} {number}")
    cases = _cases(folder, chance)
    # Rules are most of what is written by hand, and have most to go wrong.
    kind = "rules" if chance.random() < 0.3 else chance.choice(sorted(cases.keys() - {"large map"}))
    if kind == "map" and chance.random() < LARGE:
        kind = "large map"
    how, file, source, commands = cases[kind]
    data = changed(source(), how, chance)
    words = chance.choice(commands)
    (folder / file).write_bytes(data)
    fault = ""
    most = _memory()
    # Of its own time; the clock on the wall, which other programs share, is for what waits for ever.
    signal.setitimer(signal.ITIMER_PROF, LONGEST)
    signal.alarm(20 * LONGEST)
    try:
        with contextlib.redirect_stderr(io.StringIO()):
            result = CliRunner().invoke(app, words)
        problem = result.exception
        if problem is not None and not isinstance(problem, SystemExit):
            fault = "".join(traceback.format_exception(problem)[-4:])
        elif "fault of the tool" in result.output:
            fault = result.output
        read = result.exit_code != 2
    except TooLongError:
        fault, read = f"it took longer than {LONGEST} s", True
    finally:
        signal.setitimer(signal.ITIMER_PROF, 0)
        signal.alarm(0)
    # The system tells the most that a process ever had.
    if _memory() > max(most, MOST_MEMORY):
        fault = fault or "it took more than 2 GiB"
    return Hostile(number, kind, words, data, fault, read)


def _memory() -> int:
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * 1024


def all_of(count: int, seed: str, jobs: int, start: int = 0) -> Iterator[Hostile]:
    """In the order of their numbers within each of some stretches."""
    size = max(50, min(500, -(-count // jobs)))
    stretches = [range(first, min(start + count, first + size)) for first in range(start, start + count, size)]
    # In memory where the system has such a place: the disk takes longer than the commands.
    with (
        tempfile.TemporaryDirectory(dir="/dev/shm" if os.path.isdir("/dev/shm") else None) as scratch,
        ProcessPoolExecutor(jobs, mp_context=get_context("spawn"), max_tasks_per_child=4) as pool,
    ):
        whole = Path(scratch) / "whole"
        whole.mkdir()
        pool.submit(made_ready, whole).result()
        for some in pool.map(partial(hostile, seed, whole), stretches):
            yield from some


def main() -> int:
    given = argparse.ArgumentParser()
    given.add_argument("count", type=int)
    given.add_argument("--seed", default="")
    given.add_argument("--start", type=int, default=0, help="the first number, to go on from where a run ended")
    given.add_argument("--jobs", type=int, default=cpu_count() or 1)
    said = given.parse_args()
    seed = said.seed or secrets.token_hex(4)
    tried: Counter[str] = Counter()
    read: Counter[str] = Counter()
    faults: list[Hostile] = []
    began = time.monotonic()
    for one in all_of(said.count, seed, said.jobs, said.start):
        tried[one.kind] += 1
        read[one.kind] += one.read
        if one.fault:
            faults.append(one)
            Path(".fuzz").mkdir(exist_ok=True)
            Path(".fuzz", f"hostile-{seed}-{one.number}-{one.kind}").write_bytes(one.data)
            print(f"{one.number} {one.kind}: {' '.join(one.words)}\n{one.fault}\n", flush=True)
    print(f"seed {seed}: {sum(tried.values())} files, {sum(read.values())} of them past reading, {len(faults)} faults")
    print(f"{sum(tried.values()) / (time.monotonic() - began):.1f} files a second")
    for kind, number in sorted(tried.items()):
        print(f"  {kind:12} {number:7} {read[kind]:7}")
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main())
