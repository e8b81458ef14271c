"""Somebody who can write to the library, a careless colleague, a full disk: what is noticed, refused, or shown."""

from __future__ import annotations

import errno
import hashlib
import json
import os
from collections.abc import Iterator
from pathlib import Path

import pytest

import alertlang
from alertlang.library import keys, store
from alertlang.library.errors import LibraryError
from tests.library.conftest import RULES, Run, tree

ENTRY = Path("library/entries/tiny")
FILE = ENTRY / "files/tiny.alert"
ENTRY_FILE = ENTRY / "entry.json"
SIGN = ["approve", "tiny", "--key", "key.pem", "--reviewer", "chief inspector", "--date", "2024-01-02"]


def _said(result: object) -> str:
    return " ".join(result.output.split())  # type: ignore[attr-defined]


def _edit(path: Path, before: str, after: str) -> None:
    text = path.read_text(encoding="utf-8")
    assert before in text
    path.write_text(text.replace(before, after), encoding="utf-8")


@pytest.fixture
def added(run: Run) -> Run:
    """An entry, a trusted reviewer, and no approval."""
    for words in (
        ["add", "tiny.alert"],
        ["key", "new", "key.pem"],
        ["key", "trust", "key.pem.pub", "--reviewer", "chief inspector"],
    ):
        assert run(*words).exit_code == 0
    return run


# ---- what is signed


def test_a_file_and_its_digest_edited_together_are_not_signed(added: Run) -> None:
    """One signature would cover two rule sets: the one shown, and the one pinned."""
    old = hashlib.sha256(FILE.read_bytes()).hexdigest()
    _edit(FILE, "fast: rpm above 2700", "fast: rpm above 2750")
    _edit(ENTRY_FILE, old, hashlib.sha256(FILE.read_bytes()).hexdigest())
    verified = added("verify")
    assert verified.exit_code == 1, verified.output
    assert "+ fast: rpm above 2750" in verified.output
    result = added(*SIGN, "--version", "1")
    assert (result.exit_code, "files/tiny.alert is changed" in _said(result)) == (1, True), result.output
    assert not list((ENTRY / "approvals").iterdir())


def test_nothing_is_built_on_such_an_entry(added: Run) -> None:
    old = hashlib.sha256(FILE.read_bytes()).hexdigest()
    _edit(FILE, "fast: rpm above 2700", "fast: rpm above 2750")
    _edit(ENTRY_FILE, old, hashlib.sha256(FILE.read_bytes()).hexdigest())
    result = added("derive", "tiny", "other.alert")
    assert (result.exit_code, "is not as it was pinned" in _said(result)) == (2, True)


@pytest.mark.parametrize(
    ("field", "value"), [("version", 7), ("base", ["elder"]), ("accepted", None), ("files", None), ("kind", None)]
)
def test_what_the_entry_says_of_its_rules_is_held_against_them(added: Run, field: str, value: object) -> None:
    found = json.loads(ENTRY_FILE.read_text(encoding="utf-8"))
    if field == "accepted":
        value = [{"check": "gap", "target": "rpm", "reason": "so", "until": None, "file": "tiny.alert"}]
    if field == "files":
        found["files"][1]["version"] = 9
    elif field == "kind":
        found["files"][1]["name"] = "another-engine"
    else:
        found[field] = value
    ENTRY_FILE.write_bytes(store.canonical_json(found))
    verified = added("verify")
    assert verified.exit_code == 1, verified.output
    assert "is not what the rules say: it was edited by hand" in _said(verified)
    result = added(*SIGN, "--version", "7" if field == "version" else "1")
    assert (result.exit_code, list((ENTRY / "approvals").iterdir())) == (1, [])


def test_unsigned_comments_still_do_not_count(added: Run) -> None:
    _edit(FILE, "# a comment", "# another")
    result = added("verify")
    assert (result.exit_code, "which does not count" in _said(result)) == (0, True), result.output


# ---- degenerate keys

_P = 2**255 - 19
_LOW_ORDER = [
    bytes.fromhex(one)
    for one in (
        # The eight points whose order divides the cofactor (RFC 7748 section 6.1 names the danger), and the ways to
        # write some of them with y not reduced or with the sign of x = 0 set.
        "0100000000000000000000000000000000000000000000000000000000000000",
        "ecffffffffffffffffffffffffffffffffffffffffffffffffffffffffffff7f",
        "0000000000000000000000000000000000000000000000000000000000000000",
        "0000000000000000000000000000000000000000000000000000000000000080",
        "26e8958fc2b227b045c3f489f2ef98f0d5dfac05d3c63339b13802886d53fc05",
        "26e8958fc2b227b045c3f489f2ef98f0d5dfac05d3c63339b13802886d53fc85",
        "c7176a703d4dd84fba3c0b760d10670f2a2053fa2c39ccc64ec7fd7792ac037a",
        "c7176a703d4dd84fba3c0b760d10670f2a2053fa2c39ccc64ec7fd7792ac03fa",
        "0100000000000000000000000000000000000000000000000000000000000080",
        "ecffffffffffffffffffffffffffffffffffffffffffffffffffffffffffffff",
        "edffffffffffffffffffffffffffffffffffffffffffffffffffffffffffff7f",
        "eeffffffffffffffffffffffffffffffffffffffffffffffffffffffffffff7f",
    )
]


def _add(a: tuple[int, int], b: tuple[int, int]) -> tuple[int, int]:
    """The sum of two points of the curve of RFC 8032 section 5.1, told here by itself."""
    d = -121665 * pow(121666, -1, _P)
    product = d * a[0] * b[0] * a[1] * b[1]
    x = (a[0] * b[1] + b[0] * a[1]) * pow(1 + product, -1, _P)
    y = (a[1] * b[1] + a[0] * b[0]) * pow(1 - product, -1, _P)
    return x % _P, y % _P


def _mixed_order() -> bytes:
    """The base point plus the point of order two, (0, -1)."""
    y = 4 * pow(5, -1, _P) % _P
    x = 15112221349535400772501151409588531511454012693041857206046113283949847762202
    x, y = _add((x, y), (0, _P - 1))
    return (y | (x & 1) << 255).to_bytes(32, "little")


@pytest.mark.parametrize("raw", [*_LOW_ORDER, _mixed_order(), (2).to_bytes(32, "little")], ids=bytes.hex)
def test_a_key_that_nobody_can_hold(added: Run, raw: bytes) -> None:
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PublicKey
    from cryptography.hazmat.primitives.serialization import Encoding, PublicFormat

    pem = Ed25519PublicKey.from_public_bytes(raw).public_bytes(Encoding.PEM, PublicFormat.SubjectPublicKeyInfo)
    Path("odd.pub").write_bytes(pem)
    before = tree(Path("library"))
    result = added("key", "trust", "odd.pub", "--reviewer", "second")
    assert (result.exit_code, "a key that nobody can hold" in _said(result)) == (2, True), result.output
    assert tree(Path("library")) == before
    # Put there by hand, it is no reviewer's either.
    Path("library/reviewers/odd.pub").write_bytes(b"Reviewer: second\n" + pem)
    verified = added("verify")
    assert (verified.exit_code, "a key that nobody can hold" in _said(verified)) == (1, True), verified.output


# ---- nothing signed unseen


def test_what_is_signed_is_shown(added: Run) -> None:
    result = added(*SIGN)
    said = _said(result)
    assert (result.exit_code, "tiny is not signed unseen" in said) == (1, True), result.output
    entry = json.loads(added("show", "tiny", "--output", "json").stdout)["entry"]
    for part in ("to be signed: tiny version 1", entry["digest"], "findings: none", "exceptions: none", "proved: loud"):
        assert part in said, part
    assert not list((ENTRY / "approvals").iterdir())


def test_the_digest_and_the_version_are_held_against_what_is_there(added: Run) -> None:
    digest = json.loads(added("show", "tiny", "--output", "json").stdout)["entry"]["digest"]
    wrong = digest[:8] + ("0" if digest[8] != "0" else "1")
    for words, code in (
        (["--digest", wrong], 1),
        (["--version", "2"], 1),
        (["--digest", digest[:8], "--version", "2"], 1),
        (["--digest", digest[:7]], 2),
        (["--digest", "nonsense!"], 2),
    ):
        assert added(*SIGN, *words).exit_code == code, words
        assert not list((ENTRY / "approvals").iterdir()), words
    assert added(*SIGN, "--digest", digest[:8].upper()).exit_code == 0
    with pytest.raises(alertlang.LibraryError, match="unseen"):
        alertlang.approve_entry("library", "tiny", "key.pem", "chief inspector", "2024-01-02")


@pytest.mark.parametrize(("answer", "code"), [("y\n", 0), ("n\n", 1)])
def test_on_a_terminal_it_asks(added: Run, monkeypatch: pytest.MonkeyPatch, answer: str, code: int) -> None:
    monkeypatch.setattr("alertlang.cli.library.at_a_terminal", lambda: True)
    result = added(*SIGN, stdin=answer)
    assert result.exit_code == code, result.output
    assert "sign this?" in result.output
    assert len(list((ENTRY / "approvals").iterdir())) == (1 - code)


def test_what_changed_since_the_last_approval(approved: Run) -> None:
    _edit(Path("tiny.alert"), "version 1", "version 2")
    _edit(Path("tiny.alert"), "2700", "2690")
    assert approved("add", "tiny.alert", "--replace").exit_code == 0
    # Replaced once more, by what nobody approved: what the last approval was about is still kept.
    _edit(Path("tiny.alert"), "2690", "2680")
    assert approved("add", "tiny.alert", "--replace").exit_code == 0
    result = approved(*SIGN, "--version", "2")
    said = _said(result)
    assert result.exit_code == 0, result.output
    assert "since version 1 was approved" in said
    assert "- fast: rpm above 2700 rpm is red" in said
    assert "+ fast: rpm above 2680 rpm is red" in said
    assert "by meaning: 3 stricter" in said
    assert "approved as it is by chief inspector, reviewer of the shop" in _said(approved(*SIGN, "--version", "2"))
    assert approved("verify").exit_code == 0


def test_what_is_kept_of_the_last_approval_is_held_against_it(approved: Run) -> None:
    _edit(Path("tiny.alert"), "fast: rpm above 2700", "fast: rpm above 2690")
    assert approved("add", "tiny.alert", "--replace").exit_code == 0
    kept = ENTRY / "approved/tiny.alert"
    assert "rpm above 2700 rpm is red" in kept.read_text(encoding="utf-8")
    _edit(kept, "2700", "2690")
    result = approved("verify")
    assert (result.exit_code, "approved/tiny.alert is not as it was kept" in _said(result)) == (1, True)
    assert approved(*SIGN, "--version", "1").exit_code == 1
    # Edited with its digest: no approval was about that, so nothing is said of it.
    found = json.loads((ENTRY / "approved/entry.json").read_text(encoding="utf-8"))
    next(one for one in found["files"] if one["file"] == "tiny.alert")["canonical"] = hashlib.sha256(
        kept.read_bytes()
    ).hexdigest()
    (ENTRY / "approved/entry.json").write_bytes(store.canonical_json(found))
    result = approved(*SIGN, "--version", "1")
    assert "nothing is kept of an earlier approval" in _said(result)


def test_a_review_record_claims_no_approval_of_other_rules(approved: Run) -> None:
    def approvals(path: str) -> str:
        made = alertlang.review_record(alertlang.load(path), library="library").data.decode("utf-8")
        return made[made.index("reviewer of the shop (2024-01-02)") :][:120]

    assert "(2024-01-02): holds" in approvals("tiny.alert")
    _edit(Path("tiny.alert"), "fast: rpm above 2700", "fast: rpm above 2690")
    assert "(2024-01-02): about other rules of this name" in approvals("tiny.alert")


def test_a_profile_that_bears_the_name_of_a_shipped_one(run: Run) -> None:
    shipped = alertlang.profile_names()["electrical-14v"].read_text(encoding="utf-8")
    rules = 'rules "osier" version 1\nuse profile "electrical-14v"\n'
    Path("osier.alert").write_text(rules, encoding="utf-8")
    for change, found in (
        (("volts at most 15.5 V", "volts at most 16.5 V"), True),
        (("version 1", "version 2"), False),
        (("# Every figure", "# Each figure"), False),
        (("volts at most", "volts   at most"), False),
    ):
        Path("electrical-14v.profile").write_text(shipped.replace(*change), encoding="utf-8")
        said = [
            one.message for one in alertlang.load("osier.alert").check().findings if one.code.name == "altered-copy"
        ]
        assert bool(said) is found, change
    Path("electrical-14v.profile").write_text(
        shipped.replace("volts at most 15.5 V", "volts at most 16.5 V"), encoding="utf-8"
    )
    part = 'the profile "electrical-14v" version 1 is not the shipped one of that name and version: '
    part += "here volts_high_limit: "
    part += (
        "limit volts at most 16.5 V, needs warning, source TRADE; shipped volts_high_limit: limit volts at most 15.5 V"
    )
    for words in (["add", "osier.alert"], ["show", "osier"]):
        assert f"warning altered-copy: {part}" in _said(run(*words)), words
    record = alertlang.review_record(alertlang.load("osier.alert")).data.decode("utf-8")
    assert "altered-copy" in record
    own = [one.message for one in alertlang.load("electrical-14v.profile").check().findings]
    assert any(one.startswith(part) for one in own)


@pytest.mark.parametrize("name", alertlang.profile_names())
def test_each_shipped_profile_is_known_by_its_header(name: str) -> None:
    from dataclasses import replace

    from alertlang.model.load import load_ruleset
    from alertlang.model.sources import shipped_as

    loaded = load_ruleset(alertlang.profile_names()[name]).ruleset
    assert loaded is not None
    assert shipped_as(loaded.origin) is None
    assert shipped_as(replace(loaded.origin, sha256="another")) is not None


# ---- how many reviewers, and what was there before


def _second(run: Run, name: str = "second", *more: str) -> None:
    assert run("key", "new", f"{name}.pem").exit_code == 0
    assert (
        run("key", "trust", f"{name}.pem.pub", "--reviewer", "chief inspector" if more else name, *more).exit_code == 0
    )
    who = "chief inspector" if more else name
    words = ["approve", "tiny", "--key", f"{name}.pem", "--reviewer", who, "--date", "2024-01-03", "--version", "1"]
    assert run(*words).exit_code == 0


def test_two_reviewers_are_two_people(approved: Run) -> None:
    assert approved("verify", "--require-approval", "1").exit_code == 0
    result = approved("verify", "--require-approval", "2")
    assert (result.exit_code, "only approved by chief inspector" in _said(result)) == (1, True), result.output
    _second(approved, "mine-too", "--another")
    assert approved("verify", "--require-approval", "2").exit_code == 1, "the same person with another key"
    _second(approved)
    assert approved("verify", "--require-approval", "2").exit_code == 0


def test_the_library_itself_may_ask_for_more(approved: Run) -> None:
    marker = Path("library/library.json")
    found = json.loads(marker.read_text(encoding="utf-8"))
    marker.write_bytes(store.canonical_json({**found, "approvals": 2}))
    assert approved("verify").exit_code == 1
    assert approved("verify", "--require-approval", "1").exit_code == 1, "what the library asks for is not lowered"
    _second(approved)
    assert approved("verify").exit_code == 0
    for wrong in (-1, "two", True, 1.5):
        marker.write_bytes(store.canonical_json({**found, "approvals": wrong}))
        result = approved("verify")
        assert (result.exit_code, 'write a number, as in "approvals": 2' in _said(result)) == (2, True), wrong


def test_what_is_gone_since(approved: Run) -> None:
    _second(approved)
    other = RULES.replace('"tiny"', '"other"').replace("version 1\nuse", "version 2\nuse")
    Path("other.alert").write_text(other, encoding="utf-8")
    assert approved("add", "other.alert").exit_code == 0
    assert (
        approved("key", "retire", "second", "--reason", "lost", "--date", "2024-02-01", "--compromised").exit_code == 0
    )
    Path("before.json").write_text(approved("list", "--output", "json").stdout, encoding="utf-8")

    def expected() -> str:
        result = approved("verify", "--expect", "before.json")
        said = json.loads(approved("verify", "--expect", "before.json", "--output", "json").stdout)["problems"]
        assert result.exit_code in ({1} if said else {0, 1}), result.output
        assert all(one in _said(result) for one in said)
        return " ".join(said)

    assert expected() == ""
    pub = next(one for one in Path("library/reviewers").iterdir() if b"second" in one.read_bytes())
    kept = pub.read_bytes()
    pub.write_bytes(kept.replace(b"Compromised: 2024-02-01\nReason: lost\n", b""))
    assert "of second was called compromised, and is no more" in expected()
    pub.unlink()
    assert "of second is gone" in expected()
    pub.write_bytes(kept)
    approval = sorted((ENTRY / "approvals").iterdir())[0]
    kept = approval.read_bytes()
    approval.unlink()
    assert "an approval of tiny by" in expected()
    approval.write_bytes(kept)
    assert expected() == ""
    Path("other.alert").write_text(other.replace("version 2", "version 1"), encoding="utf-8")
    assert approved("add", "other.alert", "--replace").exit_code == 0
    assert "other went back from version 2 to version 1" in expected()
    Path("other.alert").write_text(other.replace("2500", "2490"), encoding="utf-8")
    assert approved("add", "other.alert", "--replace").exit_code == 0
    assert "the rules of other are others than they were, and its version is 2 as before" in expected()
    import shutil

    shutil.rmtree("library/entries/other")
    assert "the entry other is gone" in expected()
    # Also where only some are looked at.
    assert "the entry other is gone" in _said(approved("verify", "tiny", "--expect", "before.json"))


@pytest.mark.parametrize("text", ["", "[]", "{}", '{"entries": 3, "keys": []}', '{"entries": [{}], "keys": []}'])
def test_an_expectation_that_is_none(approved: Run, text: str) -> None:
    Path("before.json").write_text(text, encoding="utf-8")
    result = approved("verify", "--expect", "before.json")
    assert (result.exit_code, "does not say what a library held" in _said(result)) == (2, True)
    assert approved("verify", "--expect", "nowhere.json").exit_code == 2


# ---- damage


def test_a_damaged_reviewer_takes_nobody_else_along(approved: Run) -> None:
    _second(approved)
    pub = next(one for one in Path("library/reviewers").iterdir() if b"second" in one.read_bytes())
    pub.write_bytes(b"Reviewer: second\nrubbish\n")
    result = approved("verify")
    said = _said(result)
    assert result.exit_code == 1
    assert "is damaged at: rubbish; who may sign with it is not known" in said
    assert "unknown key" in said
    state = json.loads(approved("verify", "--output", "json").stdout)["entries"][0]
    assert sorted(one["status"] for one in state["approvals"]) == ["holds", "unknown key"]
    for words in (["key", "list"], ["key", "retire", "chief inspector", "--reason", "x"], [*SIGN, "--version", "1"]):
        assert approved(*words).exit_code == 2, words


def test_a_full_disk_leaves_nothing_behind(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    real = os.fsync
    for at in range(40):
        left = [at]

        def full(descriptor: int, left: list[int] = left) -> None:
            left[0] -= 1
            if left[0] < 0:
                raise OSError(errno.ENOSPC, "No space left on device")
            real(descriptor)

        monkeypatch.setattr(os, "fsync", full)
        result = run("add", "tiny.alert")
        monkeypatch.setattr(os, "fsync", real)
        if result.exit_code == 0:
            assert at > 3
            return
        assert (result.exit_code, "no space left on device" in _said(result)) == (2, True), result.output
        assert not Path("library").exists(), sorted(Path("library").rglob("*"))
    pytest.fail("it never ended")


def _broken_at(monkeypatch: pytest.MonkeyPatch, problem: BaseException) -> Iterator[int]:
    """Each step at which the disk can break while a key is made."""
    for at in range(30):
        left = [at]
        with monkeypatch.context() as patched:
            for name in ("open", "fsync", "link", "unlink"):

                def step(*words: object, real=getattr(os, name), left=left, **named: object) -> object:  # type: ignore[no-untyped-def]  # noqa: B008
                    left[0] -= 1
                    if left[0] == -1:
                        raise problem
                    return real(*words, **named)

                patched.setattr(os, name, step)
            try:
                keys.new_key(Path("k"))
            except (LibraryError, KeyboardInterrupt):
                yield at
            else:
                if left[0] >= 0:
                    return
                yield at
        for one in (Path("k"), Path("k.pub")):
            one.unlink(missing_ok=True)


@pytest.mark.parametrize("problem", [OSError(errno.ENOSPC, "full"), KeyboardInterrupt()], ids=["full", "interrupted"])
def test_no_private_key_without_its_public_one(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, problem: BaseException
) -> None:
    monkeypatch.chdir(tmp_path)
    count = 0
    for at in _broken_at(monkeypatch, problem):
        assert Path("k.pub").exists() or not Path("k").exists(), at
        count += 1
    assert count > 4
    for one in Path().iterdir():
        one.unlink()
    keys.new_key(Path("k"))
    assert (Path("k").stat().st_mode & 0o777, Path("k.pub").exists()) == (0o600, True)
    with pytest.raises(LibraryError, match="is there already"):
        keys.new_key(Path("k"))


def test_a_key_on_a_file_system_without_links(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def no_links(*_: object, **__: object) -> None:
        raise OSError(errno.EPERM, "Operation not permitted")

    monkeypatch.setattr(os, "link", no_links)
    keys.new_key(tmp_path / "k")
    assert sorted(one.name for one in tmp_path.iterdir()) == ["k", "k.pub"]
