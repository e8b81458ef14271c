"""What two runs of the checks have found differently, and runs in several processes."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from alertlang.library.entry import Entry


def in_parallel(work: Any, tasks: Sequence[Any], jobs: int) -> list[Any]:
    """What `work` makes of each task, in their order, in `jobs` processes; below 2 in this one."""
    from concurrent.futures import ProcessPoolExecutor
    from multiprocessing import get_context

    jobs = min(jobs, len(tasks))
    if jobs < 2:
        return [work(task) for task in tasks]
    # A fresh process each: the solver's threads and memory do not survive being copied.
    with ProcessPoolExecutor(jobs, mp_context=get_context("spawn")) as pool:
        return list(pool.map(work, tasks))


def differences(before: Entry, now: Entry) -> tuple[str, ...]:
    """What two runs of the checks have found differently, in words. Wording and places do not count."""
    found: list[str] = []
    if before.tool != now.tool:
        found.append(f"alertlang {now.tool} instead of {before.tool}")
    if before.solver != now.solver:
        found.append(f"{now.solver} instead of {before.solver}")
    old, new = [_identity(finding) for finding in before.findings], [_identity(finding) for finding in now.findings]
    come = [one for one, i in zip(now.findings, new, strict=True) if i not in old]
    gone = [one for one, i in zip(before.findings, old, strict=True) if i not in new]
    for one in come:
        # The same check on the same thing: it has moved, and is not one gone and another come.
        was = next((other for other in gone if _about(other) == _about(one)), None)
        if was is None:
            found.append(f"new finding: {say_finding(one)}")
        else:
            gone = [other for other in gone if other is not was]
            found.append(f"now: {say_finding(one)}, was: {say_finding(was)}")
    found += [f"no longer found: {say_finding(one)}" for one in gone]
    verdicts = {one["label"]: one for one in before.claims}
    for claim in now.claims:
        earlier = verdicts.pop(claim["label"], None)
        if earlier is None:
            found.append(f"new claim {claim['label']}: {claim['verdict']}")
        elif earlier["verdict"] != claim["verdict"]:
            found.append(f"the claim {claim['label']} is {claim['verdict']}, and was {earlier['verdict']}")
        elif earlier["assumptions"] != claim["assumptions"]:
            found.append(f"the proof of {claim['label']} needs other assumptions than before")
    found += [f"the claim {label} is gone" for label in verdicts]
    return tuple(found)


def _identity(one: Mapping[str, Any]) -> Mapping[str, Any]:
    return {key: value for key, value in one.items() if key != "message"}


def _about(one: Mapping[str, Any]) -> tuple[Any, ...]:
    return one["name"], one["file"], one.get("quantity"), one.get("limit"), one.get("statements", ())[:1]


def say_finding(one: Mapping[str, Any]) -> str:
    """One line."""
    accepted = "" if one["accepted"] is None else f" (accepted: {one['accepted']})"
    return f"{one['severity']} {one['name']}: {one['message']}{accepted}"
