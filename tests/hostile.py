"""Files of every kind, changed at random, given to every command that reads them: a result or a message, and no more.

    python -m tests.hostile 100000 --seed 7

Most changes are made word by word (another word of the same kind, a number moved, a unit or a name taken from
elsewhere, statements doubled, dropped, mixed), so that most get past the parser; some are made byte by byte. What ends
in a traceback, takes longer than LONGEST seconds or more than MOST_MEMORY is told, its file saved in `.fuzz/`. Ends
with 1 if there was any.
"""

from __future__ import annotations

import argparse
import contextlib
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
import traceback
from collections import Counter
from collections.abc import Callable, Iterator
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from functools import cache, partial
from multiprocessing import get_context
from os import cpu_count
from pathlib import Path

from typer.testing import CliRunner

from alertlang.cli.app import app
from alertlang.text.resources import examples_dir, grammar_dir, profiles_dir
from tests.helpers.writing_commands import LOG, RULES, SMALL, prepare

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
def texts(kind: str) -> tuple[str, ...]:
    """Files to begin with."""
    found: list[Path] = []
    if kind == "rules":
        found = [*examples_dir().rglob("*.alert"), *CORPUS.rglob("*.alert")]
    elif kind == "profile":
        found = sorted(profiles_dir().rglob("*.profile"))
    elif kind == "display":
        found = sorted(profiles_dir().rglob("*.display"))
    elif kind == "scenario":
        found = [*examples_dir().rglob("*.scenario"), *CORPUS.rglob("*.scenario")]
    elif kind == "map":
        found = sorted(examples_dir().rglob("*.toml"))
    read = [path.read_bytes() for path in sorted(found)]
    usable = [one.decode("utf-8") for one in read if len(one) < 12_000 and b"\0" not in one and _is_text(one)]
    return tuple(usable) or (SMALL,)


def _is_text(data: bytes) -> bool:
    with contextlib.suppress(UnicodeDecodeError):
        data.decode("utf-8")
        return True
    return False


@cache
def vocabulary() -> dict[str, tuple[str, ...]]:
    """Words by their kind, of all that is shipped and of the grammar."""
    words: dict[str, set[str]] = {"number": set(), "name": set(), "text": set(), "other": set()}
    for kind in ("rules", "profile", "display", "scenario"):
        for text in texts(kind):
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
    """Numbers a little off and words of the same part: most of these are still rules."""
    words = TOKEN.findall(text)
    swaps = {word: group for group in ALIKE for word in group}
    places = [i for i, word in enumerate(words) if kind_of(word) == "number" or word in swaps]
    for _ in range(chance.choice((1, 1, 2, 3, 6))):
        if not places:
            break
        at = chance.choice(places)
        if words[at] in swaps:
            words[at] = chance.choice(swaps[words[at]])
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
            words[at] = chance.choice(local if what < 0.4 else vocabulary()[kind] or local)
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
    if chance.random() < 0.25 or not isinstance(value, dict | list) or not value:
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
        text = changed_lines(text, chance.choice(texts("rules" if kind in {"map", "config"} else kind)), chance)
    return changed_words(text, chance).encode("utf-8", "replace")


# ---- what is given to whom


CONFIG = '[tool.alertlang]\nfail-on = "warning"\nwork-limit = 200000\npath = ["rules"]\noutput = "json"\n'
LIMIT = ("--work-limit", "200000")


def _cases(folder: Path) -> dict[str, tuple[str, str, Callable[[], str], tuple[tuple[str, ...], ...]]]:
    """By kind: how it is changed, the file it is put in, what it is made from, and the commands that read it."""

    def text(kind: str) -> Callable[[], str]:
        return lambda: random.choice(texts(kind))

    def file(name: str) -> Callable[[], str]:
        return lambda: (folder / name).read_text(encoding="utf-8")

    rules = (
        ("check", "x.alert", *LIMIT),
        ("check", "x.alert", *LIMIT),
        ("check", "x.alert", "--output", "json", *LIMIT),
        ("check", "x.alert", "--output", "github", *LIMIT),
        ("format", "x.alert"),
        ("check", "x.alert", "--for", "small", *LIMIT),
        ("compare", "x.alert", "small.alert", *LIMIT),
        ("sheet", "x.alert", "-o", "x.csv", "--force"),
        ("replay", "x.alert", "log.csv"),
        ("why", "x.alert", "log.csv", "--at", "1", "--all"),
        ("scenarios", "x.scenario"),
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
        "scenario": ("scenario", "x.scenario", text("scenario"), (("scenarios", "x.scenario", "--path", "."),)),
        "log": (
            "table",
            "x.csv",
            file("log.csv"),
            (
                ("replay", "small.alert", "x.csv"),
                ("why", "small.alert", "x.csv", "--at", "1"),
                ("columns", "x.csv", "--rules", "small.alert"),
            ),
        ),
        "map": ("map", "x.toml", text("map"), (("replay", RULES, LOG, "--map", "x.toml"),)),
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
    prepare(folder)
    rows = "".join(f"{i},{1000 + 37 * i % 2500}\n" for i in range(120))
    (folder / "log.csv").write_text("time,rpm\n" + rows, encoding="utf-8")
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


def hostile(seed: str, numbers: range) -> list[Hostile]:
    """Some changed files, each tried in a folder that is whole but for it; faults, and one line for each other."""
    found = []
    resource.setrlimit(resource.RLIMIT_AS, (MOST_MEMORY + (2 << 30), MOST_MEMORY + (2 << 30)))
    signal.signal(signal.SIGALRM, _too_long)
    before = Path.cwd()
    with tempfile.TemporaryDirectory() as scratch:
        whole, folder = Path(scratch) / "whole", Path(scratch) / "work"
        whole.mkdir()
        os.chdir(whole)
        try:
            made_ready(whole)
            for number in numbers:
                shutil.rmtree(folder, ignore_errors=True)
                shutil.copytree(whole, folder)
                os.chdir(folder)
                found.append(_tried(seed, number, folder))
        finally:
            os.chdir(before)
    return found


def _tried(seed: str, number: int, folder: Path) -> Hostile:
    chance = random.Random(f"{seed} {number}")
    random.seed(f"{seed} {number}")
    cases = _cases(folder)
    # Rules are most of what is written by hand, and have most to go wrong.
    kind = "rules" if chance.random() < 0.4 else chance.choice(sorted(cases))
    how, file, source, commands = cases[kind]
    data = changed(source(), how, chance)
    words = chance.choice(commands)
    (folder / file).write_bytes(data)
    fault = ""
    signal.alarm(LONGEST)
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
        signal.alarm(0)
    if resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * 1024 > MOST_MEMORY:
        fault = fault or "it took more than 2 GiB"
    return Hostile(number, kind, words, data, fault, read)


def all_of(count: int, seed: str, jobs: int) -> Iterator[Hostile]:
    """In the order of their numbers within each of some stretches."""
    size = 100
    stretches = [range(start, min(count, start + size)) for start in range(0, count, size)]
    with ProcessPoolExecutor(jobs, mp_context=get_context("spawn"), max_tasks_per_child=5) as pool:
        for some in pool.map(partial(hostile, seed), stretches):
            yield from some


def main() -> int:
    given = argparse.ArgumentParser()
    given.add_argument("count", type=int)
    given.add_argument("--seed", default="")
    given.add_argument("--jobs", type=int, default=cpu_count() or 1)
    said = given.parse_args()
    seed = said.seed or secrets.token_hex(4)
    tried: Counter[str] = Counter()
    read: Counter[str] = Counter()
    faults: list[Hostile] = []
    for one in all_of(said.count, seed, said.jobs):
        tried[one.kind] += 1
        read[one.kind] += one.read
        if one.fault:
            faults.append(one)
            Path(".fuzz").mkdir(exist_ok=True)
            Path(".fuzz", f"hostile-{seed}-{one.number}-{one.kind}").write_bytes(one.data)
            print(f"{one.number} {one.kind}: {' '.join(one.words)}\n{one.fault}\n", flush=True)
    print(f"seed {seed}: {sum(tried.values())} files, {sum(read.values())} of them past reading, {len(faults)} faults")
    for kind, number in sorted(tried.items()):
        print(f"  {kind:12} {number:7} {read[kind]:7}")
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main())
