"""A spread on a Dask cluster: killing a worker in mid-run loses nothing, and the numbers have the same bits."""

from __future__ import annotations

import builtins
import os
import signal
import subprocess
import sys
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from typing import Any

import numpy as np
import pytest
from distributed import Client, LocalCluster

import oilway
from oilway import block_dask
from oilway.block_dask import ALONE, on_dask, over_client, solved
from oilway.errors import InputError
from oilway.study import spread_job
from oilway.study.spread import Spread, spread
from oilway.study.spread_job import Job
from oilway.study.spread_work import Block

NUMBER, SMALL = 1600, 100


@pytest.fixture(autouse=True)
def _small_blocks(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(spread_job, "BLOCK", SMALL)


@pytest.fixture(scope="module")
def here() -> Spread:
    """The spread solved in this process, in blocks of another size."""
    return spread(oilway.load("direct relief"), number=NUMBER)


@contextmanager
def watched() -> Iterator[Client]:
    """Two workers that are started anew when they die."""
    with LocalCluster(n_workers=2, **ALONE) as cluster, Client(cluster) as client:
        yield client


@contextmanager
def unwatched() -> Iterator[Client]:
    """Two workers joined by the address of the scheduler, which nobody starts anew."""
    with LocalCluster(n_workers=0, **ALONE) as cluster, Client(cluster) as client:
        worker = [sys.executable, "-m", "distributed.cli.dask_worker", cluster.scheduler_address, "--no-nanny"]
        words = ["--nthreads", "1", "--no-dashboard", "--host", "127.0.0.1"]
        started = [
            subprocess.Popen([*worker, *words], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
            for _ in range(2)
        ]
        try:
            client.wait_for_workers(2, timeout=60)
            yield client
        finally:
            for process in started:
                process.kill()
                process.wait()


class Killing:
    """Solves blocks by a client, and kills a worker with work in hand as soon as the first block is back."""

    def __init__(self, client: Client) -> None:
        self.client, self.killed, self.in_hand = client, "", 0

    def __call__(self, job: Job, blocks: Sequence[range]) -> Iterator[Block]:
        for block in over_client(self.client)(job, blocks):
            if not self.killed:
                self._kill()
            yield block

    def _kill(self) -> None:
        hands: dict[str, Any] = self.client.processing()
        self.killed = max(hands, key=lambda worker: len(hands[worker]))
        self.in_hand = len(hands[self.killed])
        os.kill(self.client.run(os.getpid, workers=[self.killed])[self.killed], signal.SIGKILL)


@pytest.mark.parametrize("cluster", [watched, unwatched])
def test_killing_a_worker_in_mid_run_loses_nothing(cluster: Any, here: Spread) -> None:
    with cluster() as client:
        killing = Killing(client)
        told = spread(oilway.load("direct relief"), number=NUMBER, over=killing)
        assert killing.in_hand > 0
        assert killing.killed not in client.nthreads()
    assert told.number == NUMBER
    for output, alone in zip(told.outputs, here.outputs, strict=True):
        assert output.values.tobytes() == alone.values.tobytes()
    assert told.band.lines.tobytes() == here.band.lines.tobytes()


def test_when_no_worker_is_left_it_is_said(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(block_dask, "PATIENCE", 0.2)
    with LocalCluster(n_workers=0, **ALONE) as cluster, on_dask(cluster.scheduler_address) as over:
        assert cluster.scheduler_address.startswith("tcp://127.0.0.1:")  # nobody from outside
        with pytest.raises(InputError, match="no worker is left"):
            spread(oilway.load("direct relief"), number=10, over=over)


def test_a_scheduler_that_is_gone_has_no_workers() -> None:
    class Gone:
        def nthreads(self) -> dict[str, int]:
            raise OSError

    assert block_dask._workers(Gone()) == 0


def test_a_worker_of_another_version_solves_nothing() -> None:
    assert solved(b"", 0, 1, "0.0.0") == oilway.__version__


def test_an_address_where_nothing_answers_is_said() -> None:
    with pytest.raises(InputError, match="no scheduler answers"), on_dask("tcp//nowhere"):
        pass


def test_without_dask_the_extra_is_named(monkeypatch: pytest.MonkeyPatch) -> None:
    real = builtins.__import__

    def without(name: str, *rest: object) -> object:
        if name == "distributed":
            raise ImportError
        return real(name, *rest)

    monkeypatch.setattr(builtins, "__import__", without)
    with pytest.raises(InputError, match=r"oilway\[dask\]"), on_dask("local"):
        pass


def test_the_same_bits_whatever_the_size_of_a_block(here: Spread) -> None:
    again = spread(oilway.load("direct relief"), number=150)
    assert np.array_equal(again.outputs[0].values, here.outputs[0].values[:150])
