"""`prove --evidence` and `prove --second-solver` from the command line."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

from alertlang.cli.app import app
from alertlang.logic.second import SecondSolver
from alertlang.text.resources import examples_dir
from tests.helpers.evidence_files import read_evidence, wrong

BRAMBLE = examples_dir() / "02-bramble" / "bramble.alert"
FLAWED = examples_dir() / "02-bramble" / "mistakes" / "unguarded-limit.alert"


def prove(*words: str | Path, stdin: str | None = None) -> Result:
    return CliRunner().invoke(app, ["prove", *map(str, words)], input=stdin)


def said(result: Result) -> str:
    return " ".join(result.stdout.split())


def complaint(result: Result) -> str:
    return " ".join(result.stderr.split())


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    return tmp_path


def lies(monkeypatch: pytest.MonkeyPatch, part: str, instead: str) -> None:
    """The second solver says something given to scripts with a certain part."""
    truly = SecondSolver.answer
    monkeypatch.setattr(SecondSolver, "answer", lambda self, text: instead if part in text else truly(self, text))


# ---- the evidence


def test_evidence_is_written_beside_the_verdicts(folder: Path) -> None:
    plain = prove(BRAMBLE)
    result = prove(BRAMBLE, "--evidence", "proof.smt2")
    assert result.exit_code == 0
    text = (folder / "proof.smt2").read_text("utf-8")
    _, questions = read_evidence(text)
    assert wrong(questions) == []
    line = f"evidence with {len(questions)} questions: proof.smt2\n"
    assert line in result.stdout
    assert result.stdout.replace(line, "") == plain.stdout
    assert [path.name for path in folder.iterdir()] == ["proof.smt2"]


def test_the_same_bytes_over_an_old_one(folder: Path) -> None:
    path = folder / "proof.smt2"
    prove(BRAMBLE, "--evidence", path)
    first = path.read_bytes()
    prove(BRAMBLE, "--evidence", path, "--output", "json")
    assert path.read_bytes() == first
    path.write_bytes(b"old\n" * 100_000)
    prove(BRAMBLE, "--evidence", path, "--output", "json", "--force")
    assert path.read_bytes() == first


def test_a_refuted_claim_still_gives_evidence(folder: Path) -> None:
    assert prove(FLAWED, "--evidence", "proof.smt2").exit_code == 1
    head, questions = read_evidence((folder / "proof.smt2").read_text("utf-8"))
    assert "refuted: warm (question" in head
    assert wrong(questions) == []


def test_standard_input_is_hashed_too(folder: Path) -> None:
    text = FLAWED.read_text("utf-8")
    result = prove("-", "--path", FLAWED.parent.parent, "--evidence", "proof.smt2", stdin=text)
    assert result.exit_code == 1
    head, _ = read_evidence((folder / "proof.smt2").read_text("utf-8"))
    from hashlib import sha256

    assert f"<standard input> {sha256(text.encode()).hexdigest()}" in head


@pytest.mark.parametrize(
    ("where", "why"),
    [
        ("absent/proof.smt2", "there is no such folder"),
        ("kept", "this is a folder"),
        ("kept/old.smt2/proof.smt2", "there is no such folder"),
        ("rules.alert", "this names a file of rules"),
        ("new.profile", "this names a file of rules"),
        ("link", "this names a file of rules"),
        ("/dev/null", "this is not a plain file"),
    ],
)
def test_a_path_that_cannot_be_used_is_said_at_once(folder: Path, where: str, why: str) -> None:
    (folder / "kept").mkdir()
    (folder / "kept" / "old.smt2").write_text("old", "utf-8")
    text = 'rules "x" version 1\nquantity rpm from 0 to 9 rpm\nrpm below 10 is green\nprove rpm above 2 is green\n'
    (folder / "rules.alert").write_text(text, "utf-8")
    (folder / "link").symlink_to("rules.alert")
    before = sorted(path.name for path in folder.rglob("*"))
    result = prove("rules.alert", "--evidence", where)
    assert result.exit_code == 2
    assert result.stdout == ""
    assert why in complaint(result)
    assert "--evidence" in complaint(result)
    assert (folder / "rules.alert").read_text("utf-8") == text
    assert sorted(path.name for path in folder.rglob("*")) == before


@pytest.mark.parametrize("output", ["text", "json"])
def test_a_write_that_fails_leaves_the_old_one(folder: Path, monkeypatch: pytest.MonkeyPatch, output: str) -> None:
    path = folder / "proof.smt2"
    path.write_text("old", "utf-8")

    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("os.fsync", full)
    result = prove(BRAMBLE, "--evidence", path, "--output", output, "--force")
    assert result.exit_code == 2
    assert f"the evidence was not written: {path}: no space left on device" in complaint(result)
    assert '"evidence"' not in result.stdout
    assert "evidence with" not in result.stdout
    assert path.read_text("utf-8") == "old"
    assert [one.name for one in folder.iterdir()] == ["proof.smt2"]


def test_rules_that_cannot_be_read_give_no_evidence(folder: Path) -> None:
    (folder / "x.alert").write_text('rules "x" version 1\nrpm is high\n', "utf-8")
    (folder / "proof.smt2").write_text("old", "utf-8")
    result = prove("x.alert", "--evidence", "proof.smt2", "--second-solver", "--force")
    assert result.exit_code == 2
    assert "the evidence was not written, for the file could not be read" in complaint(result)
    assert "confirmed" not in result.stdout
    assert (folder / "proof.smt2").read_text("utf-8") == "old"


def test_evidence_is_about_one_file(folder: Path) -> None:
    result = prove(BRAMBLE, FLAWED, "--evidence", "proof.smt2")
    assert result.exit_code == 2
    assert "evidence is about one rule file" in complaint(result)
    assert list(folder.iterdir()) == []


@pytest.mark.parametrize("given", [["--certificate", "proof.smt2"], ["--certificate=proof.smt2"]])
def test_the_old_name_is_refused_with_the_new_one(folder: Path, given: list[str]) -> None:
    result = prove(BRAMBLE, *given)
    assert (result.exit_code, result.stdout) == (2, "")
    assert result.exception is None or isinstance(result.exception, SystemExit)
    assert result.stderr.splitlines()[-1] == "Error: Invalid value for --certificate: it is called --evidence FILE now"
    assert list(folder.iterdir()) == []
    assert "--certificate" not in prove("--help").stdout


# ---- the second solver


def test_the_second_solver_counts_what_it_confirms() -> None:
    result = prove(BRAMBLE, FLAWED, "--second-solver")
    assert result.exit_code == 1
    alone = prove(BRAMBLE, "--second-solver")
    assert alone.exit_code == 0
    count = json.loads(prove(BRAMBLE, "--second-solver", "--output", "json").stdout)["second_solver"]["questions"]
    assert count >= 16
    assert f"{count} of {count} questions confirmed by cvc5 " in said(alone)
    assert f"{count} of {count} questions confirmed by cvc5 " in said(result)
    assert said(result).count("questions confirmed by cvc5") == 2


def test_a_disagreement_ends_with_1_and_names_the_question(monkeypatch: pytest.MonkeyPatch, folder: Path) -> None:
    # Of all questions only the proof of `landing_flaps` reads 85 kt and is not satisfiable.
    result = prove(BRAMBLE, "--evidence", "proof.smt2")
    _, questions = read_evidence((folder / "proof.smt2").read_text("utf-8"))
    [proof] = [one for one in questions if one.about == "claim landing_flaps" and "and yet" in one.said]
    assert proof.status == "unsat"
    lies(monkeypatch, proof.script.splitlines()[-2], "sat")
    result = prove(BRAMBLE, "--second-solver", "--evidence", "proof.smt2")
    assert result.exit_code == 1
    assert f"error: the solvers disagree on question {proof.number} (claim landing_flaps): z3" in said(result)
    assert "says unsat, cvc5" in said(result)
    assert "some possible state is in the case of the claim, and yet airspeed does not show red alone" in said(result)
    assert "trust no verdict here" in said(result)
    assert "undecided landing_flaps" in said(result)
    assert "disagree on question" in said(result)
    assert "9 of 10 claims proved" in said(result)
    assert "undecided: landing_flaps" in read_evidence((folder / "proof.smt2").read_text("utf-8"))[0]


def test_a_disagreement_in_json(monkeypatch: pytest.MonkeyPatch) -> None:
    lies(monkeypatch, "(< |oil_temp| 75.0)", "sat")
    result = prove(BRAMBLE, "--second-solver", "--output", "json")
    assert result.exit_code == 1
    report = json.loads(result.stdout)
    verdicts = {claim["label"]: claim["verdict"] for claim in report["claims"]}
    assert verdicts["warm"] == "undecided"
    assert verdicts["hot_cylinders"] == "proved"
    second = report["second_solver"]
    assert second["confirmed"] == second["questions"] - len(second["disagreements"])
    assert {one["about"] for one in second["disagreements"]} >= {"claim warm"}
    assert second["disagreements"][0].keys() == {"question", "about", "asks", "answer", "second"}
    assert {(one["answer"], one["second"]) for one in second["disagreements"]} == {("unsat", "sat")}


def test_no_answer_is_no_confirmation_and_no_pass(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(SecondSolver, "answer", lambda *_: "unknown (RESOURCEOUT)")
    result = prove(BRAMBLE, "--second-solver")
    assert result.exit_code == 1
    assert "10 of 10 claims proved" in said(result)
    assert "not confirmed: question 1 (claim warm): cvc5" in said(result)
    assert "says unknown (RESOURCEOUT)" in said(result)
    assert result.stdout.count("not confirmed: question") == 10
    report = json.loads(prove(BRAMBLE, "--second-solver", "--output", "json").stdout)
    assert report["second_solver"]["confirmed"] == 0
    count = report["second_solver"]["questions"]
    assert len(report["second_solver"]["not_confirmed"]) == count > 10
    assert f"and {count - 10} more that are not confirmed; --evidence lists them" in said(result)
    assert f"0 of {count} questions confirmed by cvc5" in said(result)
    assert report["second_solver"]["disagreements"] == []


def test_what_z3_left_undecided_is_said_to_be_so() -> None:
    result = prove(BRAMBLE, "--second-solver", "--work-limit", "1")
    assert result.exit_code == 1
    assert "has no answer itself" in said(result)
    assert "0 of 10 claims proved" in said(result)


@pytest.mark.parametrize("output", ["text", "json"])
def test_without_cvc5_it_says_how_to_get_it(monkeypatch: pytest.MonkeyPatch, folder: Path, output: str) -> None:
    monkeypatch.setitem(sys.modules, "cvc5", None)
    result = prove(BRAMBLE, "--second-solver", "--evidence", "proof.smt2", "--output", output)
    assert result.exit_code == 2
    assert result.stdout == ""
    assert 'pip install "alertlang[second-solver]"' in result.stderr
    assert list(folder.iterdir()) == []
    assert prove(BRAMBLE, "--evidence", "proof.smt2").exit_code == 0


def test_the_extra_that_is_named_exists(checkout: Path) -> None:
    import tomllib

    extras = tomllib.loads((checkout / "pyproject.toml").read_text("utf-8"))["project"]["optional-dependencies"]
    assert extras["second-solver"] == ["cvc5>=1.2"]


def test_cvc5_is_not_loaded_where_it_is_not_asked_for(folder: Path) -> None:
    program = (
        "import sys\nfrom typer.testing import CliRunner\nfrom alertlang.cli.app import app\n"
        "result = CliRunner().invoke(app, sys.argv[1:])\n"
        "print(result.exit_code, 'cvc5' in sys.modules)"
    )

    def run(*words: str) -> str:
        command = [sys.executable, "-c", program, "prove", str(BRAMBLE), *words]
        return subprocess.run(command, capture_output=True, text=True, check=True).stdout.strip()

    assert run("--evidence", "proof.smt2") == "0 False"
    assert run("--second-solver") == "0 True"


# ---- JSON


def test_json_has_the_two_keys_only_when_asked_for(folder: Path) -> None:
    def keys(*words: str) -> list[str]:
        return list(json.loads(prove(BRAMBLE, "--output", "json", *words).stdout))

    usual = ["tool", "rules", "profiles", "findings", "claims", "proved", "assumptions", "numbers"]
    assert keys() == usual
    assert keys("--evidence", "a.smt2") == [*usual, "evidence"]
    assert keys("--second-solver") == [*usual, "second_solver"]
    both = json.loads(prove(BRAMBLE, "--output", "json", "--second-solver", "--evidence", "b.smt2").stdout)
    assert list(both) == [*usual, "second_solver", "evidence"]
    assert both["evidence"] == "b.smt2"
    assert both["second_solver"].keys() == {"solver", "questions", "confirmed", "not_confirmed", "disagreements"}
    assert both["second_solver"]["confirmed"] == both["second_solver"]["questions"] > 0
