"""A server of the page without a network, and files that a test may break and mend."""

from __future__ import annotations

import shutil
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

import oilway
from oilway.page.server import app
from oilway.page.session import Session
from oilway.study.dictionary import bench_of, build
from oilway.study.story import examples

BASE = "http://127.0.0.1:8765"
HOIST = examples() / "tipping_hoist.yaml"


@pytest.fixture(scope="module")
def hoist() -> Iterator[TestClient]:
    """The hoist, served; for tests that leave it as it is."""
    with TestClient(app(Session(str(HOIST))), base_url=BASE) as client:
        yield client


@pytest.fixture
def serve() -> Callable[..., TestClient]:
    """``serve(file, changes)``: another file, served, without a watch on it."""

    def build(file: str | Path, changes: dict[str, str] | None = None) -> TestClient:
        return TestClient(app(Session(str(file), changes)), base_url=BASE)

    return build


@pytest.fixture
def own_hoist(tmp_path: Path) -> Path:
    """A copy of the hoist that a test may change."""
    return Path(shutil.copy(HOIST, tmp_path / "hoist.yaml"))


def by_channel(scene: dict[str, Any], values: list[float]) -> dict[str, float]:
    """A row of a frame by the names of its channels."""
    return dict(zip((c["name"] for c in scene["channels"]), values, strict=True))


@pytest.fixture(scope="session")
def hoist_faults() -> Any:
    """Bench and fault dictionary of the hoist; ``hoist`` is the server here."""
    bench = bench_of(oilway.load(HOIST))
    return bench, build(bench, workers=1)
