"""What `verify` says of an entry after each kind of change."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest
from typer.testing import CliRunner

from alertlang.cli.app import app
from alertlang.output.text import CAUTION
from tests.library.conftest import APPROVE, PROFILE, RULES, Run, tree

ENTRY = Path("library/entries/tiny")
FILE = ENTRY / "files/tiny.alert"


def _change(path: Path, before: str, after: str) -> None:
    text = path.read_text(encoding="utf-8")
    assert before in text
    path.write_text(text.replace(before, after), encoding="utf-8")


def _said(result: object) -> str:
    return " ".join(result.output.split())  # type: ignore[attr-defined]


def test_nothing_changed(approved: Run) -> None:
    before = tree(Path("library"))
    result = approved("verify")
    assert result.exit_code == 0, result.output
    assert "1 of 1 entry as they should be; 1 approved by a reviewer of the shop\n" in result.output
    assert "advises and does not certify" in result.output
    assert tree(Path("library")) == before


def test_one_threshold_by_one_step(approved: Run) -> None:
    _change(FILE, "fast: rpm above 2700", "fast: rpm above 2710")
    result = approved("verify")
    said = _said(result)
    assert result.exit_code == 1
    assert "- fast: rpm above 2700 rpm is red" in said
    assert "+ fast: rpm above 2710 rpm is red" in said
    assert "by meaning:" in said
    assert "no difference" not in said
    assert "approval by chief inspector, reviewer of the shop (2024-01-02): no longer covers it" in said
    data = json.loads(approved("verify", "--output", "json").stdout)
    state = data["entries"][0]
    assert (data["good"], state["approved"], state["meaning"]["same"]) == (False, False, False)
    assert state["meaning"]["less_strict"], "what was red at 2701 rpm is red no more"
    assert [one["status"] for one in state["approvals"]] == ["outdated"]


def test_comments_and_layout_do_not_count(approved: Run) -> None:
    _change(
        FILE,
        "# a comment\nok: rpm at most 2500 rpm is green",
        "# another\n\n\nok:   rpm at most   2500 rpm is green  # so",
    )
    result = approved("verify")
    assert result.exit_code == 0, result.output
    assert "layout or comments differ, which does not count" in _said(result)
    assert json.loads(approved("verify", "--output", "json").stdout)["entries"][0]["approved"] is True


def test_an_approval_survives_comments_that_are_added_anew(approved: Run) -> None:
    _change(Path("tiny.alert"), "# a comment", "# another")
    assert approved("add", "tiny.alert", "--replace").exit_code == 0
    result = approved("verify")
    assert (result.exit_code, "1 approved" in result.output) == (0, True), result.output


def test_an_approval_does_not_survive_another_number(approved: Run) -> None:
    _change(Path("tiny.alert"), "fast: rpm above 2700", "fast: rpm above 2690")
    assert approved("add", "tiny.alert", "--replace").exit_code == 0
    result = approved("verify")
    assert result.exit_code == 1
    assert "no longer covers it: since it was given: tiny.alert is another" in _said(result)


def test_a_hidden_change_with_bytes_digests_mended_is_seen(approved: Run) -> None:
    """The digest of the bytes is a short cut; it must not let anybody past what is signed."""
    import hashlib

    old = hashlib.sha256(FILE.read_bytes()).hexdigest()
    _change(FILE, "above 2700", "above 2750")
    new = hashlib.sha256(FILE.read_bytes()).hexdigest()
    _change(ENTRY / "entry.json", old, new)
    result = approved("verify")
    assert result.exit_code == 1, result.output
    assert "+ fast: rpm above 2750" in _said(result)


def test_a_profile_that_changed(approved: Run) -> None:
    _change(ENTRY / "files/tiny-engine.profile", "at most 2700", "at most 2600")
    result = approved("verify")
    assert result.exit_code == 1
    assert "files/tiny-engine.profile is changed" in _said(result)


@pytest.mark.parametrize("what", ["canonical", "raw"])
def test_a_hand_edited_digest(approved: Run, what: str) -> None:
    path = ENTRY / "entry.json"
    found = json.loads(path.read_text(encoding="utf-8"))
    found["files"][0][what] = "0" * 64
    path.write_text(json.dumps(found, indent=2, sort_keys=True) + "\n", encoding="utf-8")
    result = approved("verify")
    if what == "raw":
        # It counts for nothing: what is signed is what counts, and that is as it was.
        assert "layout or comments differ" in _said(result)
        return
    assert result.exit_code == 1
    assert "the digest of files/tiny.alert in entry.json is not that of the file" in _said(result)
    assert "1 approved" not in result.output


def test_an_entry_laid_out_by_hand(approved: Run) -> None:
    path = ENTRY / "entry.json"
    path.write_text(json.dumps(json.loads(path.read_text(encoding="utf-8"))), encoding="utf-8")
    result = approved("verify")
    assert (result.exit_code, "entry.json is not as it was written" in _said(result)) == (1, True)


def test_missing_files_and_files_that_do_not_belong(approved: Run) -> None:
    (ENTRY / "files/stray.profile").write_text(PROFILE, encoding="utf-8")
    assert "files/stray.profile is not pinned" in _said(approved("verify"))
    (ENTRY / "files/stray.profile").unlink()
    (ENTRY / "files/tiny-engine.profile").unlink()
    result = approved("verify")
    assert (result.exit_code, "files/tiny-engine.profile is missing" in _said(result)) == (1, True), result.output


def test_links_are_not_followed(approved: Run, tmp_path: Path) -> None:
    (tmp_path / "elsewhere").write_bytes(FILE.read_bytes())
    FILE.unlink()
    FILE.symlink_to(tmp_path / "elsewhere")
    result = approved("verify")
    assert (result.exit_code, "is a symbolic link" in _said(result)) == (1, True)


def test_an_unknown_key_is_an_error(approved: Run) -> None:
    for path in Path("library/reviewers").iterdir():
        path.unlink()
    result = approved("verify")
    assert (result.exit_code, "unknown key" in _said(result)) == (1, True)


def test_a_bad_signature(approved: Run) -> None:
    import base64
    import hashlib

    (path,) = (ENTRY / "approvals").iterdir()
    found = json.loads(path.read_text(encoding="utf-8"))
    payload = base64.b64decode(found["payload"]).replace(b"2024-01-02", b"2024-01-03")
    found["payload"] = base64.b64encode(payload).decode()
    data = (json.dumps(found, indent=2, sort_keys=True) + "\n").encode()
    path.unlink()
    (path.parent / f"{hashlib.sha256(data).hexdigest()}.json").write_bytes(data)
    result = approved("verify")
    assert (result.exit_code, "bad signature: it is not what chief inspector signed" in _said(result)) == (1, True)


def test_any_other_edit_of_an_approval_is_damage(approved: Run) -> None:
    (path,) = (ENTRY / "approvals").iterdir()
    path.write_bytes(path.read_bytes().replace(b"\n", b"\r\n"))
    result = approved("verify")
    assert (result.exit_code, "damaged" in result.output) == (1, True)


def test_an_approval_moved_to_another_entry_does_not_hold(approved: Run) -> None:
    Path("other.alert").write_text(RULES.replace('"tiny"', '"other"'), encoding="utf-8")
    assert approved("add", "other.alert").exit_code == 0
    (path,) = (ENTRY / "approvals").iterdir()
    (Path("library/entries/other/approvals") / path.name).write_bytes(path.read_bytes())
    result = approved("verify", "other")
    assert (result.exit_code, "it is about the entry tiny" in _said(result)) == (1, True)


def test_recheck_finds_what_is_no_longer_found(approved: Run) -> None:
    result = approved("verify", "--recheck")
    assert (result.exit_code, "checked again" in _said(result)) == (0, True), result.output
    _change(ENTRY / "entry.json", '"verdict": "proved"', '"verdict": "refuted"')
    result = approved("verify", "--recheck")
    assert result.exit_code == 1
    assert "the claim loud is proved, and was refuted" in _said(result)


def test_recheck_of_two_entries_on_all_cores(approved: Run) -> None:
    Path("other.alert").write_text(RULES.replace('"tiny"', '"other"'), encoding="utf-8")
    assert approved("add", "other.alert").exit_code == 0
    result = approved("verify", "--recheck")
    assert (
        result.exit_code,
        "2 of 2 entries as they should be; 1 approved by a reviewer of the shop; checked again" in _said(result),
    ) == (0, True)
    assert approved("verify", "--require-approval", "1").exit_code == 1


def test_an_exception_that_ended(run: Run) -> None:
    Path("tiny.alert").write_text(
        RULES.replace('"OVERSPEED"', '"OVERSPEED" latched')
        + 'accept lingering-alert on fast because "it must be seen" until 2024-06-30\n',
        encoding="utf-8",
    )
    assert run("add", "tiny.alert", "--today", "2024-01-01").exit_code == 0
    assert run("verify", "--today", "2024-06-30").exit_code == 0
    result = run("verify", "--today", "2024-07-01")
    assert (result.exit_code, "ended on 2024-06-30" in _said(result)) == (1, True)


def test_what_list_and_show_say(approved: Run) -> None:
    listed = approved("list").output
    assert "tiny  1 " in listed
    assert listed.endswith(" none      approved by chief inspector, reviewer of the shop\n")
    shown = _said(approved("show", "tiny"))
    assert "review: approved by chief inspector, reviewer of the shop chief inspector on 2024-01-02, key " in shown
    assert "proved: loud" in shown
    data = json.loads(approved("show", "tiny", "--output", "json").stdout)
    assert [one["file"] for one in data["entry"]["files"]] == ["tiny.alert", "tiny-engine.profile"]


def test_approved_is_never_said_without_the_shop(approved: Run) -> None:
    """It could be taken for the word of an authority, of which only the caution speaks."""
    words = APPROVE
    said = [approved(*words), approved("list"), approved("show", "tiny"), approved("verify")]
    said += [approved("add", "tiny.alert", "--library", "new"), approved("list", "--library", "new")]
    said.append(approved("verify", "--library", "new", "--require-approval", "1"))
    _change(FILE, "fast: rpm above 2700", "fast: rpm above 2710")
    said += [approved("list"), approved("show", "tiny"), approved("verify"), approved(*words)]
    texts = [_said(one).replace(CAUTION, "") for one in said]
    by = re.compile(r"approv(ed|ed already|ed as it is|al) by ((a |chief inspector, )reviewer of )?the shop\b")
    assert sum(len(by.findall(one)) for one in texts) > 10
    for one in texts:
        assert "approv" not in by.sub("", one), one


@pytest.mark.parametrize("trusted", [True, False])
def test_the_report_says_whose_word_an_approval_is(approved: Run, trusted: bool) -> None:
    if not trusted:
        for key in Path("library/reviewers").iterdir():
            key.unlink()
    (path,) = (ENTRY / "approvals").iterdir()
    result = CliRunner().invoke(app, ["report", "tiny.alert", "-o", "r.html", "--library", "library"])
    assert result.exit_code == 0, result.output
    (said,) = re.findall(
        "<h2>Approvals by reviewers of the shop</h2>\n<ul><li>(.*?)</li></ul>", Path("r.html").read_text("utf-8")
    )
    if trusted:
        assert said == "chief inspector, reviewer of the shop (2024-01-02): holds"
    else:
        assert said.startswith(f"nobody known ({path.name}): unknown key")


def test_the_same_bytes_every_time(run: Run) -> None:
    for folder in ("one", "two"):
        assert run("add", "tiny.alert", "--library", folder).exit_code == 0
    assert tree(Path("one")) == tree(Path("two"))
    assert str(Path.cwd()) not in Path("one/entries/tiny/entry.json").read_text(encoding="utf-8")
