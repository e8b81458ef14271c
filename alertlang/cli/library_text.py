"""What `alertlang library` says, as lines."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

from alertlang.output.basis import names_of, weak_numbers
from alertlang.output.library import columns, heading, points, statements
from alertlang.output.style import Line

if TYPE_CHECKING:
    from alertlang.api.library import Affected, Base, BrokenEntry, Entry, EntryState, Meaning, Signing, State


def _counts(entry: Entry) -> str:
    said = [f"{n} {word}{'' if word == 'accepted' or n == 1 else 's'}" for word, n in entry.counts.items() if n]
    open_claims = sum(1 for claim in entry.claims if claim["verdict"] != "proved")
    if open_claims:
        said.append(f"{open_claims} not proved")
    return ", ".join(said) if said else "none"


def _left(left: Sequence[str], width: int) -> list[Line]:
    said = (f"left by an interrupted run, or of one that is at work: {text}; if none is, remove it" for text in left)
    return points(said, width, style="warning", first="", rest="  ")


def _broken(broken: BrokenEntry, width: int) -> list[Line]:
    return points([f"{broken.message}: {broken.way_out}"], width, style="error")


def list_lines(states: Sequence[State], left: Sequence[str], problems: Sequence[str], width: int) -> list[Line]:
    after = [*_left(left, width), *points(problems, width, style="error", first="", rest="  ")]
    if not states:
        return [[("", "the library is empty: alertlang library add FILE puts a rule set in")], *after]
    from alertlang.api.library import SHORT, BrokenEntry

    rows = []
    broken: list[Line] = []
    for state in states:
        if isinstance(state, BrokenEntry):
            rows.append((state.name, "", "", "", "cannot be read"))
            broken += _broken(state, width)
            continue
        word = state.approval_word if state.unchanged else f"changed, {state.approval_word}"
        entry = state.entry
        rows.append((entry.name, str(entry.version), entry.rules_digest[:SHORT], _counts(entry), word))
    return [*columns(rows, ("name", "version", "digest", "findings", "state")), *broken, *after]


def signing_lines(signing: Signing, width: int) -> list[Line]:
    """What a reviewer signs: all of it, nothing counted only."""
    from alertlang.api.library import say_finding

    entry = signing.entry
    lines: list[Line] = [
        [("strong", f"to be signed: {entry.name} version {entry.version}")],
        [("", f"digest of the rules: {entry.rules_digest}")],
        [("", f"findings: {_counts(entry)}")],
        *points((say_finding(f) for f in entry.findings), width),
        [("", f"exceptions: {len(entry.accepted) or 'none'}")],
        *points((f"{a['check']} on {a['target']}: {a['reason']}" for a in entry.accepted), width),
        [("", f"claims: {len(entry.claims) or 'none'}")],
        *points((f"{c['verdict']}{_leaning(c)}: {c['label']}" for c in entry.claims), width),
    ]
    if signing.approvers:
        said = f"approved as it is by {' and by '.join(f'{who}, reviewer of the shop' for who in signing.approvers)}"
        return [*lines, *points([said], width, first="", rest="  ")]
    if signing.last is None or signing.meaning is None:
        said = "nothing is kept of an earlier approval to hold it against"
        return [*lines, *points([said], width, first="", rest="  ")]
    before = f"since version {signing.last.version} was approved ({signing.last.rules_digest[:16]}):"
    return [*lines, [("strong", before)], *statements(signing.gone, signing.come), *_meaning(signing.meaning, width)]


def state_lines(
    states: Sequence[State], wrong: Sequence[State], left: Sequence[str], problems: Sequence[str], width: int
) -> list[Line]:
    """Entries that are not as they should be in full; the others counted. `problems`: those of the library itself, and
    what is said of private keys."""
    from alertlang.api.library import BrokenEntry

    lines: list[Line] = []
    for state in states:
        if isinstance(state, BrokenEntry):
            lines += [heading("error", "cannot be read", state.name), *_broken(state, width)]
            continue
        notes = _state(state, width)
        if state in wrong or notes:
            word = "not as it was" if not state.unchanged or state.differences else state.approval_word
            if state in wrong and state.good and state.approved:
                word = f"only {word}"
            lines += [heading("error" if state in wrong else "note", word, state.entry.name), *notes]
    lines += _left(left, width)
    lines += points(problems, width, style="error", first="", rest="  ")
    good = len(states) - len(wrong)
    approved = sum(1 for state in states if state.approved)
    rechecked = any(not isinstance(state, BrokenEntry) and state.differences is not None for state in states)
    again = "; checked again" if rechecked else ""
    count = f"{good} of {len(states)} {'entry' if len(states) == 1 else 'entries'}"
    said = f"{count} as they should be; {approved} approved by a reviewer of the shop{again}"
    return [*lines, *points([said], width, style="error" if wrong or problems else "good", first="", rest="")]


def _state(state: EntryState, width: int) -> list[Line]:
    lines = points(state.problems, width, style="error")
    for file in state.files:
        if file.status == "layout":
            lines += points([f"files/{file.file}: layout or comments differ, which does not count"], width)
        elif file.status != "same":
            lines += points([f"files/{file.file} {file.why}"], width, style="error")
            lines += statements(file.gone, file.come)
    if state.meaning is not None:
        lines += _meaning(state.meaning, width)
    for approval in state.approvals:
        if approval.status != "holds":
            style = "error" if approval.bad else "warning"
            lines += points(
                [f"approval by {approval.by}: {_word(approval.status)}: {approval.why}"], width, style=style
            )
        elif approval.why:
            said = f"approval by {approval.by} holds, {approval.why}"
            lines += points([said], width, style="warning")
    return lines + points(state.differences or (), width, style="error")


def _word(status: str) -> str:
    return "no longer covers it" if status == "outdated" else status


def _meaning(meaning: Meaning, width: int) -> list[Line]:
    style = "error" if meaning.less_strict or not meaning.known else "warning"
    return points([f"by meaning: {meaning.summary}"], width, style=style)


def entry_lines(state: EntryState, bases: Sequence[Base], numbers: Mapping[str, int], width: int) -> list[Line]:
    """All of an entry. `numbers`: how many have which grade of source."""
    from alertlang.api.library import SHORT, say_finding

    entry = state.entry
    lines: list[Line] = [
        [("strong", f"{entry.name} version {entry.version}"), ("dim", f"  {entry.rules_digest[:SHORT]}")],
        [("", f"{'review:':<12}{state.approval_word}")],
    ]
    holding = [a for a in state.approvals if a.status == "holds"]
    lines += points((f"{a.reviewer} on {a.date}, key {a.keyid[:16]}" for a in holding), width)
    lines += _state(state, width)
    lines.append([("", f"checked by: alertlang {entry.tool}, {entry.solver}")])
    if weak := weak_numbers(numbers):
        lines += points([weak], width, style="warning", first="", rest="")
    lines += [[], [("strong", "Files")]]
    lines += [
        [("", line)]
        for row in columns(
            [(pinned.file, f"version {pinned.version}", pinned.canonical[:16]) for pinned in entry.files],
            ("file", "version", "digest of what counts"),
        )
        for _, line in row
    ]
    lines += [[], [("strong", f"Findings: {_counts(entry)}")]]
    lines += points((say_finding(finding) for finding in entry.findings), width)
    if entry.claims:
        lines += [[], [("strong", "Claims")]]
        lines += points((f"{c['verdict']}{_leaning(c)}: {c['label']}" for c in entry.claims), width)
    if entry.accepted:
        lines += [[], [("strong", "Accepted exceptions")]]
        lines += points((f"{a['check']} on {a['target']}: {a['reason']}" for a in entry.accepted), width)
    for base in bases:
        lines += _base(base, width)
    return lines


def _leaning(claim: Mapping[str, Any]) -> str:
    used = claim["assumptions"]
    return f", assuming {names_of(used)}" if used and claim["verdict"] == "proved" else ""


def _base(base: Base, width: int) -> list[Line]:
    head, state = f"Builds on {base.name} version {base.version}", f" ({base.state})"
    lines: list[Line] = [[], [("strong", head)]]
    if len(head + state) <= width:
        lines[-1].append(("dim", state))
    else:
        lines += points([base.state], width, style="warning")
    for departure in base.departures:
        why = f" because: {departure.reason}" if departure.reason else ""
        lines += points([f"{departure.what} {departure.label}".rstrip() + why], width)
        lines += statements(
            [departure.before] if departure.before else [], [departure.after] if departure.after else []
        )
    if base.meaning is not None:
        lines += _meaning(base.meaning, width)
    return lines


def affected_lines(
    file: str, found: Sequence[Affected], alike: Sequence[str], broken: Sequence[BrokenEntry], width: int
) -> list[Line]:
    lines: list[Line] = []
    for other in broken:
        lines += [heading("error", "cannot be read", other.name), *_broken(other, width)]
    for affected in found:
        lines.append(heading("warning", "touched", affected.entry.name))
        lines += _meaning(affected.meaning, width)
        if affected.now is not None:
            lines += points([f"findings: {_counts(affected.entry)} before; {_counts(affected.now)} with it"], width)
            lines += points(affected.differences, width)
    said = f"{file} touches {len(found)} {'entry' if len(found) == 1 else 'entries'}"
    if alike:
        said += f"; {len(alike)} {'has' if len(alike) == 1 else 'have'} it already"
    if broken:
        said += f"; nothing is known of {len(broken)} that cannot be read"
    return [*lines, *points([said], width, first="", rest="")]
