"""Fixtures shared by the tests: the smallest circuits in text, and an oil whose numbers are known by hand."""

from __future__ import annotations

import math
import sys
import textwrap
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import pytest

import oilway
from oilway import cli
from oilway.model.machine import Machine
from oilway.solve.point import solve_point
from oilway.solve.result import State
from oilway.study.dictionary import bench_of, build
from oilway.study.story import examples

# At 40 C the viscosity is the label's own, and the modulus the one given; no air, so density is one exponential.
HAND_OIL = (
    "{grade: ISO VG 46, viscosity index: 100, density at 15 C: 870 kg/m3, bulk modulus: 1.5 GPa, "
    "entrained air: 0, temperature: 40 C, ambient pressure: 101325 Pa}"
)


@dataclass(frozen=True)
class HandOil:
    """The oil of ``HAND_OIL`` worked by hand: API 54D for density (CK26), ISO 3448 for viscosity (46 mm2/s)."""

    rho0: float = 870 * math.exp(-0.6278 / 870 * 25 * (1 + 0.8 * 0.6278 / 870 * 25))
    nu: float = 46e-6
    modulus: float = 1.5e9

    @property
    def mu(self) -> float:
        """Dynamic viscosity, Pa s."""
        return self.nu * self.rho0

    def rho(self, p: float) -> float:
        """Density at gauge pressure p: constant bulk modulus, so an exponential."""
        return self.rho0 * math.exp(p / self.modulus)

    def mean(self, a: float, b: float) -> float:
        """Density between two chambers: the mean of theirs."""
        return (self.rho(a) + self.rho(b)) / 2

    def work(self, p: float) -> float:
        """Integral of dp / rho from 0 to p, J/kg."""
        return self.modulus / self.rho0 * (1 - math.exp(-p / self.modulus))

    def orifice_speed(self, dh: float, dp: float, rho: float, cd: float = 0.61, re_t: float = 9.33) -> float:
        """The positive root u of dp = rho / (2 Cd^2) (u^2 + nu Rt / dh u)."""
        b = self.mu / rho * re_t / dh
        return -b / 2 + math.sqrt(b**2 / 4 + 2 * cd**2 * dp / rho)

    def gap_flow(self, diameter: float, clearance: float, length: float, dp: float) -> float:
        """Q = pi D c^3 dp / (12 mu L), m3/s."""
        return math.pi * diameter * clearance**3 * dp / (12 * self.mu * length)


@pytest.fixture
def oil() -> HandOil:
    """The oil of every circuit of these tests, by hand."""
    return HandOil()


def circuit_text(parts: str, top: str = "") -> str:
    """A machine file around its parts."""
    body = textwrap.indent(textwrap.dedent(parts).strip("\n"), "  ")
    return f"format: 1\nmachine: circuit\noil: {HAND_OIL}\n{top}parts:\n{body}\n"


@pytest.fixture
def machine() -> Callable[..., Machine]:
    """``machine(parts, top="")``: a machine from the text of its parts, in the hand-worked oil."""

    def build(parts: str, top: str = "") -> Machine:
        return oilway.loads(circuit_text(parts, top), "circuit.yaml")

    return build


@pytest.fixture
def solve(machine: Callable[..., Machine]) -> Callable[..., State]:
    """``solve(parts, {"lever": "1"}, push="shut")``: the state of a circuit at an operating point in words."""

    def run(parts: str, point: dict[str, str] | None = None, **more: Any) -> State:
        built = machine(parts)
        return solve_point(built, built.point_from(point or {}), **more)

    return run


@pytest.fixture
def between(solve: Callable[..., State]) -> Callable[..., State]:
    """``between("{kind: orifice, ...}")``: one part, named ``part``, between two tanks ``high`` and ``low``.

    A dead-ended branch hangs on the high side, so that there is an unknown to solve.
    """

    def run(part: str, high: str = "100 bar", low: str = "0 bar", more: str = "") -> State:
        inner = part.strip("{}")
        parts = (
            f"high: {{kind: tank, pressure: {high}}}\nlow: {{kind: tank, pressure: {low}}}\n"
            "branch: {kind: chamber}\ntap: {kind: orifice, from: high, to: branch, diameter: 1 mm}\n"
            f"part: {{{inner}, from: high, to: low}}\n{textwrap.dedent(more)}"
        )
        return solve(parts)

    return run


@pytest.fixture
def force() -> Callable[[State, str, str], float]:
    """``force(state, "poppet", "flow force")``: one line of a force ledger, N."""

    def line(state: State, part: str, label: str) -> float:
        return sum(e.value for e in state.forces[part] if e.label == label)

    return line


@pytest.fixture(scope="session")
def hoist() -> tuple[Any, Any]:
    """Bench and fault dictionary of the tipping hoist, solved once for all tests."""
    return _with_dictionary(str(examples() / "tipping_hoist.yaml"))


@pytest.fixture(scope="session")
def on_stand() -> tuple[Any, Any]:
    """Bench and fault dictionary of the shipped two-stage relief on its stand."""
    return _with_dictionary("pilot relief")


def _with_dictionary(file: str) -> tuple[Any, Any]:
    bench = bench_of(oilway.load(file))
    return bench, build(bench, workers=1)


@dataclass
class Ended:
    """How a command ended."""

    status: int
    out: str
    err: str


@pytest.fixture
def run(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Callable[..., Ended]:
    """``run("check", "direct relief")``: main() in this process, the way the installed command calls it."""

    def call(*words: str) -> Ended:
        monkeypatch.setattr(sys, "argv", ["oilway", *words])
        capsys.readouterr()
        with pytest.raises(SystemExit) as ended:
            cli.main()
        out, err = capsys.readouterr()
        return Ended(int(ended.value.code or 0), out, err)

    return call
