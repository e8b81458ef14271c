"""`alertlang tour`: the main job from end to end, on the example that ships with the tool."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import typer

from alertlang.api.rules import Report, Rules, Verdict, check, load, loads, solver_version
from alertlang.cli.common import width
from alertlang.output.style import Line, write
from alertlang.output.text import caution_lines, claim_lines, report_lines
from alertlang.text.resources import examples_dir

if TYPE_CHECKING:
    from alertlang.api import ReplayResult

_MISTAKE = "unguarded-limit"


def command() -> None:
    """Show the tool at work: a vetted rule set, a mistake found, the mended file clean, a claim proved and refuted, a
    recorded run."""
    folder = examples_dir() / "02-bramble"
    done = [_vetted(folder), _mistake(folder), _mended(folder), _warm_up(folder), _recorded(folder)]
    write(caution_lines(width()))
    # The tour is also a test of the installation: it fails if one of its steps did not come out as told.
    raise typer.Exit(0 if all(done) else 1)


def _vetted(folder: Path) -> bool:
    _heading("1  A vetted rule set", "alertlang check examples/02-bramble/bramble.alert")
    _say(
        "The rules of an invented two-seat aircraft on a real engine's published limits. Nothing is found, but for one "
        "piece of advice that the file itself sets aside with a reason: that is a proof for every gauge, every limit "
        "and every alert, in every state the sensors can read."
    )
    report = load(folder / "bramble.alert").check()
    _show(report)
    return report.worst() is None and all(c.verdict is Verdict.PROVED for c in report.claims)


def _mistake(folder: Path) -> bool:
    _heading("2  A mistake", f"alertlang check examples/02-bramble/mistakes/{_MISTAKE}.alert")
    path = folder / "mistakes" / f"{_MISTAKE}.alert"
    _say("The same rules with one changed:")
    write([[("code", f"    {line}")] for line in path.read_text(encoding="utf-8").strip().split("\n")])
    write([[]])
    report = check(path)
    _show(report)
    return any(finding.code.name == _MISTAKE and finding.witness for finding in report.findings)


def _mended(folder: Path) -> bool:
    path = folder / "mistakes" / f"{_MISTAKE}.alert"
    # One to add: the tour shows a file that only grows.
    good = [f.suggestion for f in check(path).findings if f.suggestion and f.trial and f.trial.good]
    added = [suggestion.text for suggestion in good if suggestion.replaces is None and not suggestion.more]
    if not added:
        return False
    _heading("3  The way out", "")
    _say("A statement that the findings propose, added to the file as it stands:")
    write([*([("code", f"    {word}")] for word in added), []])
    text = "\n".join((path.read_text(encoding="utf-8"), *added, ""))
    report = loads(text, name="mended.alert", folder=path.parent).check()
    _show(report)
    return report.worst() is None


def _warm_up(folder: Path) -> bool:
    _heading("4  A claim", "alertlang prove examples/02-bramble/bramble.alert")
    _say("No rpm is left unguarded during warm-up. With the vetted rules:")
    with_rule = _claim(load(folder / "bramble.alert"))
    _say("Without the rule for a cold engine:")
    text = 'rules "tour" version 1\nuse rules "bramble"\ndrop cold_engine because "to see what it was for"\n'
    without = _claim(loads(text, name="tour.alert", folder=folder))
    return with_rule is Verdict.PROVED and without is Verdict.REFUTED


def _recorded(folder: Path) -> bool:
    from alertlang.api.runs import replay_log
    from alertlang.output.replay import replay_lines

    logs = "examples/02-bramble/logs"
    _heading(
        "5  A recorded run",
        f"alertlang replay examples/02-bramble/bramble.alert {logs}/first-flight.csv --map {logs}/recorder.toml",
    )
    _say(
        "A rule set that is proved complete can still nag. In this flight, invented too, a cylinder runs hot and the "
        "alternator fails; one alert comes and goes until nobody looks any more. The command says much more than this:"
    )
    log = folder / "logs" / "first-flight.csv"
    found = replay_log(load(folder / "bramble.alert"), log, column_map=folder / "logs" / "recorder.toml")
    lines = replay_lines(found, width())
    first = next(index for index, line in enumerate(lines) if line and line[0][1].startswith("Came up"))
    alerts = lines[first : next(index for index in range(first, len(lines)) if not lines[index])]
    write([*alerts, []])
    return any(alert.text == "CHT 3 HOT" for alert in found.alerts) and "volts_red" in _chattering(found)


def _chattering(found: ReplayResult) -> tuple[str, ...]:
    return next(metric.names or () for metric in found.metrics if metric.name == "chattering")


def _claim(rules: Rules) -> Verdict:
    result = next(claim for claim in rules.prove() if claim.label == "warm")
    write([*claim_lines(result, width()), []])
    return result.verdict


def _heading(title: str, command: str) -> None:
    lines: list[Line] = [[("strong", title)], [("dim", "-" * len(title))]]
    if command:
        lines.append([("dim", "$ "), ("code", command)])
    write([*lines, []])


def _say(text: str) -> None:
    import textwrap

    write([*([("", line)] for line in textwrap.wrap(text, width())), []])


def _show(report: Report) -> None:
    write([*report_lines(report, solver_version(), width()), []])
