"""Workers change the wall time, never the answer."""

from __future__ import annotations

import os
import time
from collections.abc import Iterator

import numpy as np
import pandas as pd
import pytest

from paryield.errors import InputError
from paryield.evaluate.parallel import run_tasks, workers_of

TASKS = [(seed, 4000) for seed in range(6)]


def mean_of(task: tuple[int, int]) -> float:
    seed, size = task
    return float(np.random.default_rng(seed).normal(size=size).mean())


def process_of(task: int) -> tuple[int, str | None]:
    time.sleep(0.2)
    return os.getpid(), os.environ.get("OMP_NUM_THREADS")


def fail_on_three(task: int) -> int:
    if task == 3:
        raise InputError("the third task has no rounds", where="G03")
    return task


def test_two_workers_give_the_answers_of_one() -> None:
    seen: list[tuple[int, int]] = []
    alone = run_tasks(mean_of, TASKS)
    both = run_tasks(mean_of, TASKS, 2, progress=lambda done, of: seen.append((done, of)))
    assert both == alone == [mean_of(task) for task in TASKS]
    assert seen == [(count, 6) for count in range(1, 7)]


def test_two_workers_are_two_processes_with_a_thread_each() -> None:
    found = run_tasks(process_of, list(range(6)), 2)
    assert 1 <= len({process for process, _ in found}) <= 2
    assert os.getpid() not in {process for process, _ in found}
    assert {threads for _, threads in found} == {"1"}


@pytest.mark.parametrize("workers", [1, 2])
def test_an_error_of_a_task_is_that_error(workers: int) -> None:
    with pytest.raises(InputError, match="third task") as caught:
        run_tasks(fail_on_three, list(range(5)), workers)
    assert "third task has no rounds" in caught.value.line()


@pytest.mark.parametrize("text", ["two", "-1", "1.5", ""])
def test_other_words_are_refused(text: str) -> None:
    with pytest.raises(InputError, match="neither a number"):
        workers_of(text)


def test_a_count_or_an_address() -> None:
    assert workers_of("2") == 2
    assert workers_of(0) == (os.cpu_count() or 1)
    assert workers_of("tcp://10.0.0.5:8786") == "tcp://10.0.0.5:8786"


@pytest.fixture(scope="module")
def scheduler() -> Iterator[str]:
    """Return the address of a cluster of two worker processes on this machine."""
    distributed = pytest.importorskip("distributed", reason="the client of a cluster is not installed")
    with distributed.LocalCluster(
        n_workers=2, threads_per_worker=1, processes=True, dashboard_address=None, silence_logs=50
    ) as cluster:
        yield cluster.scheduler_address


@pytest.mark.filterwarnings("ignore::DeprecationWarning", "ignore::ResourceWarning")
def test_a_cluster_of_two_workers_gives_the_same_answers(scheduler: str) -> None:
    began = time.perf_counter()
    alone = run_tasks(mean_of, TASKS)
    middle = time.perf_counter()
    spread = run_tasks(mean_of, TASKS, scheduler)
    ended = time.perf_counter()
    print(f"wall time on two workers / in one process: {(ended - middle) / (middle - began):.2f}")
    assert spread == alone


@pytest.mark.filterwarnings("ignore::DeprecationWarning", "ignore::ResourceWarning")
def test_a_cluster_that_does_not_answer_is_one_line(monkeypatch: pytest.MonkeyPatch) -> None:
    pytest.importorskip("distributed", reason="the client of a cluster is not installed")
    monkeypatch.setattr("paryield.evaluate.parallel.CONNECT_SECONDS", 1)
    with pytest.raises(InputError, match="no cluster answers"):
        run_tasks(mean_of, TASKS, "tcp://127.0.0.1:9")


@pytest.mark.slow
@pytest.mark.filterwarnings("ignore::DeprecationWarning", "ignore::ResourceWarning")
def test_fits_on_a_cluster_of_two_workers_give_the_answers_of_one_process(scheduler: str) -> None:
    from paryield.evaluate.backtest import backtest_tables
    from paryield.model.spec import ModelSpec
    from paryield.synth import ClubSpec, make_club

    tables = make_club(ClubSpec(golfers=6, weeks=40, seed=3)).tables
    spec = ModelSpec(chains=2, draws=60, tune=120, seed=11)
    began = time.perf_counter()
    alone = backtest_tables(tables, [4], spec, origins=2, workers=1)
    middle = time.perf_counter()
    spread = backtest_tables(tables, [4], spec, origins=2, workers=scheduler)
    ended = time.perf_counter()
    seconds = ended - middle, middle - began
    print(f"\n2 fits on two workers {seconds[0]:.0f} s, in one process {seconds[1]:.0f} s: ", end="")
    print(f"ratio {seconds[0] / seconds[1]:.2f}")
    pd.testing.assert_frame_equal(spread.scores, alone.scores, check_exact=True)
