"""What works without the libraries of the extras, and what is said where one is missing."""

from __future__ import annotations

import json
import re
import subprocess
import sys
import tomllib
from collections.abc import Sequence
from pathlib import Path

from alertlang.text.extras import EXTRA_OF, missing

BRAMBLE = "examples/02-bramble/bramble.alert"
LOG = "examples/02-bramble/logs/first-flight.csv"
# As if none of them were installed. Many command lines in one process: each finds out anew what is missing.
RUN = f"""
import io, json, sys
from contextlib import redirect_stderr, redirect_stdout
class Absent:
    def find_spec(self, name, path=None, target=None):
        if name.split(".")[0] in {sorted(EXTRA_OF)!r}:
            raise ModuleNotFoundError(f"No module named {{name!r}}", name=name)
sys.meta_path.insert(0, Absent())
from alertlang.cli import main
ended = []
for words in json.loads(sys.argv[1]):
    sys.argv[1:], said, code = words, io.StringIO(), 0
    with redirect_stderr(said), redirect_stdout(io.TextIOWrapper(io.BytesIO(), "utf-8")):
        try:
            main()
        except SystemExit as end:
            code = end.code or 0
    ended.append([code, said.getvalue()])
print(json.dumps(ended))
"""
ENOUGH = (
    ("check", BRAMBLE),
    ("prove", BRAMBLE),
    ("explain", "gap"),
    ("format", "--check", BRAMBLE),
    ("draft", "continental-o-200-a"),
    ("compare", BRAMBLE, BRAMBLE),
    ("show", BRAMBLE, "rpm", "oil_temp"),
    ("profiles", "list"),
    ("scenarios", "examples/02-bramble/cruise.scenario"),
    ("library", "add", BRAMBLE, "--library", "{tmp}/library"),
)
NEEDS = (
    (("replay", BRAMBLE, LOG, "--map", "examples/02-bramble/logs/recorder.toml"), "logs"),
    (("columns", LOG, "--rules", BRAMBLE), "logs"),
    (("report", BRAMBLE, "-o", "{tmp}/report.html"), "papers"),
    (("cards", BRAMBLE, "-o", "{tmp}/cards.pdf"), "papers"),
    (("pilot-card", BRAMBLE, "-o", "{tmp}/card.pdf"), "papers"),
    (("show", BRAMBLE, "rpm", "-o", "{tmp}/rpm.svg"), "papers"),
)


def without(checkout: Path, folder: Path, lines: Sequence[Sequence[str]]) -> list[tuple[int, str]]:
    """How each command line ends, with its code and what it says of errors."""
    words = json.dumps([[word.replace("{tmp}", str(folder)) for word in line] for line in lines])
    done = subprocess.run(
        [sys.executable, "-c", RUN, words], cwd=checkout, stdout=subprocess.PIPE, encoding="utf-8", check=True
    )
    return [(code, said) for code, said in json.loads(done.stdout)]


def test_the_base_is_enough(checkout: Path, tmp_path: Path) -> None:
    ended = without(checkout, tmp_path, ENOUGH)
    assert [(line, end) for line, end in zip(ENOUGH, ended, strict=True) if end != (0, "")] == []


def test_what_is_missing_is_named_with_the_line_that_installs_it(checkout: Path, tmp_path: Path) -> None:
    ended = without(checkout, tmp_path, [line for line, _ in NEEDS])
    for (line, extra), (code, said) in zip(NEEDS, ended, strict=True):
        assert code == 2, line
        assert re.fullmatch(
            rf'alertlang: this needs \w+, which is not installed: pip install "alertlang\[{extra}\]"\n', said
        ), line
    assert list(tmp_path.iterdir()) == []


def test_each_library_of_an_extra_is_known(checkout: Path) -> None:
    project = tomllib.loads((checkout / "pyproject.toml").read_text(encoding="utf-8"))["project"]

    def libraries(extra: str) -> set[str]:
        found = {re.split(r"[><=\[;.]", one)[0] for one in project["optional-dependencies"][extra]}
        return found - {"alertlang"}

    for extra in set(EXTRA_OF.values()):
        # markupsafe comes with jinja2.
        assert libraries(extra) == {name for name, of in EXTRA_OF.items() if of == extra} - {"markupsafe"}
    base = {re.split(r"[><=\[;]", one)[0] for one in project["dependencies"]}
    assert not base & set(EXTRA_OF)
    assert {"logs", "papers", "second-solver", "cluster"} == set(EXTRA_OF.values())


def test_another_module_that_is_missing_is_a_fault() -> None:
    assert missing(ModuleNotFoundError("No module named 'alertlang.nothing'", name="alertlang.nothing")) is None
    assert missing(ModuleNotFoundError("by hand")) is None
