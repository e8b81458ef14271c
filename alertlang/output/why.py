"""Why something is shown, or is not: as text and for JSON."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from fractions import Fraction

from alertlang.findings.finding import WitnessReading
from alertlang.output.json import Json, every, plain, told
from alertlang.output.replay import problem_lines
from alertlang.output.scenario import read_words
from alertlang.output.style import Line, wrapped
from alertlang.output.times import Times, length
from alertlang.results.why import AlertWhy, GaugeWhy, LampWhy, LimitWhy, NearestChange, StatementWhy, SwitchWhy, Why
from alertlang.text.lists import listed
from alertlang.text.source import Span
from alertlang.units.number import say_value, show_number
from alertlang.units.unit import Unit

At = Callable[[Fraction], str]

_MARGIN = "  "
_STYLES = {"warning": "error", "caution": "warning", "advisory": "note", "red": "error", "yellow": "warning"}


def why_lines(found: Why, width: int, *, everything: bool = False) -> list[Line]:
    """What is shown, then why, then how far everything else is. `everything`: also why of all that is calm."""
    at = _teller(found)
    lines = _head(found, at, width)
    lines += problem_lines(found, True, width)
    lines += _shown_lines(found, at, width)
    for alert in found.alerts:
        if alert.up or _waits(alert) or found.asked is not None or everything:
            lines += _alert_lines(alert, found, at, width)
    for gauge in found.gauges:
        if not _is_calm(gauge) or found.asked is not None or everything:
            lines += _gauge_lines(gauge, found, width)
    lines += _switch_lines(found.switches, at, width)
    lines += _lamp_lines(found.lamps, at, width)
    lines += _nearest_section("Nearest changes, one input at a time", found.nearest, width)
    lines += _limit_lines(found, at, width)
    if found.later is not None:
        words = f"if all stays as it is, at {at(found.later.time)}: {found.later.shows}"
        lines += [[], *wrapped("", words, width, rest=_MARGIN)]
    for text in found.broken:
        lines += [[], *wrapped("warning", f"the rules assume otherwise: {text}", width, rest=_MARGIN)]
    if found.not_judged:
        words = f"not judged, for want of inputs: {_some(found.not_judged)}"
        lines += [[], *wrapped("dim", words, width, rest=_MARGIN)]
    return lines


# ---- what is shown


def _head(found: Why, at: At, width: int) -> list[Line]:
    of = found.of
    if of is None:
        after = f", for {at(found.time)}" if found.time else ", as it begins"
        where = f"{read_words(found.read) or 'nothing given'}{after}"
    else:
        where = f"{of.log}, row {of.row} after the heading, at {at(found.time)}"
        where += f" (segment {of.segment})" if of.segment > 1 else ""
    lines = wrapped("strong", where, width, rest=_MARGIN)
    rules = f'rules "{found.rules.name}" version {found.rules.version} ({found.rules.path})'
    lines += wrapped("dim", rules, width, rest=_MARGIN)
    return lines


def _shown_lines(found: Why, at: At, width: int) -> list[Line]:
    """What was up, what was not calm, and the rest in one line for each colour."""
    lines: list[Line] = [[], [("strong", "Shown")]]
    begins = found.of is None and not found.time
    for alert in found.up:
        since = "" if begins else f" since {at(alert.since)}"
        lines += wrapped(_STYLES[alert.level], f"{_name(alert)}{since}", width, _MARGIN, _MARGIN * 2)
    if not found.up:
        lines += wrapped("", _none_up(found), width, _MARGIN)
    calm: dict[str, list[str]] = {}
    for gauge in found.gauges:
        if not _is_calm(gauge):
            style = "warning" if gauge.colour is None else _STYLES[gauge.colour]
            since = "" if begins else f" since {at(gauge.since)}"
            lines += wrapped(style, f"{_gauge(gauge)} {gauge.colour or 'no colour'}{since}", width, _MARGIN)
        else:
            assert gauge.colour is not None
            calm.setdefault(gauge.colour, []).append(_gauge(gauge))
    for colour, names in calm.items():
        lines += wrapped("", f"{colour}: {', '.join(names)}", width, _MARGIN, _MARGIN * 2)
    return lines


def _none_up(found: Why) -> str:
    if found.asked is not None and found.alerts:
        return listed(dict.fromkeys(f"no {_name(alert)}" for alert in found.alerts))
    return "no alert up" + (" of those that can be judged" if found.not_judged else "")


def _is_calm(gauge: GaugeWhy) -> bool:
    return gauge.colour is not None and gauge.colour not in _STYLES


def _waits(alert: AlertWhy) -> bool:
    """It applies, and its alert is to come."""
    return alert.statement.applies and not alert.up


# ---- why


def _alert_lines(alert: AlertWhy, found: Why, at: At, width: int) -> list[Line]:
    statement = alert.statement
    lines: list[Line] = [[], *wrapped("strong", f"{'' if alert.up else 'no '}{_name(alert)}", width, rest=_MARGIN)]
    lines += _statement_lines("", statement, width)
    changes = [change for change in alert.nearest if change.position != "failed"]
    failed = [change.input for change in alert.nearest if change.position == "failed"]
    if not alert.nearest:
        words = "no change of one input alone " + ("takes it away" if alert.up else "brings it up now")
        return [*lines, *wrapped("dim", words, width, _MARGIN, _MARGIN * 2)]
    if alert.up and found.of is not None:
        return lines + _put_off_lines(alert, at, width)
    title = "would not be up with" if alert.up else "would be up with"
    lines += _nearest_lines(title, changes, width, shows=False)
    if failed:
        words, margin = f"{listed(failed, 'or')} failed", _MARGIN * 2
        said = f"or {words}" if changes else f"{title} {words}"
        lines += wrapped("dim", said, width, margin if changes else _MARGIN, margin + _MARGIN)
    return lines


def _put_off_lines(alert: AlertWhy, at: At, width: int) -> list[Line]:
    """What would have been of an alert with one input otherwise at the sample at which it came up, and at no other."""
    lines = wrapped("", f"with another value at {at(alert.since)} alone it would have come up", width, _MARGIN)
    failed: dict[str, list[str]] = {}
    for change in alert.nearest:
        assert change.until is not None
        when = f"at {at(change.comes)}" if change.comes is not None else f"not at all up to {at(change.until)}"
        if change.position == "failed":
            failed.setdefault(when, []).append(change.input)
        else:
            lines += wrapped("", f"{when} with {change_words(change)}", width, _MARGIN * 2, _MARGIN * 3)
    for when, names in failed.items():
        words = f"{when} had {listed(names, 'or')} failed, which would have hidden it so long"
        lines += wrapped("dim", words, width, _MARGIN * 2, _MARGIN * 3)
    return lines


def _gauge_lines(gauge: GaugeWhy, found: Why, width: int) -> list[Line]:
    value = "failed" if gauge.value is None else say_value(gauge.value.value, gauge.value.unit)
    title = f"{_gauge(gauge)} {value}: {gauge.colour or 'no colour'}"
    lines: list[Line] = [[], *wrapped("strong", title, width, rest=_MARGIN)]
    for statement in gauge.statements:
        word = "shown" if statement.applies and statement.beaten_by is None else "lost" if statement.applies else "not"
        lines += _statement_lines(word, statement, width)
    return [*lines, *_nearest_lines("would be otherwise with", gauge.nearest, width)]


def _statement_lines(word: str, statement: StatementWhy, width: int) -> list[Line]:
    place = statement.statement if statement.element is None else f"{statement.statement}[{statement.element}]"
    lost = f", and {statement.beaten_by} goes before it" if statement.beaten_by else ""
    said = f"{place} ({_place(statement.where)}) {statement.says}{lost}"
    first = f"{_MARGIN}{word + ':':<7}" if word else _MARGIN
    style = "" if statement.applies or statement.up else "dim"
    return wrapped(style, said, width, first, " " * len(first) if word else _MARGIN * 2)


def _nearest_section(title: str, changes: Sequence[NearestChange], width: int) -> list[Line]:
    if not changes:
        return []
    lines: list[Line] = [[], [("strong", title)]]
    for change in changes:
        lines += wrapped("", f"{change_words(change)}: {change.shows}", width, _MARGIN, _MARGIN * 2)
    return lines


def _nearest_lines(title: str, changes: Sequence[NearestChange], width: int, *, shows: bool = True) -> list[Line]:
    if not changes:
        return []
    lines = wrapped("", f"{title}", width, _MARGIN)
    for change in changes:
        words = change_words(change) + (f": {change.shows}" if shows else "")
        lines += wrapped("", words, width, _MARGIN * 2, _MARGIN * 3)
    return lines


def change_words(change: NearestChange) -> str:
    """What would have to be otherwise: `rpm above 2600 rpm (100 rpm more)`."""
    if change.reach is None:
        return f"{change.input} {change.position}"
    words = f"{change.input} {_reach(change)}"
    if change.by is None or not isinstance(change.tried, WitnessReading):
        return words
    unit = change.reach.unit
    if not change.by:
        return f"{words} (however little)"
    return f"{words} ({_amount(change.by, unit)} {_side(change)})"


def _side(change: NearestChange) -> str:
    """Whether it lies above the value there is, or below."""
    return "more" if change.up else "less"


def _reach(change: NearestChange) -> str:
    """`above 2600 rpm`, `at least 75 F`, `from 75 F to below 220 F`, `at 5 V`."""
    assert change.reach is not None
    interval, unit = change.reach.interval, change.reach.unit
    low, high = interval.bounds
    if low == high:
        return f"at {say_value(low, unit)}"
    if change.to_end and change.up:
        return f"{'at least' if interval.low_included else 'above'} {say_value(low, unit)}"
    if change.to_end and change.up is False:
        return f"{'at most' if interval.high_included else 'below'} {say_value(high, unit)}"
    first = f"{'from' if interval.low_included else 'above'} {say_value(low, unit)}"
    return f"{first} {'to' if interval.high_included else 'to below'} {say_value(high, unit)}"


# ---- switches, lamps and limits


def _switch_lines(switches: Iterable[SwitchWhy], at: At, width: int) -> list[Line]:
    lines: list[Line] = []
    for switch in switches:
        style = "warning" if switch.position is None else ""
        text = f"{switch.switch} {switch.position or 'at no known position'} since {at(switch.since)}"
        lines += wrapped(style, text, width, _MARGIN, _MARGIN * 2)
    return [[], [("strong", "Switches")], *lines] if lines else []


def _lamp_lines(lamps: Iterable[LampWhy], at: At, width: int) -> list[Line]:
    lines: list[Line] = []
    for lamp in lamps:
        if lamp.state != "normal":
            sound = "" if lamp.sound == "silent" else f", {lamp.sound} sounds"
            by = f"; lit by {listed(lamp.lit_by)}" if lamp.lit_by else ""
            text = f"{lamp.text} {lamp.state} ({lamp.light}{sound}) since {at(lamp.since)}{by}"
            lines += wrapped("", text, width, _MARGIN, _MARGIN * 2)
    return [[], [("strong", "Lamps")], *lines] if lines else []


def _limit_lines(found: Why, at: At, width: int) -> list[Line]:
    """Those that are broken, then those that count, the nearest first in its own unit of the limit; then the rest."""
    if not found.limits:
        return []
    lines: list[Line] = [[], [("strong", "Limits")]]
    broken = [limit for limit in found.limits if limit.broken]
    counting = [limit for limit in found.limits if limit.counts and not limit.broken]
    for limit in (*broken, *counting):
        lines += wrapped("error" if limit.broken else "", _limit(limit, at), width, _MARGIN, _MARGIN * 2)
    for limit in found.limits:
        if not limit.counts and not limit.broken:
            text = f"{_limit_name(limit)}: does not count, {limit.says}"
            lines += wrapped("dim", text, width, _MARGIN, _MARGIN * 2)
    return lines


def _limit(limit: LimitWhy, at: At) -> str:
    what = f"{limit.reading} {limit.region}" if limit.kind == "limit" else f"avoid {limit.reading} {limit.region}"
    if limit.left is None:
        state = "nothing is known of it"
    elif limit.left < 0 or limit.broken:
        state = f"{_amount(abs(limit.left), limit.unit)} past it"
    else:
        state = f"{_amount(limit.left, limit.unit)} left"
    broken = f"broken since {at(limit.since)}, " if limit.broken else ""
    says = f" ({limit.says})" if limit.says else ""
    return f"{_limit_name(limit)}: {broken}{state} ({what}){says}"


def _limit_name(limit: LimitWhy) -> str:
    return limit.limit if limit.element is None else f"{limit.limit}[{limit.element}]"


# ---- small parts


def _name(alert: AlertWhy) -> str:
    return f'{alert.level} "{alert.text}"'


def _gauge(gauge: GaugeWhy) -> str:
    return gauge.quantity if gauge.element is None else f"{gauge.quantity}[{gauge.element}]"


def _place(span: Span) -> str:
    return f"{span.source.path} line {span.line}"


def _teller(found: Why) -> At:
    """How moments are told: of a recording by its clock, of a state by how long it has been there."""
    return length if found.of is None else Times((), found.of.clock).at


def _amount(value: Fraction, unit: Unit) -> str:
    """For people: exact where three decimals are, else rounded to them."""
    if (value * 1000).denominator == 1:
        return f"{show_number(value)} {unit.name}".rstrip()
    return f"about {show_number(Fraction(round(value * 1000), 1000))} {unit.name}".rstrip()


def _some(names: Sequence[str]) -> str:
    most = 12
    more = f" and {len(names) - most} more" if len(names) > most else ""
    return ", ".join(names[:most]) + more


# ---- for programs


def why_data(found: Why) -> Json:
    """Times in seconds."""
    return {
        **told(found, "rules asked of time read trusted"),
        "problems": every(found.problems, "kind count first_row column message=words"),
        "gauges": [
            {
                **told(gauge, "quantity element value colour since"),
                "statements": [_statement_data(statement) for statement in gauge.statements],
                "nearest": _nearest_data(gauge.nearest),
            }
            for gauge in found.gauges
        ],
        "alerts": [
            {
                **told(alert, "level text up since"),
                "statement": _statement_data(alert.statement),
                "nearest": _nearest_data(alert.nearest),
            }
            for alert in found.alerts
        ],
        "switches": plain(found.switches),
        "lamps": plain(found.lamps),
        "limits": every(
            found.limits, "limit element kind where region reading value unit counts broken since left says"
        ),
        "nearest": _nearest_data(found.nearest),
        **told(found, "later not_judged broken_assumptions=broken"),
    }


def _statement_data(statement: StatementWhy) -> Json:
    return told(statement, "statement element where colour level text applies since up beaten_by says")


def _nearest_data(changes: Sequence[NearestChange]) -> list[Json]:
    return [*every(changes, "input reach to_end position tried by up shows comes until")]
