"""Solver, evaluator of one instant, stepper, replay and verdicts on many fresh rule sets: do they agree?

    python -m tests.agreement 5000 --seed 7

Two rule sets of three are whole ones (`tests.helpers.whole`), held against random states and recordings; the third is a
tiny one (`tests.helpers.histories`), held against every history it can have. Prints how many had what, how often the
solver was wider than any history, as it may be where several clocks run, and every kind of disagreement; a few texts
of each kind are made small and saved in `.fuzz/`. Ends with 1 if anything did not agree.
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
from tests.helpers.histories import TooManyError, tiny, verdicts_and_histories
from tests.helpers.verdicts import verdicts_and_stepper
from tests.helpers.whole import features, load, smaller, whole


@dataclass(frozen=True)
class Outcome:
    number: int
    text: str
    features: frozenset[str]
    found: tuple[Disagreement, ...]


def text_of(seed: str, number: int) -> str:
    """The rule set of a number."""
    return (tiny if number % 3 == 2 else whole)(random.Random(f"{seed} {number}"))


def disagreements(text: str, seed: str, number: int) -> Iterator[Disagreement]:
    """All that does not agree on one text. What breaks is a disagreement too."""
    rules, chance = load(text), random.Random(f"{seed} {number} more")
    assert rules is not None, text
    parts = (_every_history,) if number % 3 == 2 else (instant_and_solver, _over_time, verdicts_and_stepper)
    for part in parts:
        try:
            yield from part(rules, chance)
        except Exception as failure:
            yield f"{part.__name__}: {type(failure).__name__}", "".join(traceback.format_exception(failure)[-3:])


def _over_time(rules: m.RuleSet, chance: random.Random) -> Iterator[Disagreement]:
    for _ in range(2):
        yield from stepper_and_solver(rules, trace(rules, chance))
        yield from stepper_and_replay(rules, trace(rules, chance))


def _every_history(rules: m.RuleSet, chance: random.Random) -> Iterator[Disagreement]:
    try:
        yield from verdicts_and_histories(rules)
    except TooManyError:
        yield "wider, too many histories to count", ""


def is_wider(kind: str) -> bool:
    return kind.startswith("wider")


def one(seed: str, number: int) -> Outcome:
    """The rule set of a number, and all that was found on it, each kind once."""
    text = text_of(seed, number)
    rules = load(text)
    assert rules is not None, text
    return Outcome(number, text, features(rules), tuple(dict(disagreements(text, seed, number)).items()))


def least(outcome: Outcome, kind: str, seed: str) -> str:
    """The text of an outcome without what a kind of disagreement does not need."""

    def fails(text: str) -> bool:
        return any(k == kind for k, _ in disagreements(text, seed, outcome.number))

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
                if not is_wider(kind):
                    print(f"number {outcome.number}: {kind}", flush=True)
        print(f"{options.count} rule sets, SEED={options.seed}")
        for feature, count in sorted(has.items()):
            print(f"{count:8} with {feature}")
        wrong = {kind: outcomes for kind, outcomes in sorted(kinds.items()) if not is_wider(kind)}
        for kind, outcomes in sorted(kinds.items()):
            if is_wider(kind):
                print(f"{len(outcomes):8} {kind}")
        print(f"{sum(map(len, wrong.values())):8} disagreements")
        for kind, outcomes in wrong.items():
            print(f"{len(outcomes):8} {kind}")
        for kind, outcomes in wrong.items():
            few = outcomes[: options.shown]
            texts = pool.map(partial(least, kind=kind, seed=options.seed), [o for o, _ in few])
            for (outcome, told), text in zip(few, texts, strict=True):
                print(f"saved {_save(options.seed, outcome, kind, told, text)}")
    return 1 if wrong else 0


def _save(seed: str, outcome: Outcome, kind: str, told: str, text: str) -> Path:
    folder = Path(".fuzz")
    folder.mkdir(exist_ok=True)
    path = folder / f"agreement-{seed}-{outcome.number}-{'-'.join(kind.replace(':', '').split())}.alert"
    comment = "".join(f"# {line}\n" for line in f"{kind}, SEED={seed} number {outcome.number}\n{told}".splitlines())
    path.write_text(f"{text}\n{comment}\n# the whole text\n" + "".join(f"#   {x}\n" for x in outcome.text.splitlines()))
    return path


if __name__ == "__main__":
    sys.exit(main())
