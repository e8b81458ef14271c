"""Evidence files, read from the text as anybody would read them.

Sources: two independent readers of SMT-LIB 2 (those of cvc5 and Z3), each fed with the questions as they stand in the
file; the SHA-256 of the files as the standard library computes it.
"""

from __future__ import annotations

import hashlib
import os
import re
import subprocess
import sys
from pathlib import Path

import pytest
import z3

from alertlang.api import Rules, evidence_text, load, loads
from alertlang.checks.evidence import Asked
from alertlang.logic.encode import Encoder
from alertlang.logic.second import SecondSolver
from alertlang.logic.smtlib import script
from alertlang.logic.solver import Answer, Question
from alertlang.logic.terms import negate
from alertlang.results.report import Verdict
from alertlang.text.resources import examples_dir, profiles_dir
from tests.helpers.evidence_files import Read, read_evidence, said_by_cvc5, said_by_z3, wrong

BRAMBLE = examples_dir() / "02-bramble" / "bramble.alert"

ASSUMING = """rules "assuming" version 1
source S common practice "invented for this test"
quantity rpm from 0 to 3500 rpm, step 10 rpm
quantity oil_pressure from 0 to 10 bar, step 0.1 bar
quantity cht[3] from -40 to 300 C, step 1 C
switch pump off, low, high
condition running means rpm above 400 rpm
pumped: assume when running then pump is not off
pressed: assume when pump is not off then oil_pressure at least 20 psi
idle: assume rpm at most 3000 rpm
oil_pressure below 20 psi is red
oil_pressure at least 20 psi is green
rpm from 0 to 3500 is green
cht below 200 is green
cht at least 200 is red with warning "CHT {n}"
fed: prove when running then oil_pressure at least 0 bar is never red
slow: prove rpm above 3000 rpm is red
hot: prove cht at least 250 C is red
always: prove oil_pressure at least 0 bar is green
loud: prove when running and cht[1] above 250 C then quiet
"""


def claims_of(rules: Rules) -> list[Read]:
    return read_evidence(evidence_text(rules.evidence()))[1]


@pytest.fixture(scope="module")
def bramble() -> str:
    return evidence_text(load(BRAMBLE).evidence())


@pytest.fixture(scope="module")
def assuming() -> str:
    return evidence_text(loads(ASSUMING).evidence())


def unfounded(questions: list[Read], claims: dict[str, str]) -> list[str]:
    """The verdicts that the questions do not bear out."""
    found = []
    for label, verdict in claims.items():
        mine = [one for one in questions if one.about == f"claim {label}"]
        case = {one.status for one in mine if "is in the case of the claim:" in one.said}
        broken = {one.status for one in mine if "sat: the claim is refuted" in one.said}
        borne_out = {
            "proved": "sat" in case and broken == {"unsat"},
            "refuted": "sat" in broken,
            "vacuous": case == {"unsat"} and not broken,
        }
        if not borne_out[verdict]:
            found.append(label)
    return found


# ---- the whole


def test_the_evidence_of_the_example_is_confirmed_question_by_question(bramble: str) -> None:
    head, questions = read_evidence(bramble)
    assert [one.number for one in questions] == list(range(1, len(questions) + 1))
    assert f"{len(questions)} questions, none of them undecided" in head
    assert len(questions) >= 2 * len(load(BRAMBLE).model.claims)
    assert {one.status for one in questions} == {"sat", "unsat"}
    assert wrong(questions) == []


def test_every_verdict_of_the_example_rests_on_its_questions(bramble: str) -> None:
    _, questions = read_evidence(bramble)
    claims = {claim.label: claim.verdict.value for claim in load(BRAMBLE).prove()}
    assert set(claims.values()) == {"proved"}
    assert unfounded(questions, claims) == []
    assert unfounded([one for one in questions if one.status == "sat"], claims) == list(claims)


@pytest.mark.parametrize("fixture", ["bramble", "assuming"])
def test_the_file_as_a_whole_is_one_script(fixture: str, request: pytest.FixtureRequest) -> None:
    text = request.getfixturevalue(fixture)
    stated = [one.status for one in read_evidence(text)[1]]
    # Told the status, both would complain of an answer that differs from it.
    assert said_by_cvc5(text) == stated
    assert said_by_z3(text) == stated
    assert all(line.isprintable() and len(line) <= 100 for line in text.split("\n") if line.startswith(";"))


@pytest.mark.parametrize("place", [0, 1, -1])
def test_a_wrong_status_is_noticed(bramble: str, place: int) -> None:
    statuses = list(re.finditer(r":status (un)?sat", bramble))
    found = statuses[place]
    corrupted = bramble[: found.start()] + f":status {'sat' if found[1] else 'unsat'}" + bramble[found.end() :]
    assert wrong(read_evidence(corrupted)[1]) == [statuses.index(found) + 1]
    assert any("Expected result" in line or "error" in line for line in said_by_cvc5(corrupted))


def test_a_wrong_number_is_noticed(bramble: str) -> None:
    """The red line of one claim, moved by a hair where its question asserts the claim's case."""
    _, questions = read_evidence(bramble)
    [broken] = [one for one in questions if one.about == "claim warm" and "and yet" in one.said]
    moved = Read(broken.number, broken.about, broken.said, (), "unsat", broken.script.replace("1200.0", "1199.9", 1))
    assert wrong([broken]) == []
    assert wrong([moved]) == [broken.number]


def test_the_same_bytes_wherever_it_is_made(bramble: str) -> None:
    program = "import sys; from alertlang.api import *; sys.stdout.write(evidence_text(load(sys.argv[1]).evidence()))"
    for seed in ("1", "2"):
        made = subprocess.run(
            [sys.executable, "-c", program, str(BRAMBLE)],
            env={**os.environ, "PYTHONHASHSEED": seed, "TZ": "Asia/Tokyo", "PYTHONUTF8": "1"},
            capture_output=True,
            check=True,
        )
        assert made.stdout.decode() == bramble


# ---- what it says


def test_the_head_names_tool_solver_and_every_file(bramble: str) -> None:
    import alertlang

    head, _ = read_evidence(bramble)
    assert f"written by alertlang {alertlang.__version__}; answers by z3 {z3.get_version_string()}" in head
    files = {
        'rules "bramble" version 1: examples/02-bramble/bramble.alert': BRAMBLE,
        'profile "bramble-airframe" version 1: examples/02-bramble/bramble-airframe.profile': BRAMBLE.parent
        / "bramble-airframe.profile",
        'profile "electrical-14v" version 1: stdlib_profiles/systems/electrical-14v.profile': profiles_dir()
        / "systems"
        / "electrical-14v.profile",
    }
    for said, path in files.items():
        assert f"{said} {hashlib.sha256(path.read_bytes()).hexdigest()} " in head
    assert len(re.findall(r"\b[0-9a-f]{64}\b", head)) == len(load(BRAMBLE).model.origins) == 4


@pytest.mark.parametrize("made", ["lines", "mark", "space"])
def test_the_hash_is_of_the_bytes_and_not_of_the_text(tmp_path: Path, made: str) -> None:
    data = {
        "lines": ASSUMING.replace("\n", "\r\n").encode(),
        "mark": b"\xef\xbb\xbf" + ASSUMING.encode(),
        "space": ASSUMING.encode() + b" ",
    }[made]
    path = tmp_path / "assuming.alert"
    path.write_bytes(data)
    origin = load(path).model.origin
    assert origin.sha256 == hashlib.sha256(data).hexdigest() != loads(ASSUMING).model.origin.sha256


def test_the_head_says_what_is_not_shown(bramble: str) -> None:
    head, _ = read_evidence(bramble)
    for said in (
        "NOT SHOWN BY IT - that the questions say what the files say: alertlang translated the text into them",
        "is a pass nowhere",
        "anything but the claims",
        "advises and does not certify",
        "SECOND SOLVER none was asked",
    ):
        assert said in head


def test_every_question_says_what_it_asks_and_what_either_answer_means(bramble: str) -> None:
    _, questions = read_evidence(bramble)
    labels = {claim.label for claim in load(BRAMBLE).model.claims}
    assert {one.about for one in questions} == {f"claim {label}" for label in labels}
    for one in questions:
        assert re.search(r" asks: \S.* sat: \S.* unsat: \S.* assumptions: none answer: (un)?sat ", one.said)
        assert f"answer: {one.status} (z3" in one.said
    said = {one.number: one.said for one in questions if one.about == "claim top_speed"}
    assert any(
        "no alert for rpm of level warning or above comes up within 0 s; the case: rpm is above 2800 rpm" in s
        for s in said.values()
    )
    assert any("`running` holds and oil_pressure is below 10 psi" in one.said for one in questions)
    # What it asks and what the answers mean stands in under the question, and what goes on over a line further in.
    inner = re.findall(r"^; ( +)(asks|sat|unsat|assumptions)?", bramble[bramble.index("QUESTION 1 of") :], re.MULTILINE)
    assert {(len(spaces), bool(word)) for spaces, word in inner} >= {(2, True), (4, False)}
    assert all(len(spaces) == 2 if word else len(spaces) in {2, 4} for spaces, word in inner)


def test_an_element_that_stands_for_others_says_so(assuming: str) -> None:
    _, questions = read_evidence(assuming)
    # A claim names cht[1], so every element is asked about by itself.
    hot = [one for one in questions if one.about == "claim hot" and "and yet" in one.said]
    assert ["cht[1]" in hot[0].said, "cht[2]" in hot[1].said, "cht[3]" in hot[2].said] == [True] * 3
    assert not any("stands for each" in one.said for one in questions)
    alike = claims_of(loads(ASSUMING.replace("cht[1]", "any cht")))
    assert any("cht[1] stands for each" in one.said for one in alike if one.about == "claim hot")


# ---- assumptions


def test_the_assumptions_are_shown_to_be_possible(assuming: str) -> None:
    head, questions = read_evidence(assuming)
    first = questions[0]
    assert first.about == "the assumptions"
    assert first.assumptions == ("pumped", "pressed", "idle")
    assert first.status == "sat"
    assert "pumped (<text> line 8) pumped: assume when running then pump is not off" in head
    assert "whether they can hold together: question 1 " in head


def test_the_assumptions_named_are_those_that_a_question_asserts(assuming: str) -> None:
    """By Z3's own reader: what a question asserts contradicts the opposite of each assumption it names."""
    model = loads(ASSUMING).model
    encoder = Encoder(model)
    opposite = {
        label: script(encoder, Question(negate(term), (), Answer.UNDECIDED)) for label, term in encoder.assumptions
    }
    _, questions = read_evidence(assuming)
    assert any(one.assumptions for one in questions)
    for one in questions:
        for label in one.assumptions:
            solver = z3.Solver()
            solver.add(z3.parse_smt2_string(one.script))
            solver.add(z3.parse_smt2_string(opposite[label]))
            assert solver.check() == z3.unsat, (one.number, label)
    # And none is kept quiet: without its assumptions the proof of `fed` fails.
    needed = {one.assumptions: one.status for one in questions if one.about == "claim fed" and "named here" in one.said}
    assert needed[("pumped", "pressed")] == "unsat"
    assert needed[()] == needed[("pumped",)] == "sat"


def test_verdicts_of_every_kind(assuming: str) -> None:
    head, questions = read_evidence(assuming)
    claims = {claim.label: claim.verdict.value for claim in loads(ASSUMING).prove()}
    assert claims == {"fed": "proved", "slow": "vacuous", "hot": "proved", "always": "refuted", "loud": "refuted"}
    assert unfounded(questions, claims) == []
    for label, verdict in claims.items():
        assert f"{verdict}: {label} (question" in head
    assert "assumptions used: pumped, pressed" in head
    assert wrong(questions) == []


def test_a_refuted_claim_has_its_example(assuming: str) -> None:
    head, _ = read_evidence(assuming)
    assert re.search(r"refuted: loud \(questions? .*? not so for example at .*cht\[1\] 2\d\d.* C", head)


def test_a_claim_about_time_says_what_it_covers() -> None:
    timed = "raises warning within 10 s"
    text = ASSUMING.replace("hot: prove cht at least 250 C is red", f"hot: prove cht at least 250 C {timed}")
    head, questions = read_evidence(evidence_text(loads(text).evidence()))
    claim = next(claim for claim in loads(text).prove() if claim.label == "hot")
    assert claim.covers
    assert f"assumptions used: none {claim.covers}" in head
    assert "the adding up of delays" in head
    asks = "no alert for cht[1] of level warning or above comes up within 10 s"
    assert any(asks in one.said and one.status == "unsat" for one in questions)
    assert wrong(questions) == []


def test_what_only_narrows_down_says_so(assuming: str) -> None:
    _, questions = read_evidence(assuming)
    mine = [one for one in questions if one.about == "claim always"]
    [found] = [one for one in mine if "sat: the claim is refuted" in one.said]
    after = [one for one in mine if one.number > found.number]
    assert after
    for one in after:
        assert f"follows question {found.number} and narrows down" in one.said
        assert "the verdict rests on neither" in one.said


def test_impossible_assumptions_prove_nothing() -> None:
    rules = loads(ASSUMING.replace("idle: assume rpm at most", "idle: assume rpm below 0 rpm and rpm at most"))
    head, questions = read_evidence(evidence_text(rules.evidence()))
    assert {one.about for one in questions} == {"the assumptions"}
    assert questions[0].status == "unsat"
    assert "no state is possible at all, so nothing is proved" in questions[0].said
    assert "proved: " not in head
    assert "vacuous: fed (no question of its own: see the assumptions)" in head
    assert wrong(questions) == []


def test_undecided_is_listed_and_no_pass() -> None:
    head, questions = read_evidence(evidence_text(load(BRAMBLE).evidence(work_limit=1)))
    assert {one.status for one in questions} == {"unknown"}
    assert f"{len(questions)} questions, {len(questions)} of them undecided" in head
    assert f"UNDECIDED, which is no pass: questions 1 to {len(questions)}" in head
    assert "proved: " not in head
    assert "undecided: warm (question" in head
    assert all("answer: UNDECIDED" in one.said for one in questions)


def test_no_claims_is_no_proof() -> None:
    text = evidence_text(loads(ASSUMING.split("fed:")[0]).evidence())
    head, questions = read_evidence(text)
    assert "it makes no claims, so none is proved" in head
    assert [one.about for one in questions] == ["the assumptions"]


def test_a_path_cannot_get_out_of_its_comment() -> None:
    text = evidence_text(loads(ASSUMING, name="x\n(check-sat)\u2028(assert false)\r(exit)\x1b[2J").evidence())
    plain = evidence_text(loads(ASSUMING, name="x").evidence())
    commands = [line for line in text.splitlines() if not line.startswith(";")]
    assert commands == [line for line in plain.splitlines() if not line.startswith(";")]
    assert said_by_cvc5(text) == said_by_cvc5(plain)
    assert all(line.isprintable() for line in text.split("\n"))
    assert "x (check-sat) (assert false) (exit)\\u001b[2J" in read_evidence(text)[0]


def test_all_checks_can_be_in_it() -> None:
    rules = loads(ASSUMING)
    evidence = rules.evidence(checks=True)
    assert evidence.results is not None
    assert evidence.results.findings == rules.check().findings
    head, questions = read_evidence(evidence_text(evidence))
    assert wrong(questions) == []
    gap = [one for one in questions if one.about == "check gap on rpm"]
    assert gap
    assert all("a state in which no band of the quantity applies" in one.said for one in gap)
    assert f"nothing found: gap on rpm (question{'s' if len(gap) > 1 else ''} {gap[0].number}" in head
    assert "anything but the claims" not in head
    assert "every question asked for the checks and claims of" in head
    assert "every question asked for the claims of" in read_evidence(evidence_text(rules.evidence()))[0]


# ---- the second solver


def flipping(monkeypatch: pytest.MonkeyPatch, about: str, instead: str | None = None) -> None:
    """The second solver says the opposite (or something given) to questions on something."""
    questions = [one for one in loads(ASSUMING).evidence().asked if one.statement.about == about]
    scripts = {one.script for one in questions}
    truly = SecondSolver.answer

    def answer(self: SecondSolver, text: str) -> str:
        said = truly(self, text)
        return (instead or {"sat": "unsat", "unsat": "sat"}[said]) if text in scripts else said

    assert scripts
    monkeypatch.setattr(SecondSolver, "answer", answer)


def numbers(asked: tuple[Asked, ...]) -> list[int]:
    return [one.number for one in asked]


def test_the_second_solver_confirms_every_question(assuming: str) -> None:
    rules = loads(ASSUMING)
    evidence = rules.evidence(second_solver=True)
    assert numbers(evidence.confirmed) == list(range(1, len(read_evidence(assuming)[1]) + 1))
    assert evidence.disputed == evidence.unconfirmed == ()
    assert evidence.claims == rules.prove()
    head, questions = read_evidence(evidence_text(evidence))
    assert f"{len(questions)} of {len(questions)} confirmed by {evidence.second}" in head
    assert re.fullmatch(r"cvc5 \d+\.\d+\.\d+\S*", evidence.second or "")
    assert all(f"second: confirmed: {one.status} (cvc5" in one.said for one in questions)


def test_a_disagreement_leaves_the_claim_undecided(monkeypatch: pytest.MonkeyPatch) -> None:
    flipping(monkeypatch, "claim fed")
    evidence = loads(ASSUMING).evidence(second_solver=True)
    assert {one.statement.about for one in evidence.disputed} == {"claim fed"}
    verdicts = {claim.label: claim.verdict for claim in evidence.claims}
    assert verdicts["fed"] is Verdict.UNDECIDED
    assert verdicts["hot"] is Verdict.PROVED
    head, questions = read_evidence(evidence_text(evidence))
    assert "undecided: fed (question" in head
    assert "disagree on question" in head
    assert "DISAGREEMENT: question" in head
    assert [one.number for one in questions if "second: DISAGREES" in one.said] == numbers(evidence.disputed)


def test_a_disagreement_on_the_assumptions_leaves_nothing_proved(monkeypatch: pytest.MonkeyPatch) -> None:
    flipping(monkeypatch, "the assumptions")
    evidence = loads(ASSUMING).evidence(checks=True, second_solver=True)
    assert evidence.results is not None
    assert evidence.results.proved == ()
    assert evidence.results.claims == evidence.claims
    verdicts = {claim.label: claim.verdict for claim in evidence.claims}
    assert set(verdicts.values()) == {Verdict.UNDECIDED, Verdict.REFUTED}
    # Its witness was confirmed by the reference evaluator and not by either solver.
    assert [label for label, verdict in verdicts.items() if verdict is Verdict.REFUTED] == ["always", "loud"]


def test_a_disagreement_leaves_a_check_without_its_proof(monkeypatch: pytest.MonkeyPatch) -> None:
    rules = loads(ASSUMING)
    sound = rules.evidence(checks=True, second_solver=True)
    assert sound.results is not None
    assert ("gap", "rpm") in {(proof.check, proof.quantity) for proof in sound.results.proved}
    scripts = {one.script for one in sound.asked if one.statement.about == "check gap on rpm"}
    monkeypatch.setattr(SecondSolver, "answer", lambda _, text: "sat" if text in scripts else "unknown")
    doubted = rules.evidence(checks=True, second_solver=True)
    assert doubted.results is not None
    assert {one.statement.about for one in doubted.disputed} >= {"check gap on rpm"}
    assert ("gap", "rpm") not in {(proof.check, proof.quantity) for proof in doubted.results.proved}
    assert len(doubted.results.proved) >= len(sound.results.proved) - 3


@pytest.mark.parametrize("said", ["unknown (RESOURCEOUT)", "error: no such thing", ""])
def test_no_answer_is_no_confirmation(monkeypatch: pytest.MonkeyPatch, said: str) -> None:
    monkeypatch.setattr(SecondSolver, "answer", lambda *_: said)
    evidence = loads(ASSUMING).evidence(second_solver=True)
    assert evidence.confirmed == evidence.disputed == ()
    assert len(evidence.unconfirmed) == len(evidence.asked)
    head, questions = read_evidence(evidence_text(evidence))
    assert f"0 of {len(questions)} confirmed" in head
    assert f"not confirmed: questions 1 to {len(questions)}" in head


def test_what_the_first_solver_left_undecided_is_not_confirmed() -> None:
    evidence = loads(ASSUMING).evidence(work_limit=1, second_solver=True)
    assert {one.second for one in evidence.asked} <= {"sat", "unsat"}
    assert evidence.confirmed == evidence.disputed == ()
    assert {claim.verdict for claim in evidence.claims} == {Verdict.UNDECIDED}


def pigeons(holes: int) -> str:
    """More pigeons than holes: easily stated, and hard for every solver of this kind."""
    flags = [[f"p{pigeon}_{hole}" for hole in range(holes)] for pigeon in range(holes + 1)]
    lines = ["(set-logic QF_LRA)"]
    lines += [f"(declare-fun {flag} () Bool)" for row in flags for flag in row]
    lines += [f"(assert (or {' '.join(row)}))" for row in flags]
    for hole in range(holes):
        column = [row[hole] for row in flags]
        lines += [f"(assert (not (and {one} {two})))" for i, one in enumerate(column) for two in column[:i]]
    return "\n".join([*lines, "(check-sat)"]) + "\n"


def test_the_second_solver_gives_up_by_work_and_not_by_clock() -> None:
    assert SecondSolver().answer(pigeons(3)) == "unsat"
    [said] = {SecondSolver(work_limit=3000).answer(pigeons(9)) for _ in range(3)}
    assert said.startswith("unknown")
