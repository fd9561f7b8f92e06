"""Thousands of broken and made-up files: a result whose ledgers close, or an error raised on purpose.

A seed stands for a file; ``mutated(random.Random(seed))`` and its like give it back.
"""

from __future__ import annotations

import random
import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, note, settings
from hypothesis import strategies as st
from tests.fuzz_generate import random_machine, random_valve
from tests.fuzz_mutate import mutated
from tests.fuzz_property import outcome

import oilway
from oilway.errors import InputError
from oilway.model.load import read_machine_text
from oilway.model.system import System, Vector
from oilway.solve.point import solve_point

# Evaluations of the residual that one file may take: some are a second's worth, an endless solve is not.
MOST_EVALUATIONS = 60_000
SEEDS = st.integers(min_value=0, max_value=2**32 - 1)
QUIET = settings(
    derandomize=True, deadline=None, database=None, suppress_health_check=[HealthCheck.too_slow], print_blob=False
)


@contextmanager
def bounded_work() -> Iterator[None]:
    """Fail when the residual is evaluated more often than any file should need."""
    plain, count = System.scaled, 0

    def scaled(self: System, z: Vector, th: Vector) -> tuple[Vector, Vector]:
        nonlocal count
        count += 1
        assert count <= MOST_EVALUATIONS, "this file takes too long"
        return plain(self, z, th)

    System.scaled = scaled  # type: ignore[method-assign]
    try:
        yield
    finally:
        System.scaled = plain  # type: ignore[method-assign]


def put_through(seed: int, make: Callable[[random.Random], tuple[str, str]]) -> None:
    """Make the file of a seed and put it through every verb."""
    rng = random.Random(seed)
    name, text = make(rng)
    note(text)
    with bounded_work():
        note(outcome(text, name, rng))


@settings(QUIET, max_examples=1200)
@given(SEEDS)
def test_a_broken_file_gives_a_sound_result_or_a_clean_error(seed: int) -> None:
    put_through(seed, mutated)


@settings(QUIET, max_examples=1000)
@given(SEEDS)
def test_a_machine_made_up_at_random_gives_a_sound_result_or_a_clean_error(seed: int) -> None:
    put_through(seed, lambda rng: ("made-up.yaml", random_machine(rng)))


@settings(QUIET, max_examples=700)
@given(SEEDS)
def test_a_valve_made_up_at_random_gives_a_sound_result_or_a_clean_error(seed: int) -> None:
    put_through(seed, lambda rng: ("made-up.yaml", random_valve(rng)))


@settings(QUIET, max_examples=300)
@given(st.text(max_size=200))
def test_any_text_at_all_is_refused_with_a_line(text: str) -> None:
    with pytest.raises(InputError) as caught:
        read_machine_text(text, "any.yaml")
    assert all("any.yaml" in str(problem.where) for problem in caught.value.problems)


@pytest.mark.parametrize(
    ("make", "least"), [(random_machine, 0.25), (random_valve, 0.1), (lambda rng: mutated(rng)[1], 0.1)]
)
def test_the_made_up_files_reach_the_solver(make: Callable[[random.Random], str], least: float) -> None:
    """Were nearly all refused on reading, the tests above would say nothing about the solver."""

    def read(seed: int) -> bool:
        try:
            read_machine_text(make(random.Random(seed)))
        except InputError:
            return False
        return True

    assert sum(map(read, range(100))) / 100 >= least


# -- what such files have found ------------------------------------------------------------------------------
VALVES = Path(oilway.__file__).parent / "valves"


def test_an_outlet_in_the_chamber_of_the_inlet_is_refused() -> None:
    text = (VALVES / "direct_relief.yaml").read_text(encoding="utf-8")
    with pytest.raises(InputError, match=r"direct\.yaml:10: port T .* opens into the same chamber as the inlet"):
        oilway.loads(text.replace("chamber: outlet, role: outlet", "chamber: inlet, role: outlet"), "direct.yaml")


def test_rest_does_not_depend_on_how_much_oil_a_chamber_holds() -> None:
    small, huge = (oilway.load("direct relief", {"inlet.volume": v}) for v in ("20 cm3", "1e300 m3"))
    pressures = [solve_point(m).pressures["inlet"] for m in (small, huge)]
    assert pressures[1] == pytest.approx(pressures[0], abs=10.0)  # both settings are solved to 1 Pa


def test_oil_through_a_very_wide_hole_is_as_exact_as_its_pressures_are() -> None:
    """At 10 000 psi one digit of the pressure is 1e-8 kg/s: neither left unsolved nor an unclosed ledger."""
    wide = (
        "format: 1\nmachine: wide\nparts:\n  tank: {kind: tank}\n  line: {kind: chamber}\n  end: {kind: chamber}\n"
        "  pump: {kind: test pump, inlet: tank, outlet: line, flow: 20 gpm}\n"
        "  hole: {kind: orifice, from: line, to: end, diameter: 100 mm}\n"
        "  load: {kind: test load, from: end, to: tank, load pressure: 10000 psi}\n"
    )
    for flow in range(5, 45):
        built = oilway.loads(wide.replace("20 gpm", f"{flow} gpm"))
        state = solve_point(built)
        assert state.flow_through("hole") == pytest.approx(state.flow_through("pump"), abs=1e-6)


# -- the command line --------------------------------------------------------------------------------------
def run(verb: str, file: Path) -> subprocess.CompletedProcess[str]:
    """One verb on one file, in a process of its own; a warning is an error there too."""
    return subprocess.run(
        [sys.executable, "-W", "error", "-m", "oilway", verb, str(file)],
        capture_output=True, text=True, encoding="utf-8", check=False,
    )  # fmt: skip


@pytest.mark.parametrize("seed", range(1, 11))
def test_no_file_makes_the_command_line_show_a_traceback(seed: int, tmp_path: Path) -> None:
    name, text = mutated(random.Random(seed))
    file = tmp_path / name
    file.write_text(text, encoding="utf-8", errors="replace", newline="\n")
    done = run(("check", "explain", "curve")[seed % 3], file)
    assert done.returncode in {0, 1, 2, 3}
    assert "Traceback" not in done.stderr
    assert done.stdout if done.returncode < 2 else done.stderr
    assert "nan" not in done.stdout.split()


@pytest.mark.parametrize("content", [b"", b"\xff\xfe\x00", b"a" * 2_000_000, b"format: 1\x00"], ids=len)
def test_a_file_that_is_no_text_is_refused(content: bytes, tmp_path: Path) -> None:
    file = tmp_path / "odd.yaml"
    file.write_bytes(content)
    done = run("check", file)
    assert done.returncode == 2
    assert "odd.yaml" in done.stderr
    assert "Traceback" not in done.stderr
