"""Statements of every kind, for Hypothesis to draw: trees, so that each is one that can be written."""

from __future__ import annotations

from fractions import Fraction

from hypothesis import strategies as st

from alertlang.syntax import tree as t
from alertlang.syntax.parse import NO_POSITIONS, reserved_words
from alertlang.text.source import Source, Span
from alertlang.units.unit import UNITS
from tests.helpers.regions import DRAWN, TWO_SIDED

# Places take no part in comparing.
NOWHERE = Span(Source("generated", ""), 0, 0)

_identifiers = st.from_regex(r"[A-Za-z_][A-Za-z0-9_]{0,8}", fullmatch=True)
_texts = st.text(
    st.characters(exclude_characters='"\n\r\u200e\u200f', exclude_categories=("Cc", "Cf", "Cs", "Zl", "Zp")),
    max_size=12,
)


def _word(texts: st.SearchStrategy[str]) -> st.SearchStrategy[t.WordNode]:
    return texts.map(lambda text: t.WordNode(NOWHERE, text))


words = _word(_identifiers.filter(lambda name: name not in reserved_words()))
source_names = _word(_identifiers.filter(lambda name: not name.startswith("_")))
positions = _word(_identifiers.filter(lambda name: name not in NO_POSITIONS))
texts = _word(_texts)
units = _word(st.sampled_from(sorted(UNITS)))
levels = st.sampled_from(["warning", "caution", "advisory"])
colours = st.sampled_from(["red", "yellow", "green", "white", "blue", "unmarked"])

_whole = st.integers(0, 10**6)
_positive = st.builds(lambda whole, places: Fraction(whole, 10**places), _whole, st.integers(0, 6))
_numbers = st.builds(lambda number, sign: sign * number, _positive, st.sampled_from([1, -1]))


def _value(
    numbers: st.SearchStrategy[Fraction], unit: st.SearchStrategy[t.WordNode | None]
) -> st.SearchStrategy[t.Value]:
    return st.builds(lambda number, unit: t.Value(NOWHERE, number, unit), numbers, unit)


bare = _value(_positive, st.none())
values = _value(_numbers, st.none() | units)
durations = _value(_positive, units)
subjects = st.builds(lambda name, index: t.SubjectNode(NOWHERE, name, index), words, st.none() | bare)
bounds = values | words


@st.composite
def regions(draw: st.DrawFn) -> t.RegionNode:
    kind = draw(st.sampled_from(["below", "above", "at_most", "at_least", *DRAWN]))
    if kind not in TWO_SIDED:
        return t.RegionNode(NOWHERE, kind, draw(bounds))
    first, second = draw(bounds), draw(bounds)
    # The unit of the second serves both.
    if isinstance(first, t.Value) and first.unit is None and isinstance(second, t.Value):
        first = t.Value(NOWHERE, first.number, second.unit)
    return t.RegionNode(NOWHERE, kind, first, second)


_quantifiers = st.sampled_from([None, "any", "every"])
_atoms: st.SearchStrategy[t.Formula] = st.one_of(
    st.builds(lambda subject: t.NamedNode(NOWHERE, subject), subjects),
    st.builds(
        lambda subject, region, word: t.CompareNode(NOWHERE, subject, region, word), subjects, regions(), _quantifiers
    ),
    st.builds(lambda subject, word: t.Failed(NOWHERE, subject, word), subjects, _quantifiers),
    st.builds(lambda subject, at, no: t.IsAt(NOWHERE, subject, at, no), subjects, positions, st.booleans()),
)


def _larger(parts: st.SearchStrategy[t.Formula]) -> st.SearchStrategy[t.Formula]:
    several = st.lists(parts, min_size=2, max_size=3).map(tuple)
    return st.one_of(
        parts.map(lambda part: t.NotNode(NOWHERE, part)),
        several.map(lambda parts: t.AndNode(NOWHERE, parts)),
        several.map(lambda parts: t.OrNode(NOWHERE, parts)),
        st.builds(
            lambda part, least, length: t.HeldNode(NOWHERE, part, least, length), parts, st.booleans(), durations
        ),
    )


formulas = st.recursive(_atoms, _larger, max_leaves=6)

_leaves: st.SearchStrategy[t.Expression] = st.one_of(
    values.map(lambda value: t.Constant(NOWHERE, value)),
    subjects.map(lambda subject: t.ReadNode(NOWHERE, subject)),
    st.builds(
        lambda kind, subject: t.StatisticNode(NOWHERE, kind, subject),
        st.sampled_from(["highest", "lowest", "spread", "average", "deviation"]),
        subjects,
    ),
    st.builds(
        lambda kind, subject, unit: t.TrendNode(NOWHERE, kind, subject, unit),
        st.sampled_from(["rise", "fall"]),
        subjects,
        units,
    ),
)
expressions = st.recursive(
    _leaves,
    lambda parts: st.builds(
        lambda sign, one, other: t.Arithmetic(NOWHERE, sign, one, other), st.sampled_from("+-*/"), parts, parts
    ),
    max_leaves=6,
)

_sources = st.lists(
    st.builds(lambda name, note: t.SourceClause(NOWHERE, name, note), source_names, st.none() | texts), max_size=2
).map(tuple)
_needs = st.lists(
    st.builds(lambda level, within: t.Needs(NOWHERE, level, within), levels, st.none() | durations), max_size=2
).map(tuple)
_held = st.none() | st.builds(lambda length, total: t.HeldFor(NOWHERE, length, total), durations, st.booleans())
_alerts = st.builds(lambda level, text: t.AlertClause(NOWHERE, level, text), levels, texts)
_tails = st.builds(
    lambda after, latched, unless: t.Tail(after, t.Node(NOWHERE) if latched else None, unless),
    st.none() | durations,
    st.booleans(),
    st.none() | formulas,
)


@st.composite
def _ranges(draw: st.DrawFn) -> t.RangeStatement:
    kind = draw(st.sampled_from(["limit", "avoid", "precaution", "normal"]))
    timed = kind in {"limit", "avoid"}
    return t.RangeStatement(
        NOWHERE,
        kind,
        draw(st.none() | formulas),
        draw(subjects),
        draw(regions()),
        draw(st.none() | durations) if timed else None,
        draw(_needs) if timed else (),
        draw(_sources),
    )


@st.composite
def _claims(draw: st.DrawFn) -> t.Prove:
    kind = draw(st.sampled_from(["is", "at_least", "never", "raises", "any_raises", "quiet"]))
    placed, raises = kind not in {"any_raises", "quiet"}, kind.endswith("raises")
    return t.Prove(
        NOWHERE,
        draw(st.none() | formulas),
        kind,
        draw(subjects) if placed else None,
        draw(regions()) if placed else None,
        None if kind == "quiet" else draw(levels if raises else colours),
        draw(st.none() | durations) if raises else None,
    )


rules: st.SearchStrategy[t.Rule] = st.one_of(
    st.builds(lambda when, formula, of: t.Assume(NOWHERE, when, formula, of), st.none() | formulas, formulas, _sources),
    _ranges(),
    st.builds(
        lambda when, subject, region, held, colour, alert, tail: t.BandStatement(
            NOWHERE, when, subject, region, held, colour, alert, tail
        ),
        st.none() | formulas,
        subjects,
        # In place of a region, only in a band.
        regions() | st.just(t.RegionNode(NOWHERE, "failed", t.Value(NOWHERE, Fraction(0), None))),
        _held,
        _word(colours),
        st.none() | _alerts,
        _tails,
    ),
    st.builds(
        lambda when, held, alert, tail: t.AlertStatement(NOWHERE, when, held, alert, tail),
        formulas,
        _held,
        _alerts,
        _tails,
    ),
    _claims(),
)


@st.composite
def _quantities(draw: st.DrawFn) -> t.QuantityStatement:
    high = draw(values)
    return t.QuantityStatement(
        NOWHERE,
        draw(words),
        draw(st.none() | bare),
        draw(st.none() | texts),
        t.Value(NOWHERE, draw(_numbers), high.unit),
        high,
        draw(st.none() | values),
        draw(st.none() | values),
        draw(st.none() | values),
        draw(_sources),
    )


@st.composite
def _lets(draw: st.DrawFn) -> t.Let:
    high = draw(st.none() | values)
    low = None if high is None else t.Value(NOWHERE, draw(_numbers), high.unit)
    return t.Let(NOWHERE, draw(words), draw(expressions), low, high, draw(_sources))


@st.composite
def _source_declarations(draw: st.DrawFn) -> t.SourceDeclaration:
    status = draw(st.sampled_from(["document", "second hand", "common practice", "from memory"]))
    must = status in {"document", "second hand"}
    return t.SourceDeclaration(NOWHERE, draw(source_names), status, draw(texts if must else st.none() | texts))


_facts = _word(st.lists(st.from_regex(r"[A-Za-z]{1,6}", fullmatch=True), min_size=1, max_size=3).map(" ".join))
_points = st.lists(st.tuples(values, values), min_size=1, max_size=3).map(tuple)
_dates = _word(st.dates().map(lambda day: day.isoformat()))
_versions = _value(_positive, st.none())

heads: st.SearchStrategy[t.Statement] = st.one_of(
    st.builds(
        lambda kind, name, version: t.Header(NOWHERE, kind, name, version),
        st.sampled_from(["profile", "rules", "display"]),
        texts,
        _versions,
    ),
    st.builds(lambda kind, name: t.Use(NOWHERE, kind, name), st.sampled_from(["profile", "rules"]), texts),
    st.builds(lambda text: t.About(NOWHERE, text), texts),
    _source_declarations(),
    st.lists(_facts, min_size=1, max_size=3).map(lambda facts: t.EngineStatement(NOWHERE, tuple(facts))),
    st.builds(
        lambda weights, of: t.WeightsStatement(NOWHERE, weights[0], weights[1], of),
        st.tuples(values, values) | st.tuples(values, st.none()) | st.tuples(st.none(), values),
        _sources,
    ),
)
declarations: st.SearchStrategy[t.Statement] = st.one_of(
    _quantities(),
    st.builds(
        lambda name, title, at: t.SwitchStatement(NOWHERE, name, title, tuple(at)),
        words,
        st.none() | texts,
        st.lists(positions, min_size=1, max_size=4),
    ),
    _lets(),
    st.builds(
        lambda name, subject, points, otherwise, of: t.Curve(NOWHERE, name, subject, points, otherwise, of),
        words,
        subjects,
        _points,
        st.none() | values,
        _sources,
    ),
    st.builds(
        lambda name, formula, until, set_after, cleared, of: t.ConditionStatement(
            NOWHERE, name, formula, until, set_after, cleared, of
        ),
        words,
        formulas,
        st.none() | formulas,
        st.none() | durations,
        st.none() | durations,
        _sources,
    ),
    durations.map(lambda within: t.Respond(NOWHERE, within)),
)
others: st.SearchStrategy[t.Statement] = st.one_of(
    st.builds(lambda label, rule: t.Labelled(NOWHERE, label, rule), st.none() | words, rules),
    st.builds(lambda label, rule: t.Replace(NOWHERE, label, rule), words, rules),
    st.builds(lambda rule, as_of: t.FollowStatement(NOWHERE, rule, as_of), texts, st.none() | _dates),
    st.builds(
        lambda check, target, reason, until: t.Accept(NOWHERE, check, target, reason, until),
        _word(st.sampled_from(["gap", "thin-band", "x9"])),
        words,
        texts,
        st.none() | _dates,
    ),
    st.builds(lambda target, reason: t.Drop(NOWHERE, target, reason), words, texts),
)
_allowances = st.lists(
    st.builds(
        lambda number, what: t.Allowance(NOWHERE, number, what),
        _value(_positive | st.just(Fraction(1)), st.none()),
        st.sampled_from(["bands per quantity", "contexts", "timers", "alerts", "lamps"]),
    ),
    min_size=1,
    max_size=4,
).map(tuple)
of_displays: st.SearchStrategy[t.Statement] = st.one_of(
    _allowances.map(lambda several: t.Allows(NOWHERE, several)),
    _value(_positive | st.just(Fraction(1)), st.none()).map(lambda length: t.TextLength(NOWHERE, length)),
    _value(_positive | st.just(Fraction(1)), st.none()).map(lambda length: t.LabelLength(NOWHERE, length)),
    durations.map(lambda period: t.Scan(NOWHERE, period)),
    st.lists(_word(colours), min_size=1, max_size=4).map(lambda several: t.Colours(NOWHERE, tuple(several))),
)
of_panels: st.SearchStrategy[t.Statement] = st.one_of(
    st.builds(
        lambda text, shows, sequence, ack, reset: t.LampStatement(NOWHERE, text, tuple(shows), sequence, ack, reset),
        texts,
        st.lists(st.tuples(_word(levels), st.just(True)) | st.tuples(words, st.just(False)), min_size=1, max_size=3),
        st.none()
        | st.builds(
            lambda name, lock_in: t.LampSequence(NOWHERE, name, lock_in),
            _word(st.sampled_from(["A", "M", "R", "F2M"])),
            st.sampled_from([None, True, False]),
        ),
        st.none() | words,
        st.none() | words,
    ),
    st.builds(
        lambda name, label, drawn, sensor, channels: t.GaugeStatement(
            NOWHERE, name, label, drawn, sensor, tuple(channels)
        ),
        words,
        st.none() | texts,
        st.none()
        | st.builds(
            lambda shape, unit, step: t.DrawnAs(NOWHERE, shape, unit, step),
            st.sampled_from(["dial", "bar", "digits"]),
            st.none() | units,
            st.none() | values,
        ),
        st.none() | texts,
        st.lists(texts, max_size=3),
    ),
    st.builds(
        lambda name, label, wired, channel: t.InputStatement(NOWHERE, name, label, wired, channel),
        words,
        st.none() | texts,
        st.none()
        | st.builds(lambda to, at: t.Wired(NOWHERE, to, at), st.sampled_from(["ground", "supply"]), positions),
        st.none() | texts,
    ),
)
statements: st.SearchStrategy[t.Statement] = st.one_of(heads, declarations, others, of_displays, of_panels)
