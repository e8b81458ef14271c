"""Whether the tests notice: small faults are put into the package, one at a time, and the tests run against each.

    python -m tests.mutants -n 40 --seed 7 logic checks/gap.py           # packages or files; none: all
    python -m tests.mutants --wide "tests/cli tests/outside" comparison  # what survives meets these tests as well

Everything happens in scratch copies of the checkout. A fault is met first by the tests of its own package; they are run
without a fault before, so that what is red is red for the fault. A survivor is a question: is a test missing, or does
the fault change nothing? The same seed draws the same faults from the same text. Exit code 1: some survived.
"""

from __future__ import annotations

import argparse
import ast
import compileall
import os
import random
import shutil
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from copy import copy
from dataclasses import dataclass
from pathlib import Path
from queue import SimpleQueue

CHECKOUT = Path(__file__).resolve().parent.parent
IGNORED = shutil.ignore_patterns(".git", ".venv", "venv", ".fuzz", ".benchmarks", ".*_cache", "__pycache__", "build")
SLOWER = 4
"""A fault that makes the tests so many times slower than they are without one has been noticed."""

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

    for node in nodes(ast.parse(text)):
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
            yield Mutant(path.relative_to(CHECKOUT).as_posix(), node.lineno, before, after, whole)


class Copy:
    """A copy of the checkout to break and mend."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        shutil.copytree(CHECKOUT, folder, ignore=IGNORED)
        # What is compiled goes by the time of the file: one with a fault in it never passes for it.
        compileall.compile_dir(folder / "alertlang", quiet=2)
        self.environment = {**os.environ, "PYTHONPATH": str(folder), "PYTHONDONTWRITEBYTECODE": "1"}

    def green(self, tests: Sequence[str], most: float | None = None) -> bool:
        words = ["-q", "-x", "-p", "no:cacheprovider", "-p", "no:xdist", "--benchmark-disable", "--no-header", *tests]
        command = [sys.executable, "-m", "pytest", *words]
        out = subprocess.DEVNULL
        try:
            done = subprocess.run(
                command, cwd=self.folder, env=self.environment, stdout=out, stderr=out, timeout=most, check=False
            )
        except subprocess.TimeoutExpired:
            return False
        assert done.returncode in {0, 1, 2}, f"pytest ended with {done.returncode}: {' '.join(command)}"
        return done.returncode == 0

    def survives(self, one: Mutant, tests: Sequence[str], most: float) -> bool:
        path = self.folder / one.path
        sound = path.read_bytes()
        try:
            path.write_text(one.text, encoding="utf-8")
            return self.green(tests, most)
        finally:
            path.write_bytes(sound)


def named_like(path: str) -> list[str]:
    """The tests named like a file, which are the first to notice."""
    found = Path("tests", *Path(path).parts[1:-1], f"test_{Path(path).name}")
    return [str(found)] * (CHECKOUT / found).exists()


def of_package(path: str) -> tuple[str, ...]:
    """The tests of a file's package; of what has none of its own, all."""
    own = f"tests/{Path(path).parts[1]}"
    return (own if (CHECKOUT / own).is_dir() else "tests",)


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("-n", type=int, default=40, help="how many faults to draw")
    parser.add_argument("--seed", default="1")
    parser.add_argument("--jobs", type=int, default=os.cpu_count())
    parser.add_argument("--wide", type=str.split, default=[], metavar="TESTS", help="what the survivors meet as well")
    parser.add_argument("places", nargs="*", help="packages (logic) or files of them (logic/solver.py)")
    asked = parser.parse_args()
    roots = [CHECKOUT / "alertlang" / place for place in asked.places or [""]]
    files = [path for root in roots for path in (sorted(root.rglob("*.py")) if root.is_dir() else [root])]
    every = [one for path in files for one in mutants(path)]
    drawn = random.Random(asked.seed).sample(every, min(asked.n, len(every)))
    print(f"{len(drawn)} of {len(every)} faults, seed {asked.seed}", flush=True)

    with tempfile.TemporaryDirectory() as scratch, ThreadPoolExecutor(asked.jobs) as pool:
        copies: SimpleQueue[Copy] = SimpleQueue()
        for number in range(asked.jobs):
            copies.put(Copy(Path(scratch) / str(number)))

        def sound(tests: tuple[str, ...]) -> float:
            here, began = copies.get(), time.monotonic()
            assert here.green(tests), f"without any fault these fail: {tests}"
            copies.put(here)
            return 30 + SLOWER * (time.monotonic() - began)

        def survivor(one: Mutant, tests: tuple[str, ...], most: float) -> bool:
            here = copies.get()
            try:
                found = here.survives(one, (*named_like(one.path), *tests), most)
            finally:
                copies.put(here)
            said = f"{one.path}:{one.line}\n    {one.before}\n    {one.after}"
            print("survived" if found else "killed  ", said, flush=True)
            return found

        left = drawn
        for tests in (of_package, lambda path: tuple(asked.wide)) if asked.wide else (of_package,):
            sets = [tests(one.path) for one in left]
            most = {one: sound(one) for one in sorted(set(sets))}
            found = list(pool.map(survivor, left, sets, [most[one] for one in sets]))
            print(f"{sum(found)} of {len(left)} survive {' '.join(sorted({name for one in sets for name in one}))}")
            left = [one for one, survived in zip(left, found, strict=True) if survived]
    return 1 if left else 0


if __name__ == "__main__":
    sys.exit(main())
