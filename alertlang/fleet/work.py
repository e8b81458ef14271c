"""Going through logs on the cores of this machine, one log after the other on each.

A log that takes its process down with it (no memory left, say) fails alone: the others that were under way are gone
through again, each in a process of its own.
"""

from __future__ import annotations

import multiprocessing
import os
import signal
import threading
from collections.abc import Generator, Iterable, Iterator
from concurrent.futures import FIRST_COMPLETED, Future, ProcessPoolExecutor, wait
from concurrent.futures.process import BrokenProcessPool
from dataclasses import dataclass
from pathlib import Path

from alertlang.fleet.key import digest_of_file, key_of
from alertlang.fleet.store import FleetError, Store, packed
from alertlang.logs.column_map import ColumnMap
from alertlang.logs.log_error import LogError
from alertlang.model.ruleset import RuleSet

DIED = "its process died; it may need more memory than there is"


@dataclass(frozen=True, slots=True)
class Job:
    """A log to go through; `shown`: what it is called."""

    path: Path
    shown: str


@dataclass(frozen=True, slots=True)
class Common:
    """What all logs have in common. `everything`: the digest of it. `done`: the folder of results, none where it is out
    of reach; `again`: whether what is in it already counts for nothing. `tool`: the version that asks."""

    ruleset: RuleSet
    column_map: ColumnMap | None
    everything: str
    tool: str
    folder: Path | None = None
    again: bool = False


@dataclass(frozen=True, slots=True)
class LogOutcome:
    """What became of a log. `key`: what its result is kept under, none if it failed, and `failed` says why. `before`:
    it was kept already. `packed`: the result, where it could not be kept there. `stop`: no other log will do."""

    shown: str
    sha256: str | None = None
    key: str | None = None
    failed: str | None = None
    before: bool = False
    packed: bytes | None = None
    stop: FleetError | None = None


def look(job: Job, common: Common) -> LogOutcome:
    """One log. Raises nothing for what is wrong with it."""
    try:
        return _look(job, common)
    except FleetError as problem:
        return LogOutcome(job.shown, stop=problem)
    except LogError as problem:
        return LogOutcome(job.shown, failed=str(problem).removeprefix(f"{job.shown}: "))
    except OSError as problem:
        return LogOutcome(job.shown, failed=f"cannot be read: {(problem.strerror or str(problem)).lower()}")
    except MemoryError:
        return LogOutcome(job.shown, failed="there is not enough memory for it")
    except Exception as problem:
        return LogOutcome(job.shown, failed=f"a fault of the tool itself: {type(problem).__name__}: {problem}")


def _look(job: Job, common: Common) -> LogOutcome:
    stamp = _stamp(job.path)
    digest = digest_of_file(job.path)
    key = key_of(digest, common.everything)
    store = None if common.folder is None else Store(common.folder)
    if store is not None and not common.again and store.get(key) is not None:
        return LogOutcome(job.shown, digest, key, before=True)
    from alertlang.fleet.log import kept
    from alertlang.replay.run import replay

    found = packed(kept(replay(job.path, common.ruleset, common.column_map, shown=job.shown)))
    if _stamp(job.path) != stamp:
        return LogOutcome(job.shown, failed="it changed while it was read: start again once nobody writes to it")
    if store is None:
        return LogOutcome(job.shown, digest, key, packed=found)
    store.put(key, found)
    return LogOutcome(job.shown, digest, key)


def _stamp(path: Path) -> tuple[int, int]:
    said = path.stat()
    return said.st_size, said.st_mtime_ns


# ---- the cores of this machine


def on_cores(jobs: Iterable[Job], common: Common, workers: int) -> Iterator[LogOutcome]:
    """What becomes of each log, in the order in which they are finished. No `workers`: in this very process."""
    left = iter(jobs)
    if not workers:
        yield from (look(job, common) for job in left)
        return
    suspects: list[Job] = []
    while True:
        for job in suspects:
            yield from _alone(job, common)
        suspects = yield from _together(left, common, workers)
        if not suspects:
            return


def _together(left: Iterator[Job], common: Common, workers: int) -> Generator[LogOutcome, None, list[Job]]:
    """Goes on until there are no more, or until a process dies; then gives back the logs that were under way."""
    running: dict[Future[LogOutcome], Job] = {}
    with _pool(common, workers) as pool:
        try:
            while True:
                # Two for each core: one to work on, one that waits.
                while len(running) < 2 * workers and (job := next(left, None)) is not None:
                    running[pool.submit(_work, job)] = job
                if not running:
                    return []
                for future in wait(running, return_when=FIRST_COMPLETED).done:
                    outcome = future.result()
                    del running[future]
                    yield outcome
        except BrokenProcessPool:
            return list(running.values())
        except BaseException:
            # Nobody waits for the logs under way: a large one may take long.
            pool.shutdown(wait=False, cancel_futures=True)
            for child in multiprocessing.active_children():
                child.terminate()
            raise


def _alone(job: Job, common: Common) -> Iterator[LogOutcome]:
    with _pool(common, 1) as pool:
        try:
            yield pool.submit(_work, job).result()
        except BrokenProcessPool:
            yield LogOutcome(job.shown, failed=DIED)


def _pool(common: Common, workers: int) -> ProcessPoolExecutor:
    # Not forked: polars has threads, and a fork of a process with threads may hang.
    spawn = multiprocessing.get_context("spawn")
    return ProcessPoolExecutor(workers, mp_context=spawn, initializer=_begin, initargs=(common,))


_common: Common | None = None


def _begin(common: Common) -> None:
    global _common
    _common = common
    # The cores are shared out by logs; threads of polars within a log would only be in each other's way. It looks at
    # this when it is imported, which is at the first log.
    os.environ["POLARS_MAX_THREADS"] = "1"
    # Whoever stops the command stops the process that started this one, which then ends this one.
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    threading.Thread(target=_end_with_parent, daemon=True).start()


def _end_with_parent() -> None:
    """Without this a worker whose parent was killed would wait for ever for the next log."""
    parent = multiprocessing.parent_process()
    if parent is not None:
        parent.join()
        os._exit(1)


def _work(job: Job) -> LogOutcome:
    assert _common is not None, "the pool began with it"
    return look(job, _common)
