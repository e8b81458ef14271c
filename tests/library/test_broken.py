"""One entry that cannot be read blinds nobody to the others; a private key in a library is seen."""

from __future__ import annotations

import json
import os
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.library.conftest import PROFILE, RULES, Run, tree

BROKEN = Path("library/entries/broken")
FILE = BROKEN / "entry.json"


@pytest.fixture
def two(approved: Run) -> Run:
    """The entry tiny, approved, and the entry broken, which is whole yet."""
    Path("broken.alert").write_text(RULES.replace('"tiny"', '"broken"'), encoding="utf-8")
    assert approved("add", "broken.alert").exit_code == 0
    return approved


def _newer() -> None:
    FILE.write_text(FILE.read_text(encoding="utf-8").replace('"format": 1', '"format": 2'), encoding="utf-8")


def _damaged() -> None:
    FILE.write_text("{", encoding="utf-8")


def _a_link() -> None:
    BROKEN.rename("elsewhere")
    BROKEN.symlink_to(Path("elsewhere").absolute())


def _a_file() -> None:
    shutil.rmtree(BROKEN)
    BROKEN.write_text("x", encoding="utf-8")


def _a_folder_of_another_name() -> None:
    BROKEN.rename(BROKEN.with_name("my copy"))


WAYS = [
    (_newer, "broken", "made by a newer version of alertlang (format 2; this one reads up to 1): install that version"),
    (_damaged, "broken", "is damaged: it is not a JSON object: restore it from version control or a backup, or add"),
    (FILE.unlink, "broken", "is missing: restore it from version control or a backup, or add"),
    (_a_link, "broken", "is a symbolic link: a library holds plain folders"),
    (_a_file, "broken", "is not a folder, so it is no entry: take it out"),
    (_a_folder_of_another_name, "my copy", '"my copy" cannot be the name of an entry'),
]


@pytest.mark.parametrize(("do", "name", "says"), WAYS, ids=[do.__name__ for do, _, _ in WAYS])
def test_the_others_go_on(two: Run, do: Callable[[], None], name: str, says: str) -> None:
    do()
    before = tree(Path("library"))
    for words in (("verify",), ("verify", "--recheck")):
        result = two(*words)
        said = " ".join(result.output.split())
        assert result.exit_code == 1
        assert f"cannot be read {name}" in said
        assert says in said
        assert "1 of 2 entries as they should be; 1 approved" in said
    data = json.loads(two("verify", "--output", "json").stdout)
    assert (data["good"], {one["name"]: one["readable"] for one in data["entries"]}) == (
        False,
        {name: False, "tiny": True},
    )
    listed = two("list")
    assert listed.exit_code == 0
    assert f"{name} cannot be read" in " ".join(listed.output.split())
    assert "none approved" in " ".join(listed.output.split())
    assert two("verify", "tiny").exit_code == 0
    assert tree(Path("library")) == before


def test_affected_goes_on(two: Run) -> None:
    _damaged()
    Path("tiny-engine.profile").write_text(PROFILE.replace("at most 2700", "at most 2600"), encoding="utf-8")
    result = two("affected", "tiny-engine.profile")
    said = " ".join(result.output.split())
    assert result.exit_code == 1
    assert "cannot be read broken" in said
    assert "touches 1 entry; nothing is known of 1 that cannot be read" in said
    assert json.loads(two("affected", "tiny-engine.profile", "--output", "json").stdout)["cannot_be_read"] == ["broken"]
    # It might touch the one that cannot be read.
    Path("tiny-engine.profile").write_text(PROFILE, encoding="utf-8")
    assert two("affected", "tiny-engine.profile").exit_code == 1


def test_affected_goes_on_where_a_file_is_missing(two: Run) -> None:
    (BROKEN / "files/broken.alert").unlink()
    Path("tiny-engine.profile").write_text(PROFILE.replace("at most 2700", "at most 2600"), encoding="utf-8")
    result = two("affected", "tiny-engine.profile")
    said = " ".join(result.output.split())
    assert (result.exit_code, "what it does is not known: files/broken.alert" in said) == (1, True), said
    assert "touches 2 entries" in said


def test_an_entry_that_may_not_be_read(two: Run) -> None:
    if os.geteuid() != 0:
        pytest.skip("run as root, which is what lets another user try")
    FILE.chmod(0o600)
    Path("library/hidden").write_text("x", encoding="utf-8")
    Path("library/hidden").chmod(0o600)
    folder = Path.cwd()
    modes = [(one, one.stat().st_mode) for one in (folder, *folder.parents)]
    for one, mode in modes:
        one.chmod(mode | 0o055)
    os.seteuid(65534)
    try:
        result = two("verify")
    finally:
        os.seteuid(0)
        for one, mode in modes:
            one.chmod(mode)
    said = " ".join(result.output.split())
    assert (result.exit_code, "cannot be read (permission denied): ask for permission" in said) == (1, True), said
    assert "1 of 2 entries" in said
    assert "hidden cannot be read and is no file of the library's: it may be a private key" in said
    assert said.count("may be a private key") == 1, "of the entry it is said already that it cannot be read"


def test_a_damaged_entry_is_mended_by_adding_it_again(two: Run) -> None:
    _damaged()
    assert two("add", "broken.alert", "--replace").exit_code == 0
    assert two("verify").exit_code == 0


# ---- private keys


@pytest.mark.alike
@pytest.mark.parametrize(
    "place",
    [
        "key.pem",
        "reviewers/mine.pub.old",
        "reviewers/key.pem",
        "entries/tiny/notes.txt",
        "entries/tiny/files/key.pem",
        "entries/tiny/approvals/key.pem",
        "entries/.tiny.7.new/key.pem",
        # What an entry pins or holds under this name stands in another folder of it, or in another entry's.
        "entries/tiny/papers/tiny.alert",
        f"entries/tiny/papers/{'0' * 64}.json",
        "entries/.tiny.7.new/files/tiny.alert",
        f"entries/.tiny.7.new/approvals/{'0' * 64}.json",
        "papers/deep/key",
    ],
)
@pytest.mark.parametrize("locked", [False, True])
def test_a_private_key_anywhere(approved: Run, place: str, locked: bool) -> None:
    key = Path("key.pem").read_text(encoding="ascii")
    if locked:
        key = key.replace("PRIVATE KEY", "ENCRYPTED PRIVATE KEY")
    path = Path("library", place)
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(f"mine:\n{key}", encoding="ascii")
    result = approved("verify")
    said = " ".join(result.output.split())
    assert (result.exit_code, f"a private key lies in the library: {place}:" in said) == (1, True), said
    assert "--compromised" in said
    data = json.loads(approved("verify", "--output", "json").stdout)
    assert (data["good"], len(data["private_keys"])) == (False, 1)


def test_what_only_speaks_of_one_is_none(approved: Run) -> None:
    Path("library/README").write_text("never put a PRIVATE KEY here\n", encoding="utf-8")
    Path("library/.git/objects").mkdir(parents=True)
    shutil.copy("key.pem", "library/.git/objects/pack")
    result = approved("verify")
    assert result.exit_code == 0, result.output
    assert "private key" not in result.output
