"""Solver, evaluator of one instant, stepper, replay and verdicts on many fresh rule sets: do they agree?

    python -m tests.agreement 5000 --seed 7

Prints how many rule sets had what, and every kind of disagreement with the smallest text that was found for it; the
texts are saved in `.fuzz/`. Ends with 1 if anything did not agree.
"""

from __future__ import annotations

import argparse
import random
import secrets
import sys
import traceback
from collections import Counter
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from functools import partial
from os import cpu_count
from pathlib import Path

from alertlang.model import ruleset as m
from tests.helpers.agreeing import Disagreement, instant_and_solver, stepper_and_replay, stepper_and_solver, trace
from tests.helpers.verdicts import verdicts_and_stepper
from tests.helpers.whole import features, load, smaller, whole


@dataclass(frozen=True)
class Outcome:
    number: int
    text: str
    features: frozenset[str]
    found: tuple[Disagreement, ...]


def disagreements(text: str, chance: random.Random) -> Iterator[Disagreement]:
    """All that does not agree on one text. What breaks is a disagreement too."""
    rules = load(text)
    assert rules is not None, text
    for part in (instant_and_solver, _over_time, verdicts_and_stepper):
        try:
            yield from part(rules, chance)
        except Exception as failure:
            yield f"{part.__name__}: {type(failure).__name__}", "".join(traceback.format_exception(failure)[-3:])


def _over_time(rules: m.RuleSet, chance: random.Random) -> Iterator[Disagreement]:
    for _ in range(2):
        yield from stepper_and_solver(rules, trace(rules, chance))
        yield from stepper_and_replay(rules, trace(rules, chance))


def one(seed: str, number: int) -> Outcome:
    """The rule set of a number, and all that was found on it, each kind once."""
    text = whole(random.Random(f"{seed} {number}"))
    rules = load(text)
    assert rules is not None, text
    found = dict(disagreements(text, random.Random(f"{seed} {number} more")))
    return Outcome(number, text, features(rules), tuple(found.items()))


def least(outcome: Outcome, kind: str, seed: str) -> str:
    """The text of an outcome without what a kind of disagreement does not need."""

    def fails(text: str) -> bool:
        return any(k == kind for k, _ in disagreements(text, random.Random(f"{seed} {outcome.number} more")))

    return smaller(outcome.text, fails)


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("count", type=int, help="how many rule sets")
    parser.add_argument("--seed", default=str(secrets.randbelow(10**9)), help="draw what an earlier run drew")
    parser.add_argument("--shown", type=int, default=3, help="texts made small for each kind")
    options = parser.parse_args()
    has: Counter[str] = Counter()
    kinds: dict[str, list[tuple[Outcome, str]]] = {}
    with ProcessPoolExecutor(cpu_count()) as pool:
        for outcome in pool.map(partial(one, options.seed), range(options.count), chunksize=4):
            has.update(outcome.features)
            for kind, told in outcome.found:
                kinds.setdefault(kind, []).append((outcome, told))
        print(f"{options.count} rule sets, SEED={options.seed}")
        for feature, count in sorted(has.items()):
            print(f"{count:8} with {feature}")
        print(f"{sum(map(len, kinds.values())):8} disagreements")
        for kind, outcomes in sorted(kinds.items()):
            print(f"{len(outcomes):8} {kind}")
        for kind, outcomes in sorted(kinds.items()):
            few = outcomes[: options.shown]
            texts = pool.map(partial(least, kind=kind, seed=options.seed), [o for o, _ in few])
            for (outcome, told), text in zip(few, texts, strict=True):
                print(f"saved {_save(options.seed, outcome, kind, told, text)}")
    return 1 if kinds else 0


def _save(seed: str, outcome: Outcome, kind: str, told: str, text: str) -> Path:
    folder = Path(".fuzz")
    folder.mkdir(exist_ok=True)
    path = folder / f"agreement-{seed}-{outcome.number}-{'-'.join(kind.replace(':', '').split())}.alert"
    comment = "".join(f"# {line}\n" for line in f"{kind}, SEED={seed} number {outcome.number}\n{told}".splitlines())
    path.write_text(f"{text}\n{comment}\n# the whole text\n" + "".join(f"#   {x}\n" for x in outcome.text.splitlines()))
    return path


if __name__ == "__main__":
    sys.exit(main())
