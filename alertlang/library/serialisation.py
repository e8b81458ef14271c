"""What a library has found, as data for JSON: one function for each kind of answer."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from alertlang.library.affected import Affected
from alertlang.library.approving import Signing
from alertlang.library.changes import Meaning
from alertlang.library.departures import Base
from alertlang.library.entry import Entry
from alertlang.library.keys import Reviewer
from alertlang.library.verify import BrokenEntry, State

Json = dict[str, Any]


def state_data(state: State) -> Json:
    """An entry that cannot be read has the same keys, with nothing in them but why."""
    if isinstance(state, BrokenEntry):
        return {
            "name": state.name,
            "readable": False,
            "version": None,
            "digest": None,
            "approves": None,
            "good": False,
            "approved": False,
            "files": [],
            "meaning": None,
            "problems": [f"it cannot be read: {state.message}: {state.way_out}"],
            "approvals": [],
            "differences": None,
        }
    return {
        "name": state.entry.name,
        "readable": True,
        "version": state.entry.version,
        "digest": state.entry.rules_digest,
        "approves": state.entry.content_digest,
        "good": state.good,
        "approved": state.approved,
        "files": [
            {"file": f.file, "status": f.status, "gone": list(f.gone), "come": list(f.come)} for f in state.files
        ],
        "meaning": meaning_data(state.meaning),
        "problems": list(state.problems),
        "approvals": [
            {"file": a.file, "status": a.status, "why": a.why, "reviewer": a.reviewer, "key": a.keyid, "date": a.date}
            for a in state.approvals
        ],
        "differences": None if state.differences is None else list(state.differences),
    }


def key_data(reviewer: Reviewer) -> Json:
    return {
        "key": reviewer.keyid,
        "reviewer": reviewer.name,
        "retired": reviewer.retired,
        "compromised": reviewer.compromised,
    }


def signing_data(signing: Signing) -> Json:
    return {
        **signing.entry.data(),
        "digest": signing.entry.rules_digest,
        "approves": signing.entry.content_digest,
        "approved_by": list(signing.approvers),
        "last_approved": signing.last and {"version": signing.last.version, "digest": signing.last.rules_digest},
        "since_then": {
            "meaning": meaning_data(signing.meaning),
            "gone": list(signing.gone),
            "come": list(signing.come),
        },
    }


def meaning_data(meaning: Meaning | None) -> Json | None:
    if meaning is None:
        return None
    return {
        "known": meaning.known,
        "same": meaning.same,
        "less_strict": meaning.less_strict,
        "summary": meaning.summary,
    }


def entry_data(entry: Entry, found: Sequence[Base], numbers: Mapping[str, int]) -> Json:
    """`numbers`: how many have which grade of source."""
    return {
        **entry.data(),
        "numbers": dict(numbers),
        "digest": entry.rules_digest,
        "approves": entry.content_digest,
        "bases": [
            {
                "name": base.name,
                "version": base.version,
                "state": base.state,
                "meaning": meaning_data(base.meaning),
                "departures": [
                    {"what": d.what, "label": d.label, "before": d.before, "after": d.after, "reason": d.reason}
                    for d in base.departures
                ],
            }
            for base in found
        ],
    }


def affected_data(affected: Affected) -> Json:
    return {
        "name": affected.entry.name,
        "meaning": meaning_data(affected.meaning),
        "findings": None if affected.now is None else list(affected.now.findings),
        "claims": None if affected.now is None else list(affected.now.claims),
        "differences": list(affected.differences),
    }
