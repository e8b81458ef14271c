"""Goals put together into steps, and the steps into an order in which little has to be changed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from alertlang.groundtest.goals import CardGoal
from alertlang.groundtest.grid import Setting, Stimuli
from alertlang.groundtest.ramp import Ramp


@dataclass(slots=True)
class StimulusBlock:
    """Stimuli that follow each other at once; what a part does not name stays as it is. The goals are shown by the
    last part."""

    parts: list[dict[str, Setting]]
    goals: list[CardGoal] = field(default_factory=list)
    # Moved after the last part, and the goals are shown by that.
    ramp: Ramp | None = None


def packed(goals: Sequence[CardGoal]) -> list[StimulusBlock]:
    """Goals in as few blocks as first-fit finds: those that set nothing differently share one. Those that have to
    be looked at for longest come together, then whoever asks for most."""
    found: list[StimulusBlock] = []
    shared: list[StimulusBlock] = []
    for goal in sorted(goals, key=lambda card_goal: (-card_goal.wait, -len(card_goal.parts[-1]))):
        if goal.alone or len(goal.parts) > 1:
            parts = [dict(part) for part in goal.parts]
            same = None if goal.alone else next((b for b in found if _agree(b.parts, parts)), None)
            if same is None:
                found.append(StimulusBlock(parts, [goal]))
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
            shared.append(StimulusBlock([dict(wanted)], [goal]))
    return [*shared, *found]


def moving(goals: Sequence[CardGoal]) -> list[StimulusBlock]:
    """Goals that a ramp shows: those of the same ramp that set nothing differently share it, in the order in which they
    were found."""
    found: list[StimulusBlock] = []
    for goal in goals:
        parts = [dict(part) for part in goal.parts]
        same = next((block for block in found if block.ramp == goal.ramp and _agree(block.parts, parts)), None)
        if same is None:
            found.append(StimulusBlock(parts, [goal], goal.ramp))
        else:
            for given, more in zip(same.parts, parts, strict=True):
                given.update(more)
            same.goals.append(goal)
    return found


def _agree(one: Sequence[Stimuli], other: Sequence[Stimuli]) -> bool:
    """Whether two blocks can be gone through as one."""
    return len(one) == len(other) and all(
        given.get(name, setting) == setting
        for given, more in zip(one, other, strict=True)
        for name, setting in more.items()
    )


def least(goals: Sequence[CardGoal], base: Stimuli) -> int:
    """So many steps are needed at least: one as usual to begin with, one for each thing that is shown alone, all else
    as usual, and one for each value of one stimulus that none of these has."""
    values: dict[str, set[Setting]] = {}
    for goal in goals:
        if goal.fixed is not None and not goal.alone:
            name, setting = goal.fixed
            if setting is not None and setting != base[name]:
                values.setdefault(name, set()).add(setting)
    return 1 + sum(goal.alone for goal in goals) + max((len(found) for found in values.values()), default=0)


def in_order(blocks: Sequence[StimulusBlock], start: Stimuli) -> list[StimulusBlock]:
    """The nearest block next, by how many stimuli change; the first of those that are equally near."""
    # Every setting by a number, for comparing fractions takes most of the time otherwise.
    numbers: dict[tuple[str, Setting], int] = {}

    def numbered(part: Stimuli) -> dict[str, int]:
        return {name: numbers.setdefault((name, setting), len(numbers)) for name, setting in part.items()}

    state = numbered(start)
    left = [(numbered(block.parts[0]), block) for block in blocks]
    found: list[StimulusBlock] = []
    while left:
        place = min(range(len(left)), key=lambda i: (_changes(state, left[i][0]), i))
        _, block = left.pop(place)
        for part in block.parts:
            state.update(numbered(part))
        found.append(block)
    return found


def _changes(state: dict[str, int], part: dict[str, int]) -> int:
    return len(part.items() - state.items())
