"""The plugin that draws fresh examples, run on a file of its own: what it counts, saves and repeats."""

import subprocess
import sys
from pathlib import Path

import pytest

PROPERTIES = """\
import pytest
from hypothesis import Phase, example, given, settings, strategies as st

@pytest.fixture
def seed():
    return 1

@settings(max_examples=1, phases=[Phase.explicit], derandomize=True)
@example(8)
@given(st.integers(0, 10**6))
def test_large(number):
    assert number < 1000

@given(st.data())
def test_holds(data):
    assert data.draw(st.integers()) is not None

@given(st.booleans())
def test_two(truth):
    pass

@pytest.mark.parametrize("by", [1, 2])
def test_chance(seed, by):
    assert by == 1, seed

def test_no_property():
    raise AssertionError
"""


def fuzz(folder: Path, checkout: Path, *options: str) -> tuple[int, str]:
    (folder / "test_some.py").write_text(PROPERTIES)
    (folder / "pytest.ini").write_text("[pytest]\n")
    command = [sys.executable, "-m", "pytest", "-q", "-p", "tests.fuzz", "-p", "no:cacheprovider", "--minutes", "0.02"]
    done = subprocess.run(
        [*command, "--rootdir", str(folder), "-o", f"pythonpath={checkout}", *options, "test_some.py"],
        cwd=folder,
        env={"PYTHONPATH": str(checkout), "PYTHONDONTWRITEBYTECODE": "1"},
        capture_output=True,
        text=True,
        check=False,
    )
    return done.returncode, done.stdout + done.stderr


def counts(printed: str) -> dict[str, tuple[int, int]]:
    rows = [line.split(maxsplit=2) for line in printed.splitlines() if "::" in line and line[0] == " "]
    return {name.split("::")[1]: (int(examples), int(failures)) for examples, failures, name in rows}


@pytest.mark.thorough
@pytest.mark.parametrize("more", [(), ("-n", "2")], ids=["one process", "two"])
def test_what_it_counts_and_saves(tmp_path: Path, checkout: Path, more: tuple[str, ...]) -> None:
    code, printed = fuzz(tmp_path, checkout, "--seed", "7", *more)
    assert code == 1, printed
    found = counts(printed)
    small = "test_two (these are all there are)"
    assert set(found) == {"test_large", "test_holds", small, "test_chance[1]", "test_chance[2]"}
    for name in ("test_large", "test_chance[2]"):
        assert found[name][1] > 1, "it stopped at the first failure"
    assert found["test_holds"][0] > 100
    assert [name for name, (_, failures) in found.items() if failures] == ["test_chance[2]", "test_large"]
    assert f"{sum(e for e, _ in found.values())}" in printed
    assert "in all, 5 properties, SEED=7" in printed
    saved = {path.name: path.read_text() for path in (tmp_path / ".fuzz").iterdir()}
    assert set(saved) == {"test_some-py-test_chance-2-seed-7-1.txt", "test_some-py-test_large-seed-7-1.txt"}
    large = saved["test_some-py-test_large-seed-7-1.txt"]
    # Drawn, not the example that stands there; shrunk; and with what brings it back.
    assert "number=1000," in large
    assert "@reproduce_failure(" in large
    assert "the fixture seed: " in saved["test_some-py-test_chance-2-seed-7-1.txt"]


@pytest.mark.thorough
def test_a_seed_draws_the_same_again_and_none_draws_afresh(tmp_path: Path, checkout: Path) -> None:
    texts = []
    for seed in ("7", "7", ""):
        _, printed = fuzz(tmp_path, checkout, "-k", "chance", "--seed", seed, "--failures", str(tmp_path / "f"))
        (path,) = (tmp_path / "f").iterdir()
        texts.append(path.read_text())
        path.unlink()
        assert seed or "SEED=7\n" not in printed
    assert texts[0] == texts[1] != texts[2]


def test_where_nothing_fails_nothing_is_saved(tmp_path: Path, checkout: Path) -> None:
    code, _ = fuzz(tmp_path, checkout, "-k", "holds")
    assert code == 0
    assert not (tmp_path / ".fuzz").exists()
