"""Goals put together into steps, and the steps into an order in which little has to be changed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from alertlang.documents.cards.goals import Goal, Setting, Stimuli


@dataclass(slots=True)
class Block:
    """Stimuli that follow each other at once; what a part does not name stays as it is. The goals are shown by the
    last part."""

    parts: list[dict[str, Setting]]
    goals: list[Goal] = field(default_factory=list)


def packed(goals: Sequence[Goal]) -> list[Block]:
    """Goals in as few blocks as first-fit finds: those that set nothing differently share one. Whoever asks for most
    comes first."""
    found: list[Block] = []
    shared: list[Block] = []
    for goal in sorted(goals, key=lambda one: -len(one.parts[-1])):
        if goal.alone or len(goal.parts) > 1:
            parts = [dict(part) for part in goal.parts]
            same = None if goal.alone else next((b for b in found if _agree(b.parts, parts)), None)
            if same is None:
                found.append(Block(parts, [goal]))
            else:
                for given, more in zip(same.parts, parts, strict=True):
                    given.update(more)
                same.goals.append(goal)
            continue
        wanted = goal.parts[0]
        for block in shared:
            given = block.parts[0]
            if all(given.get(name, setting) == setting for name, setting in wanted.items()):
                given.update(wanted)
                block.goals.append(goal)
                break
        else:
            shared.append(Block([dict(wanted)], [goal]))
    return [*shared, *found]


def _agree(one: Sequence[Stimuli], other: Sequence[Stimuli]) -> bool:
    """Whether two blocks can be gone through as one."""
    return len(one) == len(other) and all(
        given.get(name, setting) == setting
        for given, more in zip(one, other, strict=True)
        for name, setting in more.items()
    )


def least(goals: Sequence[Goal]) -> int:
    """So many steps are needed at least: no stimulus can be at two values at once."""
    values: dict[str, set[Setting]] = {}
    for goal in goals:
        for part in goal.parts:
            for name, setting in part.items():
                if len(part) == 1:
                    values.setdefault(name, set()).add(setting)
    return max((len(found) for found in values.values()), default=0)


def in_order(blocks: Sequence[Block], start: Stimuli) -> list[Block]:
    """The nearest block next, by how many stimuli change; the first of those that are equally near."""
    state = dict(start)
    left = list(blocks)
    found: list[Block] = []
    while left:
        place = min(range(len(left)), key=lambda i: (_changes(state, left[i].parts[0]), i))
        block = left.pop(place)
        for part in block.parts:
            state.update(part)
        found.append(block)
    return found


def _changes(state: Stimuli, part: Stimuli) -> int:
    return sum(state[name] != setting for name, setting in part.items())
