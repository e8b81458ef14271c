"""Whether the tests notice: small faults are put into the package, one at a time, and the tests run against each.

    python -m tests.mutants --map                               # which test runs which line: once, and after changes
    python -m tests.mutants -n 40 --seed 7 logic checks/gap.py  # packages or files; none: all
    python -m tests.mutants --wide "tests/cli" comparison       # what survives meets these tests as well

A fault first meets the tests that run its line, of each property few examples, those of its own package before the
others and cheap ones first, in copies of a process that has collected them all (`tests.mutating`): that takes seconds.
What is left, and what is not inside of a function, is put into a copy of the checkout and meets all tests of the files
that those stand in, with as many examples as `make test` draws: what is remembered from test to test hides who else
needs the line. So a survivor has met every test that could notice, but for those that start processes of their own
(`--wide`). Whatever noticed is run without any fault at the end, so that what was red was red for the fault. Of what
changed since the map was made every test that ran any of it counts; without a map the tests of its package do.

A survivor is a question: is a test missing, or does the fault change nothing? The same seed draws the same faults from
the same text. Exit code 1: some survived.
"""

from __future__ import annotations

import argparse
import ast
import compileall
import json
import os
import random
import re
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from copy import copy
from dataclasses import dataclass
from itertools import accumulate, repeat
from pathlib import Path
from queue import SimpleQueue

from coverage import CoverageData

from tests.reached import digest

CHECKOUT = Path(__file__).resolve().parent.parent
IGNORED = shutil.ignore_patterns(".git", ".venv", "venv", ".fuzz", ".benchmarks", ".*_cache", "__pycache__", "build")
SLOWER = 6
"""A fault that makes the tests so many times slower than they are without one has been noticed."""
LONGEST = 3600
PYTEST = ("-q", "-p", "no:cacheprovider", "-p", "no:xdist", "--benchmark-disable", "--no-header", "--tb=no")
MAP = Path(os.environ.get("XDG_CACHE_HOME", Path.home() / ".cache")) / "alertlang" / "reached"
UNMEASURED = (
    "tests/benchmarks",
    "tests/cli/test_faults",
    "tests/test_fuzz",
    "tests/test_hostile",
    "tests/test_packaging",
)
"""Files of tests that are not in the map: what they try runs in processes of its own."""
FEW = 40
"""Of so many examples a property draws one while the map is made and when a fault is met first."""
SHARE = 6
"""As `make test` draws them."""

FUNCTION = ast.FunctionDef | ast.AsyncFunctionDef
COMPARED: dict[type[ast.cmpop], tuple[type[ast.cmpop], ...]] = {
    ast.Lt: (ast.LtE, ast.GtE),
    ast.LtE: (ast.Lt, ast.Gt),
    ast.Gt: (ast.GtE, ast.LtE),
    ast.GtE: (ast.Gt, ast.Lt),
    ast.Eq: (ast.NotEq,),
    ast.NotEq: (ast.Eq,),
    ast.Is: (ast.IsNot,),
    ast.IsNot: (ast.Is,),
    ast.In: (ast.NotIn,),
    ast.NotIn: (ast.In,),
}
REPLACED: dict[type[ast.AST], type[ast.AST]] = {
    ast.And: ast.Or,
    ast.Or: ast.And,
    ast.Add: ast.Sub,
    ast.Sub: ast.Add,
    ast.BitAnd: ast.BitOr,
    ast.BitOr: ast.BitAnd,
}
CALLED = {"any": "all", "all": "any", "min": "max", "max": "min", "union": "intersection", "intersection": "union"}


@dataclass(frozen=True)
class Mutant:
    path: str
    line: int
    before: str
    """The lines it stands in."""
    after: str
    text: str
    """The whole file with the fault in it."""
    lines: range
    """Those of the statement that it is in, and of one that holds others those before them."""
    inside: bool
    """Whether it is inside a function."""

    def __str__(self) -> str:
        return f"{self.path}:{self.line}\n    {self.before}\n    {self.after}\n    "


def changed(node: ast.AST, **fields: object) -> ast.AST:
    other = copy(node)
    for name, value in fields.items():
        setattr(other, name, value)
    return other


def faults(node: ast.AST) -> Iterator[ast.AST]:
    """What may stand in a node's place."""
    match node:
        case ast.Compare():
            for place, one in enumerate(node.ops):
                for other in COMPARED[type(one)]:
                    yield changed(node, ops=[*node.ops[:place], other(), *node.ops[place + 1 :]])
        case ast.BoolOp() | ast.BinOp() | ast.AugAssign() if type(node.op) in REPLACED:
            yield changed(node, op=REPLACED[type(node.op)]())
        case ast.UnaryOp(op=ast.Not()):
            yield node.operand
        case ast.Constant(value=bool()):
            yield ast.Constant(not node.value)
        case ast.Constant(value=int(number)):
            yield from (ast.Constant(number + by) for by in (1, -1))
        case ast.Call(func=ast.Name(id=name)) if name in CALLED:
            yield changed(node, func=ast.Name(CALLED[name]))
        case ast.Call(func=ast.Attribute(attr=name)) if name in CALLED:
            yield changed(node, func=changed(node.func, attr=CALLED[name]))
        case ast.Return(value=ast.AST()) if not (isinstance(node.value, ast.Constant) and node.value.value is None):
            yield ast.Return(ast.Constant(None))
    match node:
        case ast.AugAssign() | ast.Expr(value=ast.Call() | ast.Yield() | ast.YieldFrom()) | ast.Continue():
            yield ast.Pass()
        case ast.Assign(targets=[ast.Attribute() | ast.Subscript()]):
            yield ast.Pass()
        # A guard.
        case ast.If(orelse=[], body=[*_, ast.Return() | ast.Raise() | ast.Continue() | ast.Break()]):
            yield ast.Pass()


def nodes(tree: ast.AST) -> Iterator[ast.AST]:
    """The nodes that do something: no types, no texts, no assertions."""
    yield tree
    for name, value in ast.iter_fields(tree):
        if name in {"annotation", "returns", "decorator_list", "type_comment"}:
            continue
        for child in value if isinstance(value, list) else [value]:
            typed = isinstance(tree, ast.Call) and ast.unparse(tree.func) in {"isinstance", "cast", "TypeVar"}
            if typed or isinstance(child, ast.Assert | ast.JoinedStr | ast.pattern):
                continue
            if isinstance(child, ast.AST):
                yield from nodes(child)


def mutants(path: Path) -> Iterator[Mutant]:
    """All faults of a file, in its order."""
    text = path.read_text(encoding="utf-8")
    lines = text.splitlines(keepends=True)

    def offset(line: int, column: int) -> int:
        return sum(map(len, lines[: line - 1])) + len(lines[line - 1].encode()[:column].decode())

    tree = ast.parse(text)
    own = sorted(map(lines_of, (one for one in ast.walk(tree) if isinstance(one, ast.stmt))), key=len)
    bodies = [
        range(one.body[0].lineno, (one.end_lineno or 0) + 1) for one in ast.walk(tree) if isinstance(one, FUNCTION)
    ]
    for node in nodes(tree):
        for other in faults(node):
            assert isinstance(node, ast.expr | ast.stmt)
            assert node.end_lineno is not None
            assert node.end_col_offset is not None
            begin, end = offset(node.lineno, node.col_offset), offset(node.end_lineno, node.end_col_offset)
            new = ast.unparse(ast.fix_missing_locations(other))
            if isinstance(node, ast.expr):
                new = f"({new})"
            whole = f"{text[:begin]}{new}{text[end:]}"
            first, last = text.rfind("\n", 0, begin) + 1, (text + "\n").index("\n", end)
            before, after = (
                " ".join(some.split()) for some in (text[first:last], text[first:begin] + new + text[end:last])
            )
            place = next((some for some in own if node.lineno in some), range(node.lineno, node.lineno + 1))
            inside = any(node.lineno in some for some in bodies)
            yield Mutant(path.relative_to(CHECKOUT).as_posix(), node.lineno, before, after, whole, place, inside)


def lines_of(statement: ast.stmt) -> range:
    assert statement.end_lineno is not None
    inner = [one.lineno for one in ast.walk(statement) if isinstance(one, ast.stmt) and one is not statement]
    cases = [case.pattern.lineno for case in statement.cases] if isinstance(statement, ast.Match) else []
    end = min([statement.end_lineno + 1, *inner, *cases])
    return range(statement.lineno, max(end, statement.lineno + 1))


@dataclass(frozen=True)
class Ran:
    """Tests that a fault is to meet: some by name, in their order, and the files of all that could notice."""

    names: dict[str, float]
    """With the seconds each takes."""
    files: tuple[str, ...]

    @property
    def seconds(self) -> float:
        return sum(self.names.values())

    def within(self, most: float) -> list[str]:
        """The first of them, which take no more seconds than that."""
        so_far = accumulate(self.names.values())
        return [name for name, spent in zip(self.names, so_far, strict=True) if spent <= most]


class Reach:
    """Which tests run which lines, as `tests.reached` wrote it down."""

    def __init__(self, folder: Path) -> None:
        self.files = {path: json.loads(path.read_text(encoding="utf-8")) for path in sorted(folder.glob("*.json"))}
        self.data: dict[Path, CoverageData] = {}

    def of(self, one: Mutant) -> Ran:
        """The tests that run a mutant's line; where that is not known, or none does, those that run any of its file."""
        by_line: dict[str, float] = {}
        by_file: dict[str, float] = {}
        files: dict[bool, set[str]] = {True: set(), False: set()}
        for path, found in self.files.items():
            tests = path.stem.replace("+", "/")
            if one.path not in found["ran"] or not (CHECKOUT / tests).exists():
                continue
            same = found["ran"][one.path] == digest(CHECKOUT / one.path) and found["text"] == digest(CHECKOUT / tests)
            if not same:
                # What its tests are called now, and which of them run the line, is not known.
                files[True].add(tests)
                continue
            lines = self.contexts(path, f"{found['root']}/{one.path}")
            everywhere = {name for names in lines.values() for name in names} & found["seconds"].keys()
            here = {name for line in one.lines for name in lines.get(line, ())}
            by_file |= {name: found["seconds"][name] for name in everywhere}
            by_line |= {name: found["seconds"][name] for name in here & everywhere}
            files[bool(here - {""})].add(tests)
        of_line = bool(by_line) or bool(files[True])
        chosen = by_line if of_line else by_file
        own, like = f"tests/{Path(one.path).parts[1]}/", f"test_{Path(one.path).stem}"
        names = sorted(chosen, key=lambda name: (not name.startswith(own), f"/{like}" not in name, chosen[name], name))
        every = sorted(files[of_line], key=lambda name: (not name.startswith(own), name))
        return Ran({name: chosen[name] for name in names}, tuple(every))

    def contexts(self, path: Path, measured: str) -> dict[int, list[str]]:
        if path not in self.data:
            self.data[path] = CoverageData(str(path.with_suffix(".db")))
            self.data[path].read()
        return self.data[path].contexts_by_lineno(measured)


def missing(folder: Path) -> list[str]:
    """The files of tests that the map does not know as they are now."""
    found = {path.stem: json.loads(path.read_text(encoding="utf-8"))["text"] for path in folder.glob("*.json")}
    every = [path.relative_to(CHECKOUT).as_posix() for path in sorted((CHECKOUT / "tests").rglob("test_*.py"))]
    return [
        name
        for name in every
        if not name.startswith(UNMEASURED) and found.get(name.replace("/", "+")) != digest(CHECKOUT / name)
    ]


class Copy:
    """A copy of the checkout to break and mend."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        shutil.copytree(CHECKOUT, folder, ignore=IGNORED)
        # What is compiled goes by the time of the file: one with a fault in it never passes for it.
        compileall.compile_dir(folder / "alertlang", quiet=2)
        self.environment = {**os.environ, "PYTHONPATH": str(folder), "PYTHONDONTWRITEBYTECODE": "1"}

    def red(self, tests: Sequence[str], most: float = LONGEST, share: int = SHARE) -> str:
        """The first of some tests that fails, "" if none does."""
        named = self.folder.with_suffix(".tests")
        named.write_text("\n".join(tests), encoding="utf-8")
        command = [sys.executable, "-m", "pytest", *PYTEST, "-x", "--share", str(share), f"@{named}"]
        try:
            done = subprocess.run(
                command, cwd=self.folder, env=self.environment, capture_output=True, timeout=most, check=False
            )
        except subprocess.TimeoutExpired:
            return "they took too long"
        said = done.stdout.decode("utf-8", "replace")
        assert done.returncode in {0, 1, 2}, f"pytest ended with {done.returncode}: {said[-2000:]}"
        failed = re.findall(r"^(?:FAILED|ERROR) (.+?)(?: - .*)?$", said, re.MULTILINE)
        return "" if done.returncode == 0 else failed[0] if failed else "what is collected"

    def notices(self, one: Mutant, tests: Sequence[str], most: float = LONGEST, share: int = SHARE) -> str:
        """The same with a fault in the package."""
        path = self.folder / one.path
        sound = path.read_bytes()
        try:
            path.write_text(one.text, encoding="utf-8")
            return self.red(tests, most, share)
        finally:
            path.write_bytes(sound)


def of_package(path: str) -> str:
    """The tests of a file's package; of what has none of its own, all."""
    own = f"tests/{Path(path).parts[1]}"
    return own if (CHECKOUT / own).is_dir() else "tests"


def tried_at_once(faults: Sequence[tuple[Mutant, Ran]], place: Path, most: float) -> list[str]:
    """The test that notices each fault inside a function, "" where none does; with few examples (`tests.mutating`)."""
    plan = [
        {
            "path": one.path,
            "text": one.text,
            "told": str(one),
            "tests": ran.within(most),
            "most": 60 + SLOWER * min(most, ran.seconds),
        }
        for one, ran in faults
    ]
    place.write_text(json.dumps(plan), encoding="utf-8")
    files = sorted({name.partition("::")[0] for _, ran in faults for name in ran.within(most)})
    command = [*PYTEST, "-s", "--share", str(FEW), "-p", "tests.mutating", "--faults", str(place), *files]
    subprocess.run([sys.executable, "-m", "pytest", *command], cwd=CHECKOUT, stdout=subprocess.DEVNULL, check=True)
    return [done["red"] for done in json.loads(place.read_text(encoding="utf-8"))]


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("-n", type=int, default=40, help="how many faults to draw")
    parser.add_argument("--seed", default="1")
    parser.add_argument("--jobs", type=int, default=os.cpu_count())
    parser.add_argument("--wide", type=str.split, default=[], metavar="TESTS", help="what the survivors meet as well")
    parser.add_argument("--map", action="store_true", help="measure which tests run which lines, where not known yet")
    parser.add_argument("--reached", type=Path, default=MAP, help="the folder of the map")
    parser.add_argument(
        "--most", type=float, default=1e9, help="of tests that take longer a fault meets those of its own package alone"
    )
    parser.add_argument("places", nargs="*", help="packages (logic) or files of them (logic/solver.py)")
    asked = parser.parse_args()
    if asked.map:
        asked.reached.mkdir(parents=True, exist_ok=True)
        words = [*PYTEST, "--share", str(FEW), "-p", "tests.reached", "--reached", str(asked.reached)]
        new = missing(asked.reached)
        return subprocess.run([sys.executable, "-m", "pytest", *words, *new], check=False).returncode if new else 0

    roots = [CHECKOUT / "alertlang" / place for place in asked.places or [""]]
    files = [path for root in roots for path in (sorted(root.rglob("*.py")) if root.is_dir() else [root])]
    every = [one for path in files for one in mutants(path)]
    drawn = random.Random(asked.seed).sample(every, min(asked.n, len(every)))
    print(f"{len(drawn)} of {len(every)} faults, seed {asked.seed}", flush=True)
    reach = Reach(asked.reached)

    met = {one: reach.of(one) for one in drawn}
    reds = dict.fromkeys(drawn, "")

    with tempfile.TemporaryDirectory() as scratch, ThreadPoolExecutor(asked.jobs) as pool:
        known = [(one, ran) for one, ran in met.items() if one.inside and ran.names]
        parts = [known[number :: asked.jobs] for number in range(asked.jobs) if known[number :: asked.jobs]]
        places = [Path(scratch) / f"{number}.json" for number in range(len(parts))]
        for part, found in zip(parts, pool.map(tried_at_once, parts, places, repeat(asked.most)), strict=True):
            reds |= dict(zip((one for one, _ in part), found, strict=True))
        left = [one for one, red in reds.items() if not red]
        print(f"{len(left)} meet all the tests of their files, one by one", flush=True)

        copies: SimpleQueue[Copy] = SimpleQueue()
        for number in range(asked.jobs):
            copies.put(Copy(Path(scratch) / str(number)))

        def judged(one: Mutant) -> str:
            files = met[one].files or (of_package(one.path),)
            if met[one].seconds > asked.most:
                files = tuple(name for name in files if name.startswith(of_package(one.path)))
            here = copies.get()
            try:
                red = here.notices(one, files) or (asked.wide and here.notices(one, asked.wide)) or ""
            finally:
                copies.put(here)
            ran = f"{len(met[one].names)} tests run it; of their {len(met[one].files)} files {len(files)} were met"
            print("killed  " if red else "survived", f"{one}{red or ran}", flush=True)
            return red

        late = dict(zip(left, pool.map(judged, left), strict=True))
        # Without a fault all that noticed one is green.
        here = copies.get()
        names = sorted({red for red in late.values() if "::" in red})
        wrong = here.red(names) if names else ""
        assert not wrong, f"red without any fault: {wrong}"
    lost = sum(not red for red in late.values())
    print(f"{len(drawn) - lost} of {len(drawn)} killed, {lost} survive")
    return 1 if lost else 0


if __name__ == "__main__":
    sys.exit(main())
