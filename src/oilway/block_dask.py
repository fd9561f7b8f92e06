"""Blocks of a spread solved by the workers of a Dask cluster, on this computer or on many.

Dask is an extra: it is long kept, plain Python, and hands a block to another worker when one dies.  Blocks come
back as they are solved; the one who asked keeps them, so workers need no disk in common.
"""

from __future__ import annotations

import logging
import pickle
from collections import deque
from collections.abc import Iterator, Sequence
from contextlib import ExitStack, contextmanager
from functools import lru_cache
from typing import Any

from oilway import __version__
from oilway.errors import InputError, Place, Problem
from oilway.solve.batch import cores_here
from oilway.study.spread_job import Job, Solve
from oilway.study.spread_work import Block

LOCAL = "local"
AHEAD = 4  # blocks handed out per worker
PATIENCE = 30.0  # s without a block before it is asked whether a worker is left
# On the loopback only, and without pages of its own: nobody else is let in.  What goes wrong comes back with its
# block; what workers say of their own end, when all is done, would frighten people.
ALONE: dict[str, Any] = {
    "threads_per_worker": 1,
    "processes": True,
    "host": "127.0.0.1",
    "dashboard_address": None,
    "worker_dashboard_address": None,
    "silence_logs": logging.CRITICAL,
}
PLACE = Place("--dask")
KEPT = "with --keep what is solved stays, and the same command solves the rest"


@contextmanager
def on_dask(address: str) -> Iterator[Solve]:
    """Solve blocks at the scheduler of this address, or on a cluster of this computer's cores for ``local``.

    Errors: :class:`InputError` where Dask is not installed, nothing answers there, or its workers are of another
    version of Oilway or are all gone.
    """
    try:
        import distributed
    except ImportError:
        what = "it needs an extra that is not installed"
        raise InputError(Problem(PLACE, what, "pip install 'oilway[dask]', or leave --dask out")) from None
    dask: Any = distributed  # its functions carry no types
    with ExitStack() as stack:
        if address == LOCAL:
            cluster = stack.enter_context(dask.LocalCluster(n_workers=cores_here(), **ALONE))
            yield over_client(stack.enter_context(dask.Client(cluster)))
            return
        try:
            client = stack.enter_context(dask.Client(address))
        except (OSError, ValueError) as err:
            hint = f"write 'tcp://HOST:8786', or '{LOCAL}' for the cores of this computer"
            raise InputError(Problem(PLACE, f"no scheduler answers at '{address}': {err}", hint)) from None
        yield over_client(client)


def over_client(client: Any) -> Solve:
    """Solve blocks by the workers of a Dask client."""
    import distributed

    wait: Any = distributed.wait

    def solve(job: Job, blocks: Sequence[range]) -> Iterator[Block]:
        packed, waiting = pickle.dumps(job), deque(blocks)
        going: set[Any] = set()
        while waiting or going:
            # Not all at once: the job goes along with each, so that none is lost with the worker that held it.
            while waiting and len(going) < AHEAD * max(1, _workers(client)):
                block = waiting.popleft()
                going.add(client.submit(solved, packed, block.start, block.stop, __version__, pure=False))
            try:
                done = wait(going, timeout=PATIENCE, return_when="FIRST_COMPLETED").done
            except TimeoutError:
                if not _workers(client):
                    raise InputError(Problem(PLACE, "no worker is left", KEPT)) from None
                continue
            going -= done
            for future in done:
                came = future.result()
                if isinstance(came, str):
                    what = f"a worker has Oilway {came}, this is {__version__}: their numbers do not mix"
                    raise InputError(Problem(PLACE, what, "install the same version everywhere"))
                yield came

    return solve


def _workers(client: Any) -> int:
    """How many there are; none where the scheduler itself is gone."""
    try:
        return len(client.nthreads())
    except OSError:
        return 0


def solved(packed: bytes, first: int, last: int, version: str) -> Block | str:
    """The block of these sets of a pickled job: what a worker does; one of another version tells its own."""
    return _unpacked(packed).solve(first, last) if version == __version__ else __version__


@lru_cache(maxsize=2)
def _unpacked(packed: bytes) -> Job:
    """The job, whose System a worker builds only once."""
    job = pickle.loads(packed)
    assert isinstance(job, Job)
    return job
