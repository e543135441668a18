"""Tasks on several workers: processes of this machine, or an existing cluster by its address."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager

from paryield.errors import InputError

THREADS = ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS", "NUMBA_NUM_THREADS")
"""One thread a worker: workers share the cores, and an answer must not depend on their number."""

CONNECT_SECONDS = 10


def run_tasks[Task, Result](
    function: Callable[[Task], Result],
    tasks: Sequence[Task],
    workers: int | str = 1,
    *,
    progress: Callable[[int, int], None] | None = None,
) -> list[Result]:
    """Run a function on each task and return the results in the order of the tasks.

    The answers are those of one process: a task carries its own seed, and no task sees another.

    Parameters
    ----------
    function : callable
        Importable by name (a function at the top of a module), because workers import it.
    tasks : sequence
        Each is handed to one call; must be picklable.
    workers : int or str
        Count of processes on this machine (1 runs in this one, 0 means one a core), or the address of the
        scheduler of a running Dask cluster, such as ``tcp://10.0.0.5:8786``.
    progress : callable, optional
        Receives how many are done and how many there are, after each.

    Raises
    ------
    InputError
        When the workers are no count and no address, or the cluster does not answer.
    """
    kind = workers_of(workers)
    results: list[Result] = []
    with ordered(function, tasks, kind) as found:
        for result in found:
            results.append(result)
            if progress is not None:
                progress(len(results), len(tasks))
    return results


def workers_of(text: int | str) -> int | str:
    """Return a count of processes, or the address of a scheduler.

    Raises
    ------
    InputError
        When it is neither.
    """
    if isinstance(text, str) and "://" in text:
        return text
    try:
        count = int(text)
    except ValueError:
        count = -1
    if count < 0:
        raise InputError(
            f"{text!r} is neither a number of workers nor the address of a cluster",
            where="--workers",
            remedy="give a number such as 2, or an address such as tcp://10.0.0.5:8786",
        )
    return count or (os.cpu_count() or 1)


@contextmanager
def ordered[Task, Result](
    function: Callable[[Task], Result], tasks: Sequence[Task], workers: int | str
) -> Iterator[Iterator[Result]]:
    """Yield the results in order, from this process, local workers or a cluster."""
    if workers == 1 or (isinstance(workers, int) and len(tasks) < 2):
        yield (function(task) for task in tasks)
        return
    from joblib import Parallel, delayed, parallel_config

    calls = [delayed(function)(task) for task in tasks]
    if isinstance(workers, int):
        with single_threads(), parallel_config("loky", n_jobs=workers, inner_max_num_threads=1):
            yield Parallel(return_as="generator", pre_dispatch="all")(calls)
        return
    with cluster(workers), parallel_config("dask"):
        yield iter(Parallel(pre_dispatch="all")(calls))


@contextmanager
def single_threads() -> Iterator[None]:
    """Let processes that start meanwhile use one thread each."""
    before = {name: os.environ.get(name) for name in THREADS}
    os.environ.update(dict.fromkeys(THREADS, "1"))
    try:
        yield
    finally:
        for name, value in before.items():
            if value is None:
                os.environ.pop(name, None)
            else:
                os.environ[name] = value


@contextmanager
def cluster(address: str) -> Iterator[None]:
    """Work on a running cluster.

    Raises
    ------
    InputError
        When the client is not installed, or nobody answers at the address.
    """
    try:
        from distributed import Client
    except ImportError as error:
        raise InputError(
            "no client for a cluster is installed",
            where=address,
            remedy="pip install 'paryield[cluster]' here and on the workers",
        ) from error
    try:
        client = Client(address, timeout=CONNECT_SECONDS)
    except (OSError, ValueError, TimeoutError) as error:
        raise InputError(
            "no cluster answers at this address", where=address, remedy="check the address of its scheduler"
        ) from error
    try:
        yield
    finally:
        client.close()
