"""The witness of a finding, or of a refuted claim, as a scenario that shows it."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path

from alertlang.findings.finding import Finding
from alertlang.meaning.look import RunLook
from alertlang.meaning.sight import Seen
from alertlang.meaning.stepper import Shown, Stepper
from alertlang.model import ruleset as m
from alertlang.results.report import ClaimResult
from alertlang.scenarios import scenario as s
from alertlang.scenarios.goal import WitnessGoal, goal_of_claim, goal_of_finding
from alertlang.scenarios.history import Play, plays
from alertlang.scenarios.load import parse_scenario_text
from alertlang.scenarios.run import run, samples
from alertlang.scenarios.write import comment_text, input_texts, line_text, shown_text, time_text
from alertlang.text.short import Short


@dataclass(frozen=True, slots=True, repr=False)
class Saved(Short):
    """A scenario as text, `name` without its ending. `shows`: it was run, and what the finding says is seen in it; if
    not, its comments say that the history must be completed by hand."""

    name: str
    text: str
    shows: bool


@dataclass(frozen=True, slots=True)
class _Try:
    """What becomes of one play: the sample to look at, and what is shown there."""

    play: Play
    time: Fraction
    shown: Shown
    shows: bool


def saved(
    rules: m.RuleSet,
    findings: Iterable[Finding],
    claims: Iterable[ClaimResult] = (),
    *,
    seen: Mapping[str, Seen],
    named: bool = True,
    prefix: str = "",
) -> tuple[Saved, ...]:
    """A scenario for each finding and each refuted claim that has a witness. `seen`: by the name of
    a check, how what it finds is recognised (`checks.registry.SEEN`). `named`: it names the rules it uses.
    `prefix` stands before their names."""
    goals = [
        goal_of_finding(rules, finding, seen.get(finding.code.name)) for finding in findings if finding.accepted is None
    ]
    goals += [goal_of_claim(rules, claim) for claim in claims]
    found: dict[str, Saved] = {}
    for goal in goals:
        if goal is None or not goal.about:
            continue
        name, number = prefix + goal.name, 1
        while name in found:
            number += 1
            name = f"{prefix}{goal.name}-{number}"
        found[name] = _save(rules, goal, name, named)
    return tuple(found.values())


def _save(rules: m.RuleSet, goal: WitnessGoal, name: str, named: bool) -> Saved:
    best: _Try | None = None
    for play in plays(rules, goal):
        tried = _tried(rules, goal, play)
        best = best or tried
        if tried.shows:
            text = _text(rules, goal, name, named, tried)
            if _is_true(rules, goal, text, tried):
                return Saved(name, text, True)
    assert best is not None
    best = _Try(best.play, best.time, best.shown, False)
    return Saved(name, _text(rules, goal, name, named, best), False)


def _tried(rules: m.RuleSet, goal: WitnessGoal, play: Play) -> _Try:
    """The sample to look at: the moment that matters; else the last, where all has settled; else the first that
    shows it."""
    stepper = Stepper(rules)
    last: tuple[Fraction, Shown] | None = None
    hits: dict[Fraction, Shown] = {}
    for sample in samples(play.scenario(rules)):
        shown = stepper.step(sample)
        last = sample.time, shown
        lasted = sample.time - play.begins
        if lasted >= 0 and goal.seen is not None and goal.seen(RunLook(stepper, shown), lasted):
            hits[sample.time] = shown
    assert last is not None
    wanted = [last[0]] if goal.moment is None else [play.begins + goal.moment, last[0]]
    for time in (*wanted, *hits):
        if time in hits:
            return _Try(play, time, hits[time], True)
    return _Try(play, *last, False)


def _is_true(rules: m.RuleSet, goal: WitnessGoal, text: str, tried: _Try) -> bool:
    """Whether the text, read and run, has no difference and still shows it at that sample."""
    scenario = parse_scenario_text(text.encode(), shown="saved", folder=Path(), rules=rules).scenario
    if scenario is None or run(scenario)[0] is not None:
        return False
    stepper = Stepper(rules)
    for sample in samples(scenario):
        look = RunLook(stepper, stepper.step(sample))
        if sample.time == tried.time:
            return goal.seen is not None and goal.seen(look, sample.time - tried.play.begins)
    return False


# ---- the text ---------------------------------------------------------------------------------------------------


def _text(rules: m.RuleSet, goal: WitnessGoal, name: str, named: bool, tried: _Try) -> str:
    play = tried.play
    text = f'scenario "{name}" version 1\n'
    if named:
        text += f'use rules "{rules.name}"\n'
    text += "\n" + comment_text(f"Saved from a witness of {goal.title}:") + comment_text(goal.message)
    if goal.failed:
        there = goal.readings
        values = input_texts(rules, {n: there[n] for n in goal.failed if n in there}, {})
        if values:
            text += comment_text(f"The sensor that has failed would read: {', '.join(values)}.")
    if play.filled:
        text += comment_text(f"The witness does not name these, so they are filled in: {', '.join(play.filled)}.")
    text += "#\n" + (_SHOWS if tried.shows else _unshown(goal))
    if not named:
        text += comment_text(f"It names no rules: run it with --rules and the file of {rules.name}.")
    text += "\n"
    if play.spacing != s.DEFAULT_SPACING:
        text += f"sample every {time_text(play.spacing)}\n\n"
    expected = [said for what in goal.about for said in shown_text(what, tried.shown)]
    expected = _short(goal, expected)
    lines = play.lines(rules)
    for time, inputs in lines:
        text += line_text(time, inputs, expected if time == tried.time else ()) + "\n"
    if tried.time not in {time for time, _ in lines}:
        text += line_text(tried.time, (), expected) + "\n"
    return text


_SHOWS = comment_text("Below stands what the rules show now. When they are mended, write what they should show.")


def _unshown(goal: WitnessGoal) -> str:
    if goal.seen is None:
        return comment_text(
            "What is wrong is nothing that a single moment shows, and nobody looked whether it is seen in this "
            "scenario. Below stands what the rules show for the values of the witness."
        )
    truths = f" ({', '.join(goal.truths)})" if goal.truths else ""
    return comment_text(
        "What is wrong is not seen in this scenario yet: the values of the witness are held from the beginning, and "
        f"what has to come before them{truths} must be completed by hand. Below stands what the rules show so far, "
        "which is not what the finding is about."
    )


def _short(goal: WitnessGoal, expected: list[str]) -> list[str]:
    """Where every alert of the rules is looked at, only those that are up are named; none at all is quiet."""
    if any(isinstance(what, s.GaugeShows | s.ConditionHolds) for what in goal.about) or len(expected) <= _MANY:
        return expected
    up = [text for text in expected if not re.match(r"no (warning|caution|advisory) ", text)]
    return up or expected


_MANY = 6
