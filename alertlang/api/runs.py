"""For who has recorded runs: which column is what, what would have been shown, other numbers tried, whole fleets.

LogError for a log or a column map that cannot be used.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import replace
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING

from alertlang.api.rules import WORK_LIMIT, Rules, Where
from alertlang.fleet.store import FleetError as FleetError
from alertlang.logs.column_map import ColumnMap as ColumnMap
from alertlang.logs.column_map import load_column_map as _load_column_map
from alertlang.logs.log_error import LogError as LogError
from alertlang.results.fleet import FleetResult as FleetResult
from alertlang.results.replay import DISTRUST as DISTRUST
from alertlang.results.replay import ReplayComparison as ReplayComparison
from alertlang.results.replay import ReplayResult as ReplayResult
from alertlang.results.scenario import RecordedScenario as RecordedScenario
from alertlang.results.tune import Tuning as Tuning
from alertlang.results.why import Why as Why
from alertlang.text.version import __version__
from alertlang.tuning.change import TuneError as TuneError
from alertlang.units.number import parse_number as parse_number

if TYPE_CHECKING:
    from alertlang.api.papers import Printed

NEAR = Fraction(10)
AROUND, RUN_IN = Fraction(20), Fraction(1800)
"""Seconds."""


def load_column_map(path: Where) -> ColumnMap:
    """The file (TOML) that says which column of a log feeds which quantity."""
    return _load_column_map(Path(path), str(path))


def _map(given: ColumnMap | Where | None) -> ColumnMap | None:
    return given if given is None or isinstance(given, ColumnMap) else load_column_map(given)


def propose_columns(rules: Rules, log: Where, *, heading: int | None = None) -> str:
    """The text of a column map for a log: which column feeds which quantity, in which unit, how sure that is and why.
    It must be read before it is used: a wrong unit makes wrong alerts. `heading`: the line with the names, from 1,
    where its shape does not show it."""
    from alertlang.logs.propose import propose
    from alertlang.replay.wanted import wanted_of

    return propose(Path(log), wanted_of(rules.model), str(log), heading=heading)


def replay_log(
    rules: Rules,
    log: Where,
    *,
    column_map: ColumnMap | Where | None = None,
    accept: Iterable[str] = (),
    progress: Callable[[int, float], None] | None = None,
) -> ReplayResult:
    """A recorded run over the rules: alerts, colours, marks, lamps, broken limits, how much the rules nag.

    `column_map`, or its file, says which column feeds which quantity; without it columns named like quantities are
    taken. `accept`: names of problems (`Problem.name`, or a kind alone) that were looked at, for which the result is
    `trusted` all the same. `progress` is told the rows that were read and the share of the file, from 0 to 1.
    """
    from alertlang.replay.run import replay

    found = replay(Path(log), rules.model, _map(column_map), shown=str(log), progress=progress)
    return replace(found, accepted=tuple(accept))


def replay_against(
    rules: Rules,
    other: Rules,
    log: Where,
    *,
    column_map: ColumnMap | Where | None = None,
    accept: Iterable[str] = (),
    progress: Callable[[int, float], None] | None = None,
) -> ReplayComparison:
    """What `other` would have shown differently from `rules` over a recorded run, interval by interval. `accept` as in
    `replay_log`."""
    from alertlang.replay.against import replay_against as compared

    found = compared(Path(log), rules.model, other.model, _map(column_map), shown=str(log), progress=progress)
    return replace(found, accepted=tuple(accept))


def why_recorded(
    rules: Rules,
    log: Where,
    *,
    at: str | Fraction | None = None,
    alert: int | str | None = None,
    mark: int | None = None,
    segment: int | None = None,
    about: str | None = None,
    column_map: ColumnMap | Where | None = None,
    accept: Iterable[str] = (),
) -> Why:
    """Why a recorded run showed what it did at one moment: `at` a time (seconds as the log counts them, or a text:
    `871s`, `14.5min`, `14:32:05` by the log's clock), where an `alert` came up (its number in the order of time, or its
    text: the first), or at a `mark` by its number; one of the three. `segment`: of several that have the time.

    `about`: a gauge, the text of an alert or of a lamp, and that alone; an alert that is chosen is asked about alone.
    `accept` as in `replay_log`. LogError if there is no such moment; NameOrFileError for a name that is none.
    """
    from alertlang.recorded.rows import LogSource
    from alertlang.recorded.why import KeptLog, When

    _one_moment(at, alert, mark)
    source = LogSource(Path(log), rules.model, _map(column_map), str(log))
    found = KeptLog(source, at).why(When(at, alert, mark, segment), about)
    return replace(found, accepted=tuple(accept))


class RecordedRun:
    """A recorded run gone through once: any of its moments can be asked about without doing so again."""

    def __init__(self, rules: Rules, log: Where, *, column_map: ColumnMap | Where | None = None) -> None:
        """LogError if the log cannot be used."""
        from alertlang.recorded.rows import LogSource
        from alertlang.recorded.why import KeptLog

        self._kept = KeptLog(LogSource(Path(log), rules.model, _map(column_map), str(log)))

    def why(
        self,
        *,
        at: str | Fraction | None = None,
        alert: int | str | None = None,
        mark: int | None = None,
        segment: int | None = None,
        about: str | None = None,
    ) -> Why:
        """As `why_recorded`."""
        from alertlang.recorded.why import When

        _one_moment(at, alert, mark)
        return self._kept.why(When(at, alert, mark, segment), about)


def scenario_from_log(
    rules: Rules,
    log: Where,
    *,
    at: str | Fraction | None = None,
    alert: int | str | None = None,
    mark: int | None = None,
    segment: int | None = None,
    around: Fraction = AROUND,
    run_in: Fraction = RUN_IN,
    name: str = "",
    named: bool = True,
    column_map: ColumnMap | Where | None = None,
    accept: Iterable[str] = (),
) -> RecordedScenario:
    """A stretch of a recorded run as a scenario: `.text`. The moment as in `why_recorded`, with `around` seconds before
    and after it (of an alert before it came up and after it was gone). It begins as long before that as the rules
    remember, at most `run_in` seconds. `name`: what it is called; `named`: it names the rules. LogError, with what is
    missing, where the rules would not come to what was shown."""
    from alertlang.recorded.rows import LogSource
    from alertlang.recorded.stretch import recorded_scenario
    from alertlang.recorded.why import When

    _one_moment(at, alert, mark)
    source = LogSource(Path(log), rules.model, _map(column_map), str(log))
    when = When(at, alert, mark, segment)
    made = recorded_scenario(source, when, around, run_in=run_in, name=name, named=named)
    return replace(made, accepted=tuple(accept))


def _one_moment(at: object, alert: object, mark: object) -> None:
    if sum(one is not None for one in (at, alert, mark)) != 1:
        raise ValueError("say one of at, alert and mark")


def replay_page(
    rules: Rules,
    log: Where,
    *,
    column_map: ColumnMap | Where | None = None,
    found: ReplayResult | None = None,
    yardsticks: bool = False,
) -> Printed:
    """A recorded run as a page (HTML, UTF-8): what is doubtful, timeline, alerts, limits. `found`: what `replay_log`
    made of it, if that is there already. `yardsticks`: how much the rules nag is held against figures published for
    plants, too."""
    from alertlang.api.papers import Printed, tool
    from alertlang.documents.replay_page import gauges_shown
    from alertlang.documents.replay_page import replay_page as page
    from alertlang.library.identity import SHORT, content_digest
    from alertlang.replay.series import series

    mapped = _map(column_map)
    result = replay_log(rules, log, column_map=mapped) if found is None else found
    readings = series(Path(log), rules.model, mapped, gauges_shown(rules.model), result.segments)
    digest = content_digest(rules.model)[:SHORT]
    html = page(rules.model, result, readings, tool=tool(), digest=digest, yardsticks=yardsticks)
    return Printed("html", html.encode("utf-8"))


def against_page(
    rules: Rules,
    other: Rules,
    log: Where,
    *,
    column_map: ColumnMap | Where | None = None,
    found: ReplayComparison | None = None,
) -> Printed:
    """Two rule sets over a recorded run as a page (HTML, UTF-8): every alert that is new, lost, earlier or later, drawn
    and listed, and the gauges that differ. `found`: what `replay_against` made of it, if that is there already."""
    from alertlang.api.papers import Printed, tool
    from alertlang.documents.against_page import against_page as page

    compared = replay_against(rules, other, log, column_map=column_map) if found is None else found
    return Printed("html", page(compared, tool=tool()).encode("utf-8"))


def tune(
    rules: Rules,
    statement: str,
    logs: Iterable[Where],
    *,
    column_map: ColumnMap | Where | None = None,
    ranges: Mapping[str, Sequence[Fraction]] | None = None,
    together: bool = False,
    near: Fraction = NEAR,
    work_limit: int = WORK_LIMIT,
    progress: Callable[[int, int], None] | None = None,
) -> Tuning:
    """Other values for a number of one statement over logs, each checked: see `Tuning`. `ranges` by knob (`after`, `for
    more than`: seconds; `threshold`, `deadband`: the quantity's unit), else usual values of all; `together`: two of
    them, each value of one with each of the other. `near`: seconds that an alert may be from a mark to belong to it.
    `progress`: values tried, of how many. TuneError for what cannot be tuned."""
    from alertlang.tuning.tune import tune as tuned

    paths = tuple(Path(path) for path in logs)
    return tuned(
        rules.model,
        statement,
        paths,
        _map(column_map),
        ranges=ranges,
        together=together,
        near=near,
        work_limit=work_limit,
        progress=progress,
    )


def tuning_picture(found: Tuning, form: str = "svg") -> bytes:
    """What was tuned, drawn: `svg`, `pdf` or `png`."""
    from alertlang.documents.tuning_picture import draw_tuning

    return draw_tuning(found, form)


def replay_fleet(
    rules: Rules,
    logs: Iterable[Where],
    results: Where,
    *,
    column_map: ColumnMap | Where | None = None,
    jobs: int = 0,
    cluster: str | None = None,
    again: bool = False,
    aircraft: str | None = None,
    accept: Iterable[str] = (),
    progress: Callable[[int, int, int], None] | None = None,
) -> FleetResult:
    """Logs, and all logs in folders, over rules. Results are kept in a folder, where what is finished stays so: the
    same call goes on after a stop; `again`: go through every log again. `aircraft`: a regular expression for the part
    of a log's path that says which aircraft it is of; else the folder it lies in does. `accept` as in `replay_log`.

    `jobs` 0: in this process. From 1 on: in so many processes of their own, so that a log that takes its process down
    fails alone; a script that asks for them needs `if __name__ == "__main__":`. `cluster`: the address of a Dask
    scheduler, whose workers do it. `progress`: logs finished, of how many, how many of them failed. FleetError if there
    is nothing to go through, or no result can be kept.
    """
    from alertlang.fleet.run import fleet

    named = tuple(Path(path) for path in logs)
    found = fleet(
        named,
        rules.model,
        _map(column_map),
        Path(results),
        tool=__version__,
        workers=jobs,
        cluster=cluster,
        again=again,
        aircraft=aircraft,
        progress=progress,
    )
    return replace(found, accepted=tuple(accept))


def fleet_page(rules: Rules, found: FleetResult) -> Printed:
    """A fleet as a page (HTML, UTF-8): what `replay_fleet` made of it with these rules."""
    from alertlang.api.papers import Printed, tool
    from alertlang.documents.fleet_page import fleet_page as page
    from alertlang.library.identity import SHORT, content_digest

    html = page(found, tool=tool(), digest=content_digest(rules.model)[:SHORT])
    return Printed("html", html.encode("utf-8"))
