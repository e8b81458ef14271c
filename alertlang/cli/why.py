"""`alertlang why`."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from alertlang.cli import common
from alertlang.output.style import write
from alertlang.output.text import caution_lines

if TYPE_CHECKING:
    from alertlang.api import Rules, Why

Words = Annotated[
    list[str] | None,
    typer.Argument(
        metavar="[LOG | NAME=VALUE...] [GAUGE | TEXT]",
        help="A recorded run (with --at, --alert or --mark), or what is read: rpm=2500 oil_temp=40F flaps=landing "
        "cht=failed. Then, if wanted, what alone is asked about: a gauge, the text of an alert or of a lamp.",
        show_default=False,
    ),
]
After = Annotated[
    str | None,
    common.option("--after", "TIME", "For how long what is read has been so: 20s, 5min. Else it begins."),
]


def command(
    rules: common.RuleFile,
    words: Words = None,
    at: common.At = None,
    alert: common.AlertAt = None,
    mark: common.MarkAt = None,
    segment: common.Segment = None,
    after: After = None,
    column_map: common.MapFile = None,
    everything: Annotated[bool, typer.Option("--all", help="Also why of everything that is calm.")] = False,
    accept: common.AcceptLog = None,
    path: common.SearchPath = None,
    output: common.Output = common.OutputFormat.TEXT,
) -> None:
    """Why something is shown, or is not: which statements apply, which lose, what is missing, since when, and the
    nearest change that would change it. At a moment of a recorded run, or for readings given by hand."""
    given = [word for word in words or [] if "=" in word]
    others = [word for word in words or [] if "=" not in word]
    chosen = at is not None or alert is not None or mark is not None
    if chosen:
        common.one_moment(at, alert, mark)
    if chosen and (given or not others or len(others) > 2):
        raise typer.BadParameter("name one log, and after it what alone is asked about", param_hint="LOG")
    if chosen and after is not None:
        raise typer.BadParameter("a recording says itself for how long", param_hint="--after")
    if not chosen and not given:
        raise typer.BadParameter("say what is read (NAME=VALUE), or name a log and --at, --alert or --mark")
    if not chosen and (len(others) > 1 or segment is not None or column_map is not None):
        raise typer.BadParameter("what is given by hand has no log: say --at, --alert or --mark with one")
    ruleset = common.usable(rules, path or [], "nothing was asked")
    if chosen:
        accepted = common.accepted_log(accept or [])
        when = (at, common.number_or_text(alert), mark, segment)
        found = _recorded(ruleset, Path(others[0]), others[1] if len(others) > 1 else None, when, column_map, accepted)
    else:
        found = _given(ruleset, given, after, others[0] if others else None)
    from alertlang.output.why import why_lines

    common.say(found, output, lambda: why_lines(found, common.width(), everything=everything))
    if output is common.OutputFormat.TEXT:
        write([[], *caution_lines(common.width())])
    if not found.trusted:
        raise typer.Exit(3)


def _recorded(
    rules: Rules,
    log: Path,
    about: str | None,
    when: tuple[str | None, int | str | None, int | None, int | None],
    column_map: Path | None,
    accepted: tuple[str, ...],
) -> Why:
    from alertlang.api.rules import NameOrFileError
    from alertlang.api.runs import LogError, why_recorded

    at, alert, mark, segment = when
    try:
        return why_recorded(
            rules,
            log,
            at=at,
            alert=alert,
            mark=mark,
            segment=segment,
            about=about,
            column_map=column_map,
            accept=accepted,
        )
    except (LogError, NameOrFileError) as problem:
        common.stop(problem)


def _given(rules: Rules, given: list[str], after: str | None, about: str | None) -> Why:
    from alertlang.api.rules import NameOrFileError, UnreadableError, parse_seconds, why_given

    try:
        return why_given(rules, given, after=parse_seconds(after or "0"), about=about)
    except UnreadableError as problem:
        common.unreadable(problem.findings, apart=False)
        raise typer.Exit(2) from None
    except NameOrFileError as problem:
        common.stop(problem)
    except ValueError as problem:
        raise typer.BadParameter(str(problem), param_hint="--after") from None
