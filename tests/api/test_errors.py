"""What the api raises, and that no call starts a process that was not asked for.

Source: the docstring of `alertlang.api`.
"""

from __future__ import annotations

import pickle
import re
import subprocess
import sys
from collections.abc import Callable
from importlib import import_module
from pathlib import Path
from pkgutil import iter_modules

import pytest

import alertlang
from alertlang import AlertlangError, api, load
from alertlang.text.resources import examples_dir

BRAMBLE = examples_dir() / "02-bramble"
VETTED = BRAMBLE / "bramble.alert"
LOG = BRAMBLE / "logs" / "first-flight.csv"


def test_no_name_is_that_of_a_package() -> None:
    """Once a package of that name is imported, it would stand where the call was."""
    packages = {one.name for one in iter_modules(alertlang.__path__)}
    assert not packages & set(alertlang.__all__)
    assert not {one.name for one in iter_modules(api.__path__)} & set(api.__all__)


def test_every_error_of_ours_is_one_kind() -> None:
    for name in alertlang.__all__:
        one = getattr(alertlang, name)
        if isinstance(one, type) and issubclass(one, Exception):
            assert issubclass(one, AlertlangError), name
    for path in (examples_dir().parent / "alertlang").rglob("*.py"):
        text = path.read_text(encoding="utf-8")
        assert "(ValueError):" not in text or path.stem in {"config", "rebuild"}, path


@pytest.mark.parametrize(
    "call",
    [
        lambda path: load(path),
        lambda path: alertlang.load_profile(path.with_suffix(".profile")),
        lambda path: alertlang.load_display(path.with_suffix(".display")),
        lambda path: alertlang.format_rules(path),
        lambda path: alertlang.load_column_map(path),
        lambda path: alertlang.propose_columns(load(VETTED), path),
        lambda path: alertlang.replay_log(load(VETTED), path),
        lambda path: alertlang.tune(load(VETTED), "volts_red", [path]),
        lambda path: alertlang.read_back(load(VETTED), path),
        lambda path: alertlang.card_results(alertlang.cards(load(VETTED)), path),
        lambda path: alertlang.add_to_library(path, path.parent / "library"),
        lambda path: alertlang.list_library(path),
    ],
)
def test_an_error_names_the_file_that_is_missing(call: Callable[[Path], object], tmp_path: Path) -> None:
    with pytest.raises(AlertlangError) as raised:
        call(tmp_path / "absent.alert")
    found = raised.value
    assert "absent." in str(found)


def test_an_unreadable_file_crosses_processes() -> None:
    with pytest.raises(alertlang.UnreadableError) as raised:
        alertlang.loads("nonsense", name="bad.alert")
    again = pickle.loads(pickle.dumps(raised.value))
    assert str(again) == str(raised.value)
    assert again.report is not None
    assert not again.report.readable


def test_words_that_say_nothing_of_the_rules() -> None:
    rules = load(VETTED)
    for call, words in (
        (lambda: alertlang.show_gauges(rules, "oil_tmp"), "did you mean oil_temp?"),
        (lambda: alertlang.show_map(rules, "rpm", "rpm"), "two different readings"),
        (lambda: alertlang.show_map(rules, "rpm", "oil_temp", at=["nonsense"]), "cannot tell"),
        (lambda: alertlang.load_display("smal-box"), "did you mean small-box?"),
        (lambda: alertlang.load_profile("continental-o-200"), "did you mean continental-o-200-a?"),
        (lambda: alertlang.compare(rules, alertlang.load_profile("electrical-14v")), "not of one kind"),
        (lambda: alertlang.sheet(rules, "doc"), "there are csv, html, pdf"),
    ):
        with pytest.raises(alertlang.NameOrFileError, match=re.escape(words)):
            call()


SCRIPT = """
import sys
import alertlang
print("started")
folder = sys.argv[1] + "/02-bramble/"
rules = alertlang.load(folder + "bramble.alert")
mapped = folder + "logs/recorder.toml"
found = alertlang.replay_fleet(rules, [folder + "logs", "more"], "results", column_map=mapped)
print("logs", len(found.used))
alertlang.add_to_library(folder + "bramble.alert", "library")
search = alertlang.derive_entry("library", "bramble", "second.alert", "second")
alertlang.add_to_library("second.alert", "library", search=[search])
print("good", alertlang.verify_library("library", recheck=True).good)
print("processes", "multiprocessing.spawn" in sys.modules)
"""


def test_a_script_without_a_guard_does_not_break(tmp_path: Path) -> None:
    """A process that was started anew would read the script again and start over."""
    (tmp_path / "more").mkdir()
    (tmp_path / "more" / "second.csv").write_text(
        LOG.read_text(encoding="utf-8")[:9000].rpartition("\n")[0], encoding="utf-8"
    )
    script = tmp_path / "script.py"
    script.write_text(SCRIPT, encoding="utf-8")
    done = subprocess.run(
        [sys.executable, str(script), str(examples_dir())],
        cwd=tmp_path,
        capture_output=True,
        text=True,
        check=False,
        timeout=300,
    )
    assert done.returncode == 0, done.stderr
    lines = done.stdout.splitlines()
    assert lines[:3] == ["started", "logs 2", "good True"]
    assert "processes False" in lines
    assert lines.count("started") == 1


def test_what_is_not_asked_for_is_not_loaded() -> None:
    for program, kept_out in (
        ("import alertlang; alertlang.__all__", {"z3", "lark", "polars", "numpy"}),
        (f"import alertlang; alertlang.check({str(VETTED)!r})", {"polars", "numpy", "matplotlib", "jinja2", "typst"}),
    ):
        said = f"import sys; {program}; sys.exit(' '.join({kept_out!r} & set(sys.modules)) or None)"
        done = subprocess.run([sys.executable, "-c", said], capture_output=True, text=True, check=False, timeout=300)
        assert done.returncode == 0, done.stderr
        assert done.stderr == ""


def test_names_come_from_one_file_each() -> None:
    files = [
        import_module(f"alertlang.api.{file}") for file in ("explained", "rules", "shop", "library", "runs", "papers")
    ]
    for name in api.__all__:
        found = [getattr(file, name) for file in files if hasattr(file, name)]
        assert found, name
        assert all(one is getattr(api, name) for one in found), name
