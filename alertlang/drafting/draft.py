"""A complete rule set from profiles, checked before it is handed over."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from pathlib import Path
from textwrap import wrap

from alertlang.checks.run import run
from alertlang.checks.standards.published import CLAUSES, Clause
from alertlang.drafting.bands import DraftedGauge, claims, draw
from alertlang.drafting.demands import gauges, ranges_of
from alertlang.drafting.profile_queries import ProfileQueries
from alertlang.drafting.regions import NumberForms
from alertlang.drafting.style import SCAN_ROOM, Style
from alertlang.drafting.texts import Texts
from alertlang.findings.codes import Severity
from alertlang.findings.finding import Finding
from alertlang.format.text import Refused, format_text
from alertlang.model import ruleset as m
from alertlang.model.files import shipped_profiles
from alertlang.model.load import Loaded, parse_ruleset
from alertlang.output.text import CAUTION
from alertlang.text.short import Short
from alertlang.text.source import Source

_SHOWN = "<draft>"
_AS_USUAL = Style()
_EXPLAINED = {
    "nuisance": "the limit holds with the engine stopped and at rest too, as the profile says it",
    "silent-danger": "the profile asks for no alert there",
    "thin-band": "the numbers are those of the profile",
}


@dataclass(frozen=True, slots=True, repr=False)
class Draft(Short):
    """`text` is the canonical text of the rule set, empty if the profiles could not be read (`findings` say why).
    Otherwise `findings` are those above a note that are left, and `questions` what the profiles do not decide."""

    text: str
    findings: tuple[Finding, ...]
    questions: tuple[str, ...] = ()

    @property
    def is_clean(self) -> bool:
        return bool(self.text) and not self.findings


def draft(
    profiles: Iterable[str],
    *,
    name: str = "draft",
    version: int = 1,
    style: Style = _AS_USUAL,
    search: Iterable[Path] = (),
) -> Draft:
    """From profiles, each a shipped one's name or a file. The same profiles and style give the same bytes."""
    uses: list[str] = []
    folders = list(search)
    for profile in profiles:
        stem = profile
        if profile not in shipped_profiles() and (profile.endswith(".profile") or "/" in profile or "\\" in profile):
            stem = Path(profile).name.removesuffix(".profile")
            if Path(profile).parent not in folders:
                folders.append(Path(profile).parent)
        if stem not in uses:
            uses.append(stem)
    head = f'rules "{name}" version {version}\n\n' + "".join(f'use profile "{use}"\n' for use in uses)
    loaded = _read(head, folders)
    if loaded.ruleset is None:
        return Draft("", loaded.findings)
    world = ProfileQueries(loaded.ruleset)
    numbers = NumberForms(loaded.ruleset)
    texts = Texts(_labels(loaded.ruleset), style.text)
    drawn = [draw(world, gauge, numbers, texts, style) for gauge in gauges(loaded.ruleset)]
    body = _body(world, numbers, texts, style, uses, head, drawn)
    text = _canonical(body)
    if style.follow:
        found = follow_lines(text, lambda rules: _read(rules, folders).ruleset)
        about = "Published rules, as far as the checks look at them; the approved documents decide."
        said = [part for line in found for part in (_comment(line[2:]) if line.startswith("# ") else [line])]
        text = _canonical("\n".join([text, *_comment(about), "", *said]) + "\n")
    checked = _read(text, folders)
    if checked.ruleset is None:
        return Draft(text, checked.findings)
    left = _open(run(checked.ruleset).findings)
    accepted = sorted({(f.code.name, f.statements[0]) for f in left if f.code.name in _EXPLAINED and f.statements})
    if accepted:
        lines = [
            "",
            "# Found by the checks, and left as the profiles have it. Question: is it right on this aircraft?",
            "",
        ]
        lines += [f'accept {check} on {label} because "{_EXPLAINED[check]}"' for check, label in accepted]
        text = _canonical(text + "\n".join(lines) + "\n")
        left = tuple(f for f in left if not f.statements or (f.code.name, f.statements[0]) not in set(accepted))
    questions = (*_switches(loaded.ruleset), *(question for one in drawn for question in one.questions))
    return Draft(text, (*(f for f in checked.findings if f.severity > Severity.NOTE), *left), questions)


def _labels(ruleset: m.RuleSet) -> frozenset[str]:
    return frozenset(r.label for r in ruleset.ranges) | frozenset(a.label for a in ruleset.assumptions)


def _open(findings: tuple[Finding, ...]) -> tuple[Finding, ...]:
    return tuple(f for f in findings if f.severity > Severity.NOTE and f.accepted is None)


def _read(text: str, folders: list[Path]) -> Loaded:
    return parse_ruleset(text.encode("utf-8"), shown=_SHOWN, folder=Path(), search=folders)


def _canonical(text: str) -> str:
    formatted = format_text(Source(_SHOWN, text))
    if isinstance(formatted, Refused):
        said = "; ".join(f"{f.message}: {f.where.text if f.where else ''}" for f in formatted.findings)
        raise AssertionError(f"the draft cannot be formatted: {said or formatted.fault}")
    return formatted


def _comment(text: str) -> list[str]:
    # A note is on one line however long, if a word of it is.
    return wrap(
        text, 106, initial_indent="# ", subsequent_indent="#   ", break_long_words=False, break_on_hyphens=False
    )


def _body(
    world: ProfileQueries,
    numbers: NumberForms,
    texts: Texts,
    style: Style,
    uses: list[str],
    head: str,
    drawn: list[DraftedGauge],
) -> str:
    rules, _, use_lines = head.partition("\n\n")
    lines = [rules, ""]
    lines += _comment(
        f"Drafted from {', '.join(uses)}. It shows what these profiles say, and asks where they are silent."
    )
    lines += _comment(
        f"{CAUTION} Numbers marked second hand or from memory must be checked against the document before they are "
        "used."
    )
    lines += ["#", *(line for choice in _choices(style) for line in _comment(choice))]
    lines += ["", *use_lines.splitlines(), ""]
    lines.append('source DRAFT common practice "chosen by the draft where the profiles are silent; to be decided"')
    for question in _switches(world.ruleset):
        lines += ["", *_comment(f"Question: {question}")]
    for gauge in drawn:
        title = gauge.gauge.quantity.title or gauge.gauge.quantity.name
        name = title if gauge.gauge.index is None else f"{title} {gauge.gauge.index}"
        if not gauge.lines:
            if gauge.gauge.quantity.derived is None and not ranges_of(world, gauge.gauge):
                lines += ["", *_comment(f"{name}: no limit and no range is known of {gauge.gauge.subject}.")]
                lines += _comment("Question: does it need a gauge?")
            continue
        lines += ["", f"# {name}"]
        for line in gauge.lines:
            lines += ["", *(part for note in line.notes for part in _comment(note)), line.text]
    if style.claims:
        proofs = [line.text for gauge in drawn for line in claims(world, gauge.gauge, numbers, texts)]
        if proofs:
            lines += [
                "",
                "# What must be true whatever else is changed: every limit is red, and told in time.",
                "",
                *proofs,
            ]
    return "\n".join(lines) + "\n"


def _switches(ruleset: m.RuleSet) -> list[str]:
    """What must be asked of an aircraft because limits or ranges depend on it and no sensor tells it."""
    read = {name for declared in ruleset.ranges for name in ruleset.switches_read(declared.when)}
    return [
        f"what tells the display of this aircraft where {switch.title or switch.name} stands "
        f"({switch.name} is {', '.join(switch.positions)})? What depends on it is not guarded while nothing does."
        for switch in ruleset.switches.values()
        if switch.name in read
    ]


def _choices(style: Style) -> list[str]:
    room = f" (less {m.in_seconds(SCAN_ROOM)} for the display's scan, half of it at most: common practice, no source)"
    return [
        "How it is marked: red past a limit, yellow in a precaution range, green in a normal range (as 14 CFR 25.1549 "
        "has it, and from memory 23.1549 until 2017). "
        "Where two profiles limit the same, the tightest is in force and both are named.",
        f"Between a normal range and a limit, where nothing is said: {style.between}"
        + (", to be on the safe side." if style.between == "yellow" else ": no colour is guessed."),
        f"Alerts are held back for {m.in_seconds(style.delay)}, or less where a limit allows less{room}."
        if style.delay
        else "Alerts are not held back: the sooner the better, as long as they do not chatter.",
        f"A lower limit of a running engine takes the time that it allows{room}: a start has no pressure yet."
        if style.start_delay
        else "A lower limit of a running engine has no time of its own for the start.",
        "A caution comes where a gauge enters the yellow range above normal: time to act before the limit."
        if style.high_cautions
        else "Yellow ranges have no caution: an alert that comes often is not read on the day it counts.",
        "A sensor that has failed is yellow with a caution."
        if style.failed_cautions
        else "A sensor that has failed has no alert of its own; a blank gauge shows it.",
    ]


# ---- which published rules a draft can say that it follows: those with which no finding comes


# 23.1549 is known from memory alone and says what 25.1549 does; 27 and 29 are for rotorcraft.
_ASKED = ("14 CFR 23.1322", "14 CFR 23.1545", "14 CFR 25.1322", "14 CFR 25.1549", "14 CFR 25.1553", "14 CFR 91.205")


def follow_lines(text: str, read: Callable[[str], m.RuleSet | None]) -> list[str]:
    """`follow` statements, and a comment on each paragraph that does not hold. `read` reads the text of rules."""
    asked = [clause for clause in CLAUSES if clause.rule in _ASKED]
    before = read(text)
    with_all = read(text + "\n" + "\n".join(f'follow "{clause.name}"' for clause in asked) + "\n")
    if before is None or with_all is None:
        return []
    known = {(f.code.name, f.message) for f in run(before).findings if f.severity > Severity.NOTE}
    against: dict[Clause, Finding] = {}
    for finding in run(with_all).findings:
        if (
            finding.severity <= Severity.NOTE
            or finding.accepted is not None
            or (finding.code.name, finding.message) in known
        ):
            continue
        # The name in the text of the finding, without what all of them begin with. In doubt all are against it.
        cited = [clause for clause in asked if clause.name.split()[-1] in finding.message]
        for clause in cited or asked:
            against.setdefault(clause, finding)
    lines: list[str] = []
    for rule in _ASKED:
        of_rule = [clause for clause in asked if clause.rule == rule]
        if not any(clause in against for clause in of_rule):
            lines.append(f'follow "{rule}"')
            continue
        for clause in of_rule:
            if clause in against:
                why = against[clause].message.split(" (14 CFR")[0]
                lines.append(f"# Not followed: {clause.name}: {why}.")
            else:
                lines.append(f'follow "{clause.name}"')
    return lines
