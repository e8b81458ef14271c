"""Going through logs on the workers of a Dask cluster. They must see the logs under the same paths."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from importlib import import_module
from typing import Any

from alertlang.fleet.key import digest_of_file, key_of
from alertlang.fleet.store import FleetError, Store
from alertlang.fleet.work import Common, Job, LogOutcome, look


def on_cluster(jobs: Sequence[Job], common: Common, address: str, store: Store) -> Iterator[LogOutcome]:
    """What becomes of each log, in the order in which they are finished; results are kept here. FleetError if there is
    no cluster, or none of its workers can do it."""
    try:
        import distributed

        # It has types in part only.
        dask: Any = distributed
    except ImportError:
        way_out = "pip install 'alertlang[cluster]'"
        raise FleetError("a cluster needs the library distributed, which is not installed", way_out) from None
    left = []
    for job in jobs:
        outcome = None if common.again else _kept(job, common, store)
        if outcome is None:
            left.append(job)
        else:
            yield outcome
    try:
        client = dask.Client(address, timeout="5s", set_as_default=False)
    except Exception as problem:
        why = str(problem).split("\n")[0] or type(problem).__name__
        raise FleetError(
            f"no cluster answers at {address}: {why}", "start its scheduler, or leave out --cluster"
        ) from None
    with client:
        if not client.scheduler_info()["workers"]:
            raise FleetError(f"the cluster at {address} has no worker", "start one: it would be waited for")
        said = client.scatter(common, broadcast=True)
        futures = {client.submit(_on_worker, job, said, pure=False): job for job in left}
        for future in dask.as_completed(list(futures), loop=client.loop):
            job = futures.pop(future)
            try:
                outcome = future.result()
            except Exception as problem:
                outcome = LogOutcome(job.shown, failed=f"failed on its worker: {type(problem).__name__}: {problem}")
            if outcome.packed is not None and outcome.key is not None:
                store.put(outcome.key, outcome.packed)
            yield outcome


def _kept(job: Job, common: Common, store: Store) -> LogOutcome | None:
    try:
        digest = digest_of_file(job.path)
    except OSError:
        return None
    key = key_of(digest, common.everything)
    return LogOutcome(job.shown, digest, key, before=True) if store.get(key) is not None else None


def _on_worker(job: Job, common: Common) -> LogOutcome:
    # The package itself stands above this layer.
    has = import_module("alertlang").__version__
    if has != common.tool:
        raise RuntimeError(f"it has alertlang {has}, not {common.tool}: install the same on all")
    return look(job, common)
