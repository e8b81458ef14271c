"""Nothing is built on an entry that is not as it was pinned."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.library.conftest import Run, tree

BASE = Path("library/entries/tiny")
FOLDER = "library/entries/tiny/files"
APPROVE = [
    "approve",
    "osier",
    "--key",
    "key.pem",
    "--reviewer",
    "chief inspector",
    "--date",
    "2024-01-02",
    "--version",
    "1",
]


@pytest.fixture
def derived(approved: Run) -> Run:
    """tiny approved, and the rules of osier that use it, not yet added; tiny is nowhere but in the library."""
    for path in ("tiny.alert", "tiny-engine.profile"):
        Path(path).unlink()
    assert approved("derive", "tiny", "osier.alert").exit_code == 0
    return approved


def _tamper(file: str = "files/tiny.alert") -> None:
    path = BASE / file
    text = path.read_text(encoding="utf-8")
    assert "2700" in text
    path.write_text(text.replace("2700", "2800"), encoding="utf-8")


def _refused(run: Run, *words: str, code: int = 2, says: str) -> None:
    before = tree(Path("."))
    result = run(*words)
    said = " ".join(result.stderr.split())
    assert (result.exit_code, says in said, "restore it from version control" in said) == (code, True, True), said
    assert tree(Path(".")) == before


@pytest.mark.parametrize("file", ["files/tiny.alert", "files/tiny-engine.profile", "pinned/tiny.alert"])
def test_nothing_is_derived_from_or_added_over_it(derived: Run, file: str) -> None:
    _tamper(file)
    says = f"tiny in the library is not as it was pinned: {file} is"
    _refused(derived, "derive", "tiny", "teasel.alert", says=says)
    _refused(derived, "add", "osier.alert", "--path", FOLDER, says=says)
    _refused(derived, "add", "osier.alert", "--path", FOLDER, "--library", "another", says=says)


def test_a_profile_of_an_entry_counts_too(derived: Run) -> None:
    """It is used without the entry's own rules."""
    text = 'rules "solo" version 1\nuse profile "tiny-engine"\nrpm at most 2700 rpm is green\n'
    text += 'rpm above 2700 rpm is red with warning "OVERSPEED"\n'
    Path("solo.alert").write_text(text, encoding="utf-8")
    _tamper("files/tiny-engine.profile")
    _refused(derived, "add", "solo.alert", "--path", FOLDER, says="tiny in the library is not as it was pinned")


def test_nothing_is_approved_over_it(derived: Run) -> None:
    assert derived("add", "osier.alert", "--path", FOLDER).exit_code == 0
    _tamper()
    _refused(derived, *APPROVE, code=1, says="osier is not signed: its base tiny in the library is not as")
    shown = " ".join(derived("show", "osier").output.split())
    assert "the library's own is not as it was pinned: files/tiny.alert is changed" in shown
    assert max(len(line) for line in derived("show", "osier").output.splitlines()) <= 80


def test_what_is_as_pinned_is_built_on(derived: Run) -> None:
    path = BASE / "files/tiny.alert"
    path.write_text(f"{path.read_text(encoding='utf-8')}# a remark\n", encoding="utf-8")
    assert derived("derive", "tiny", "teasel.alert").exit_code == 0, "comments do not count"
    assert derived("add", "osier.alert", "--path", FOLDER).exit_code == 0
    assert derived(*APPROVE).exit_code == 0


def test_an_entry_may_be_added_anew_from_its_own_folder(derived: Run) -> None:
    """The way out for who means the change."""
    _tamper()
    assert derived("add", f"{FOLDER}/tiny.alert", "--replace").exit_code == 0
    assert "no longer covers it" in " ".join(derived("verify").output.split())


@pytest.mark.parametrize("place", ["teasel.alert", "sub/teasel.alert", "sub/rules"])
def test_derive_names_the_file_that_is_found_before(derived: Run, place: str) -> None:
    """Beside the new file, above it, or in its rules/ folder."""
    other = {"teasel.alert": "tiny.alert", "sub/teasel.alert": "tiny.alert", "sub/rules": "sub/rules/tiny.alert"}[place]
    new = "sub/teasel.alert" if place == "sub/rules" else place
    Path("sub/rules").mkdir(parents=True)
    Path(other).write_text('rules "tiny" version 9\n', encoding="utf-8")
    result = derived("derive", "tiny", new)
    said = " ".join(result.stderr.split())
    assert (result.exit_code, f"{other} is found before it" in said) == (2, True), said
    assert not Path(new).exists()
