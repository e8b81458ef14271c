"""What cannot be done: a clear message with a way out, the right exit code, and a library byte for byte as before."""

from __future__ import annotations

import json
import multiprocessing
import os
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

import pytest

from alertlang import __version__
from alertlang.library import adding, store
from alertlang.library.adding import add
from alertlang.library.approving import approve, open_points
from alertlang.library.entry import Entry
from alertlang.library.errors import LibraryError
from alertlang.library.keys import load_key, new_key, trust
from tests.library.conftest import APPROVE, PROFILE, RULES, Run, tree

ENTRY = Path("library/entries/tiny")


def _refused(run: Run, *words: str | Path, code: int = 2, says: str, stdin: str | None = None) -> None:
    before = tree(Path("library"))
    result = run(*words, stdin=stdin)
    assert result.exit_code == code, result.output
    assert says in " ".join(result.stderr.split())
    assert "Traceback" not in result.output
    assert tree(Path("library")) == before


@pytest.mark.parametrize(
    "name", ["two words", "a/b", "a\\\\b", "..", ".hidden", "con", "NUL.x", "x.", "über", "a" * 101]
)
def test_names_that_no_folder_can_have(approved: Run, name: str) -> None:
    Path("tiny.alert").write_text(RULES.replace('"tiny"', f'"{name}"'), encoding="utf-8")
    _refused(approved, "add", "tiny.alert", says="cannot be the name of an entry: use letters, digits")
    _refused(approved, "show", name, says="cannot be the name of an entry")


def test_a_name_that_differs_in_case_alone(approved: Run) -> None:
    Path("tiny.alert").write_text(RULES.replace('"tiny"', '"Tiny"'), encoding="utf-8")
    _refused(approved, "add", "tiny.alert", says="there is an entry tiny, which on some systems is the same name")


def test_an_entry_that_is_there_already(approved: Run) -> None:
    _refused(approved, "add", "tiny.alert", says="give --replace")


def test_a_missing_profile(approved: Run) -> None:
    Path("other.alert").write_text('rules "other" version 1\nuse profile "nowhere"\n', encoding="utf-8")
    _refused(approved, "add", "other.alert", says="there is no nowhere.profile")


def test_no_such_file_entry_or_library(approved: Run) -> None:
    _refused(approved, "add", "nothing.alert", says="there is no such file")
    _refused(approved, "show", "tinny", says="did you mean tiny?")
    _refused(approved, "verify", "--library", "elsewhere", says="there is no library elsewhere")
    Path("plain").mkdir()
    Path("plain/notes").write_text("x", encoding="utf-8")
    _refused(approved, "verify", "--library", "plain", says="plain is not a library")
    _refused(approved, "add", "tiny.alert", "--library", "plain", says="plain is not a library")
    assert [path.name for path in Path("plain").iterdir()] == ["notes"]
    _refused(approved, "add", "tiny-engine.profile", says="is a profile: an entry is made of rules")


def test_of_a_newer_format(approved: Run) -> None:
    path = ENTRY / "entry.json"
    path.write_text(path.read_text(encoding="utf-8").replace('"format": 1', '"format": 2'), encoding="utf-8")
    for words in (["show", "tiny"], APPROVE):
        _refused(approved, *words, says="made by a newer version of alertlang (format 2")
    marker = Path("library/library.json")
    marker.write_text(marker.read_text(encoding="utf-8").replace('"format": 1', '"format": 9'), encoding="utf-8")
    _refused(approved, "add", "tiny.alert", "--replace", says="(format 9")


@pytest.mark.parametrize("text", ["", "[]", "{", '{"format": 1}', '{"format": true}', '{"format": 1, "format": 1}'])
def test_a_damaged_entry(approved: Run, text: str) -> None:
    (ENTRY / "entry.json").write_text(text, encoding="utf-8")
    for words in (["show", "tiny"], APPROVE):
        _refused(approved, *words, says="restore it from version control")
    assert approved("verify").exit_code == 1


def test_an_entry_that_names_files_outside(approved: Run) -> None:
    path = ENTRY / "entry.json"
    text = path.read_text(encoding="utf-8")
    path.write_text(text.replace('"file": "tiny-engine.profile"', '"file": "../../../key.pem"'), encoding="utf-8")
    _refused(approved, "show", "tiny", says="is damaged")
    assert approved("verify").exit_code == 1


# ---- approvals that are refused


def test_not_while_an_error_is_open_or_a_claim_is_refuted(approved: Run) -> None:
    Path("tiny.alert").write_text(RULES.replace("fast: rpm above 2700", "fast: rpm above 2800"), encoding="utf-8")
    assert "stands in the way" in approved("add", "tiny.alert", "--replace").output
    _refused(approved, *APPROVE, code=1, says="tiny is not signed: error")
    Path("tiny.alert").write_text(RULES + "no: prove rpm above 1000 rpm is red\n", encoding="utf-8")
    added = approved("add", "tiny.alert", "--replace")
    assert added.exit_code == 0, added.output
    _refused(approved, *APPROVE, code=1, says="the claim no is refuted")


def test_not_on_the_word_of_a_file(approved: Run) -> None:
    """Errors taken out of entry.json by hand are found again."""
    Path("tiny.alert").write_text(RULES.replace("fast: rpm above 2700", "fast: rpm above 2800"), encoding="utf-8")
    assert approved("add", "tiny.alert", "--replace").exit_code == 0
    path = ENTRY / "entry.json"
    found = json.loads(path.read_text(encoding="utf-8"))
    found["findings"], found["claims"] = [], []
    path.write_bytes(store.canonical_json(found))
    _refused(approved, *APPROVE, code=1, says="the checks find something else than is pinned")


def test_not_what_has_changed(approved: Run) -> None:
    path = ENTRY / "files/tiny.alert"
    path.write_text(path.read_text(encoding="utf-8").replace("above 2700", "above 2690"), encoding="utf-8")
    _refused(approved, *APPROVE, code=1, says="tiny is not signed: files/tiny.alert is changed")


def test_not_with_an_exception_without_a_reason() -> None:
    """The language asks for a reason; should a file ever come without one, it is not approved."""
    accepted = {"check": "gap", "target": "rpm", "reason": "  ", "until": None, "file": "x.alert"}
    entry = Entry("x", 1, (), (), (), (accepted,), "1", "z3", None, ())
    assert open_points(entry) == ["the exception gap on rpm has no reason"]
    undecided = {"label": "c", "verdict": "undecided", "text": "", "assumptions": []}
    assert open_points(Entry("x", 1, (), (), (undecided,), (), "1", "z3", None, ())) == ["the claim c is undecided"]


# ---- keys


def test_keys_never_land_in_a_library(approved: Run) -> None:
    _refused(approved, "key", "new", "library/k.pem", says="is inside the library")
    _refused(approved, "key", "new", "library/entries/tiny/files/k.pem", says="is inside the library")
    os.symlink("library", "link")
    _refused(approved, "key", "new", "link/k.pem", says="is inside the library")
    shutil.copy("key.pem", "library/key.pem")
    _refused(approved, *[w if w != "key.pem" else "library/key.pem" for w in APPROVE], says="is inside a library")
    _refused(approved, "key", "trust", "key.pem", "--reviewer", "me", says="is a private key: give the public one")


def test_keys_that_cannot_be_used(approved: Run) -> None:
    _refused(approved, "key", "new", "key.pem", says="is there already")
    _refused(approved, *APPROVE[:3], "tiny.alert", *APPROVE[4:], says="holds no private key")
    _refused(approved, *APPROVE[:3], "nothing", *APPROVE[4:], says="cannot be read")
    assert approved("key", "new", "second.pem").exit_code == 0
    _refused(approved, *APPROVE[:3], "second.pem", *APPROVE[4:], says="does not know the key second.pem")
    _refused(approved, *APPROVE[:5], "somebody else", *APPROVE[6:], says="is that of chief inspector")
    _refused(approved, *APPROVE[:7], "2027-13-02", says="is not a date")
    assert Path("key.pem").stat().st_mode & 0o077 == 0


def test_a_key_with_a_passphrase(approved: Run) -> None:
    assert approved("key", "new", "locked.pem", "--passphrase", stdin="secret\nsecret\n").exit_code == 0
    assert b"ENCRYPTED" in Path("locked.pem").read_bytes()
    assert approved("key", "trust", "locked.pem.pub", "--reviewer", "second").exit_code == 0
    words = ["approve", "tiny", "--version", "1", "--key", "locked.pem", "--reviewer", "second", "--date", "2024-01-02"]
    _refused(approved, *words, says="the passphrase does not open the key", stdin="wrong\n")
    assert approved(*words, stdin="secret\n").exit_code == 0
    assert "2024-01-02" in approved("show", "tiny").output


def test_a_retired_key(approved: Run) -> None:
    retire = ["key", "retire", "chief inspector", "--reason", "laptop lost", "--date", "2024-03-01"]
    assert approved(*retire).exit_code == 0
    _refused(approved, *APPROVE[:7], "2024-03-02", says="was retired on 2024-03-01: laptop lost")
    result = approved("verify")
    said = " ".join(result.output.split())
    assert (result.exit_code, "holds, given with a key that was retired later" in said) == (0, True)
    assert "retired 2024-03-01: laptop lost" in approved("key", "list").output
    _refused(approved, *retire, says="is retired already")
    assert approved(*retire, "--compromised").exit_code == 0
    result = approved("verify")
    assert (result.exit_code, "compromised" in result.output) == (1, True)


def test_an_approval_dated_after_its_key_was_retired(approved: Run) -> None:
    retire = ["key", "retire", "chief inspector", "--reason", "left", "--date", "2024-01-01"]
    assert approved(*retire).exit_code == 0
    result = approved("verify")
    assert (result.exit_code, "the key was retired on 2024-01-01" in " ".join(result.output.split())) == (1, True)


def test_approving_twice_is_once(approved: Run) -> None:
    before = tree(Path("library"))
    result = approved(*APPROVE)
    assert (result.exit_code, "was approved already" in result.output) == (0, True)
    assert tree(Path("library")) == before


# ---- two at once, interrupted, read-only


def _approve(root: Path, key: Path, who: str) -> None:
    approve(root, "tiny", key, who, "2024-01-02", tool=__version__, version=1)


def test_two_who_approve_at_once(run: Run, tmp_path: Path) -> None:
    root = tmp_path / "library"
    add(Path("tiny.alert"), root, tool=__version__)
    work = []
    for who in ("first", "second"):
        new_key(tmp_path / who)
        trust(root, tmp_path / f"{who}.pub", who)
        work.append(multiprocessing.get_context("spawn").Process(target=_approve, args=(root, tmp_path / who, who)))
    for one in work:
        one.start()
    for one in work:
        one.join(60)
    assert [one.exitcode for one in work] == [0, 0]
    assert len(list((root / "entries/tiny/approvals").iterdir())) == 2
    assert not store.leftovers(root)
    shown = run("show", "tiny").output
    assert "approved by first and second, reviewers of the shop" in shown
    assert "\n  first on 2024-01-02, key " in shown
    assert "\n  second on 2024-01-02, key " in shown


def test_one_writer_at_a_time(approved: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(store, "PATIENCE", 0.1)
    with store.locked(Path("library")):
        _refused(approved, "add", "tiny.alert", "--replace", says="locked: another run is writing to it")
        _refused(approved, *APPROVE, says="wait until it ends")
    assert approved("add", "tiny.alert", "--replace").exit_code == 0


def test_a_lock_that_was_left_locks_nothing(approved: Run) -> None:
    Path("library/.lock").write_text("4194999\n", encoding="ascii")
    assert approved("add", "tiny.alert", "--replace").exit_code == 0
    assert "left by an interrupted run" not in approved("verify").output


@pytest.mark.parametrize("replace", [False, True])
def test_an_add_that_breaks_off(approved: Run, monkeypatch: pytest.MonkeyPatch, replace: bool) -> None:
    if not replace:
        Path("tiny.alert").write_text(RULES.replace('"tiny"', '"other"'), encoding="utf-8")
    before = tree(Path("library"))

    def broken(*_: object, **__: object) -> Entry:
        raise KeyboardInterrupt

    monkeypatch.setattr(adding, "pin", broken)
    with pytest.raises(KeyboardInterrupt):
        add(Path("tiny.alert"), Path("library"), tool=__version__, replace=replace)
    assert tree(Path("library")) == before


def test_an_add_that_is_killed_is_told(approved: Run) -> None:
    """As a kill between any two steps leaves it: what is there stays whole, what was begun is named."""
    script = (
        "import os\nfrom pathlib import Path\nfrom alertlang.library import adding\n"
        "adding.pin = lambda *a, **k: os._exit(9)\n"
        "adding.add(Path('other.alert'), Path('library'), tool='1')\n"
    )
    Path("other.alert").write_text(RULES.replace('"tiny"', '"other"'), encoding="utf-8")
    assert subprocess.run([sys.executable, "-c", script], check=False).returncode == 9
    result = approved("verify")
    said = " ".join(result.output.split())
    assert (result.exit_code, "1 of 1 entry as they should be" in said) == (0, True)
    assert "left by an interrupted run, or of one that is at work: entries/.other." in said
    assert "no entry other" in " ".join(approved("show", "other").stderr.split())


def test_a_replacement_killed_between_its_two_steps(approved: Run) -> None:
    ENTRY.rename(ENTRY.with_name(".tiny.old"))
    _refused(approved, "show", "tiny", says="a run that replaced it was interrupted: rename library/entries/.tiny.old")


def test_a_rename_that_fails_puts_the_old_entry_back(approved: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    real = os.rename

    def failing(source: Path, target: Path) -> None:
        if str(source).endswith(".new"):
            raise OSError(28, "No space left on device")
        real(source, target)

    monkeypatch.setattr("alertlang.library.store.os.rename", failing)
    _refused(approved, "add", "tiny.alert", "--replace", says="could not be written (no space left on device)")


def test_a_read_only_library() -> None:
    if os.geteuid() != 0:
        pytest.skip("run as root, which is what lets another user try")
    with tempfile.TemporaryDirectory() as folder:
        root = Path(folder)
        root.chmod(0o755)
        (root / "tiny.alert").write_text(RULES, encoding="utf-8")
        (root / "tiny-engine.profile").write_text(PROFILE, encoding="utf-8")
        add(root / "tiny.alert", root / "library", tool=__version__)
        before = tree(root)
        os.seteuid(65534)
        try:
            with pytest.raises(LibraryError, match=r"could not be written \(permission denied\): ask for permission"):
                add(root / "tiny.alert", root / "library", tool=__version__, replace=True)
            with pytest.raises(LibraryError, match=r"could not be written \(permission denied\)"):
                add(root / "tiny.alert", root / "another", tool=__version__)
        finally:
            os.seteuid(0)
        assert tree(root) == before


def test_a_key_of_another_kind(tmp_path: Path) -> None:
    from cryptography.hazmat.primitives.asymmetric.ec import SECP256R1, generate_private_key
    from cryptography.hazmat.primitives.serialization import Encoding, NoEncryption, PrivateFormat

    key = generate_private_key(SECP256R1())
    (tmp_path / "k").write_bytes(key.private_bytes(Encoding.PEM, PrivateFormat.PKCS8, NoEncryption()))
    with pytest.raises(ValueError, match="of another kind than Ed25519"):
        load_key(tmp_path / "k", tmp_path / "library")
