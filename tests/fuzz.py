"""A pytest plugin that draws fresh examples over every property until the time is up: `make fuzz MINUTES=10`.

A property is a test of Hypothesis, or one that asks for the fixture `seed`. Each gets its share of the time that is
left, in rounds of growing size, each with a seed of its own made from SEED. What fails is saved with the seed, the
example and, where there is one, the blob for `@reproduce_failure`; the rounds after it go on.
"""

from __future__ import annotations

import random
import re
import secrets
import time
import traceback
from collections.abc import Callable, Iterator
from itertools import chain, repeat
from pathlib import Path

import pytest
from hypothesis import HealthCheck, Phase, is_hypothesis_test, settings
from hypothesis import seed as seeded
from hypothesis.errors import HypothesisException, Unsatisfiable
from hypothesis.internal.conjecture import engine

# Rounds of these sizes, then as many as the test itself asks for. With the size fixed a seed draws the same again.
FIRST_ROUNDS = (10, 25, 50)
# Texts saved of one property: the same fault is met in round after round.
MOST_SAVED = 5
FAILS = (Exception, pytest.fail.Exception)
Call = Callable[..., object]


class TimeIsUp(KeyboardInterrupt):
    """Ends a round of Hypothesis: of these alone it makes no example."""


def pytest_addoption(parser: pytest.Parser) -> None:
    group = parser.getgroup("fuzz")
    group.addoption("--minutes", type=float, default=10, help="for how long to draw")
    group.addoption("--seed", default="", help="draw what an earlier run drew")
    group.addoption("--failures", default=".fuzz", help="the folder for what fails")
    # Set here and read by the workers of xdist, which get these options as they are.
    group.addoption("--fuzz-end", type=float, default=0, help="when to end (set by the plugin)")


def pytest_configure(config: pytest.Config) -> None:
    # Hypothesis shrinks for up to five minutes.
    engine.MAX_SHRINKING_SECONDS = 20
    option = config.option
    option.seed = option.seed or str(secrets.randbelow(10**9))
    option.fuzz_end = option.fuzz_end or time.time() + 60 * option.minutes
    config.pluginmanager.register(Fuzz(config), "fuzz")


def is_property(item: pytest.Item) -> bool:
    return isinstance(item, pytest.Function) and (is_hypothesis_test(item.obj) or "seed" in item._fixtureinfo.argnames)


class Fuzz:
    def __init__(self, config: pytest.Config) -> None:
        self.option = config.option
        self.workers = int(getattr(config, "workerinput", {}).get("workercount", 1))
        self.left = 0
        self.counts: list[tuple[str, int, int, str]] = []
        self.saved: list[str] = []

    @pytest.hookimpl(trylast=True)
    def pytest_collection_modifyitems(self, config: pytest.Config, items: list[pytest.Item]) -> None:
        others = [item for item in items if not is_property(item)]
        items[:] = [item for item in items if is_property(item)]
        config.hook.pytest_deselected(items=others)
        # Each worker of xdist collects them all and runs its part.
        self.left = -(-len(items) // self.workers)

    @pytest.hookimpl(tryfirst=True)
    def pytest_pyfunc_call(self, pyfuncitem: pytest.Function) -> bool:
        share = max(1.0, (self.option.fuzz_end - time.time()) / max(1, self.left))
        self.left -= 1
        one = Property(pyfuncitem, self.option.seed, time.time() + share)
        try:
            one.run()
        finally:
            texts = [self._save(pyfuncitem.nodeid, number, text) for number, text in enumerate(one.texts.values(), 1)]
            pyfuncitem.user_properties.append(("fuzz", [one.examples, one.failures, one.note, texts]))
        if one.failures:
            pytest.fail(f"{one.failures} failures, saved in {', '.join(texts)}", pytrace=False)
        return True

    def _save(self, nodeid: str, number: int, text: str) -> str:
        folder = Path(self.option.failures)
        folder.mkdir(parents=True, exist_ok=True)
        name = re.sub(r"\W+", "-", nodeid.removeprefix("tests/")).strip("-")
        path = folder / f"{name}-seed-{self.option.seed}-{number}.txt"
        path.write_text(text, encoding="utf-8")
        return str(path)

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        found = dict(report.user_properties).get("fuzz")
        if report.when == "call" and isinstance(found, list | tuple):
            examples, failures, note, texts = found
            self.counts.append((report.nodeid, examples, failures, note))
            self.saved += texts

    def pytest_terminal_summary(self, terminalreporter: pytest.TerminalReporter) -> None:
        say = terminalreporter.write_line
        terminalreporter.section("fuzz")
        say(f"{'examples':>9} {'failures':>9}  property")
        for nodeid, examples, failures, note in sorted(self.counts):
            say(f"{examples:9} {failures:9}  {nodeid.removeprefix('tests/')}{note}")
        examples, failures = sum(one[1] for one in self.counts), sum(one[2] for one in self.counts)
        say(f"{examples:9} {failures:9}  in all, {len(self.counts)} properties, SEED={self.option.seed}")
        for path in sorted(self.saved):
            say(f"saved {path}")


class Property:
    """One test in rounds: what it drew and how it failed."""

    def __init__(self, item: pytest.Function, seed: str, until: float) -> None:
        self.item, self.until = item, until
        self.arguments = {name: item.funcargs[name] for name in item._fixtureinfo.argnames}
        self.chance = random.Random(f"{seed} {item.nodeid}")
        self.examples = self.failures = self.calls = 0
        # Texts of different failures, by where they happened.
        self.texts: dict[str, str] = {}
        self.note = ""

    def run(self) -> None:
        rounds = self.drawn() if is_hypothesis_test(self.item.obj) else self.begun()
        while time.time() < self.until or not self.examples + self.failures + self.calls:
            seed = next(rounds, None)
            if seed is None:
                return

    def fresh(self) -> int:
        return self.chance.getrandbits(64)

    def begun(self) -> Iterator[int]:
        """A test with the fixture `seed`, each time with another."""
        for seed in iter(self.fresh, None):
            self.examples += 1
            try:
                self.item.obj(**{**self.arguments, "seed": seed})
            except FAILS as failure:
                self.failed(failure, f"the fixture seed: {seed}")
            yield seed

    def drawn(self) -> Iterator[int]:
        """A test of Hypothesis. Its own words on how many examples, on seeds and on phases are put aside."""
        test = self.item.obj
        own, inner = test._hypothesis_internal_use_settings, test.hypothesis.inner_test
        test.hypothesis.inner_test = self.counting(inner)
        before = None
        for size in chain(FIRST_ROUNDS, repeat(max(100, own.max_examples))):
            seed, calls = self.fresh(), self.calls
            seeded(seed)(test)
            test._hypothesis_internal_use_settings = settings(
                parent=own,
                max_examples=size,
                derandomize=False,
                database=None,
                deadline=None,
                phases=[Phase.generate, Phase.shrink],
                print_blob=True,
                suppress_health_check=list(HealthCheck),
            )
            self.failing = False
            try:
                test(**self.arguments)
            except (TimeIsUp, Unsatisfiable):
                # Of the second: nothing in this round that the test can use.
                pass
            except FAILS as failure:
                self.failed(failure, f"round of {size} examples, @hypothesis.seed({seed})")
            yield seed
            calls = self.calls - calls
            if calls < size and calls == before and not self.failing and time.time() < self.until:
                self.note = " (these are all there are)"
                return
            before = calls

    def counting(self, inner: Call) -> Call:
        def once(*args: object, **kwargs: object) -> None:
            # What fails is shrunk in peace.
            if time.time() > self.until and self.calls and not self.failing:
                raise TimeIsUp
            self.calls += 1
            try:
                inner(*args, **kwargs)
            except HypothesisException:
                raise
            except FAILS:
                self.failing = True
                raise
            self.examples += not self.failing

        return once

    def failed(self, failure: BaseException, how: str) -> None:
        several = failure.exceptions if isinstance(failure, BaseExceptionGroup) else (failure,)
        for one in several:
            self.failures += 1
            frames = traceback.extract_tb(one.__traceback__)
            where = f"{type(one).__name__} {frames[-1].filename}:{frames[-1].lineno}" if frames else type(one).__name__
            if where not in self.texts and len(self.texts) < MOST_SAVED:
                # The notes of an exception are Hypothesis's: the example and its blob.
                told = "".join(traceback.format_exception(one))
                self.texts[where] = f"{self.item.nodeid}\n{how}\n\n{told}"
