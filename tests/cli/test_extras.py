"""What works without the libraries of the extras, and what is said where one is missing."""

from __future__ import annotations

import re
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

from alertlang.text.extras import EXTRA_OF, missing

BRAMBLE = "examples/02-bramble/bramble.alert"
LOG = "examples/02-bramble/logs/first-flight.csv"
# As if none of them were installed.
RUN = f"""
import sys
class Absent:
    def find_spec(self, name, path=None, target=None):
        if name.split(".")[0] in {sorted(EXTRA_OF)!r}:
            raise ModuleNotFoundError(f"No module named {{name!r}}", name=name)
sys.meta_path.insert(0, Absent())
from alertlang.cli import main
main()
"""


def without(checkout: Path, *words: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-c", RUN, *words], cwd=checkout, capture_output=True, text=True, encoding="utf-8", check=False
    )


@pytest.mark.parametrize(
    "words",
    [
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
    ],
    ids=lambda words: words[0],
)
def test_the_base_is_enough(checkout: Path, tmp_path: Path, words: tuple[str, ...]) -> None:
    done = without(checkout, *(word.replace("{tmp}", str(tmp_path)) for word in words))
    assert (done.returncode, done.stderr) == (0, "")


@pytest.mark.parametrize(
    ("words", "extra"),
    [
        (("replay", BRAMBLE, LOG, "--map", "examples/02-bramble/logs/recorder.toml"), "logs"),
        (("columns", LOG, "--rules", BRAMBLE), "logs"),
        (("report", BRAMBLE, "-o", "{tmp}/report.html"), "papers"),
        (("cards", BRAMBLE, "-o", "{tmp}/cards.pdf"), "papers"),
        (("pilot-card", BRAMBLE, "-o", "{tmp}/card.pdf"), "papers"),
        (("show", BRAMBLE, "rpm", "-o", "{tmp}/rpm.svg"), "papers"),
    ],
    ids=lambda words: words[0] if isinstance(words, tuple) else words,
)
def test_what_is_missing_is_named_with_the_line_that_installs_it(
    checkout: Path, tmp_path: Path, words: tuple[str, ...], extra: str
) -> None:
    done = without(checkout, *(word.replace("{tmp}", str(tmp_path)) for word in words))
    assert done.returncode == 2
    assert re.fullmatch(
        rf'alertlang: this needs \w+, which is not installed: pip install "alertlang\[{extra}\]"\n', done.stderr
    )
    assert list(tmp_path.iterdir()) == []


def test_each_library_of_an_extra_is_known(checkout: Path) -> None:
    project = tomllib.loads((checkout / "pyproject.toml").read_text(encoding="utf-8"))["project"]

    def libraries(extra: str) -> set[str]:
        found = {re.split(r"[><=\[;]", one)[0] for one in project["optional-dependencies"][extra]}
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
