"""The System: one residual with names, and derivatives that are exact."""

from __future__ import annotations

import numpy as np
import pytest

from oilway.elements.network import MOTION
from oilway.model.system import Status
from oilway.solve.point import solve_point

PARTS = """
    tank: {kind: tank}
    line: {kind: chamber}
    pump: {kind: fixed pump, inlet: tank, outlet: line, displacement: 40 cc/rev, engine speed: 1800 rpm}
    relief: {kind: valve, valve: pilot relief, P: line, T: return line}
    return line: {kind: chamber}
    hose: {kind: line, from: return line, to: tank, length: 2 m, diameter: 20 mm}
    ram: {kind: cylinder, cap: line, rod: return line, bore: 60 mm, rod diameter: 30 mm, stroke: 400 mm}
    weight: {kind: load, on: ram, load force: 60 kN}
    """


@pytest.fixture
def state(solve):
    """The relief wide open, the cylinder held back by its load."""
    return solve(PARTS)


def test_every_unknown_has_a_balance_a_size_and_an_owner(state) -> None:
    system = state.machine.system
    assert len({u.name for u in system.unknowns}) == system.size
    for unknown in system.unknowns:
        assert unknown.owner in state.machine.parts
        assert unknown.owner in unknown.equation
        assert unknown.kind in ("pressure", "drive", "flow", "velocity")
        assert min(unknown.scale, unknown.row_scale) > 0


def test_every_quantity_of_the_file_is_a_parameter(state) -> None:
    system = state.machine.system
    for name, element in state.machine.elements.items():
        for record in element.records:
            given = record.is_quantity and element.part.values[record.name] is not None
            assert (f"{name}.{record.name}" in system.parameters) == given


def test_the_residual_is_nothing_at_rest(state) -> None:
    residual, _ = state.machine.system.residual(state.z, state.th)
    assert np.max(np.abs(residual) / state.machine.system.row_scale) < 1e-9


def differences(function, at, scale):
    """Central differences, column by column."""
    columns = []
    for k, size in enumerate(scale):
        step = np.zeros_like(at)
        step[k] = 1e-6 * size
        columns.append((function(at + step) - function(at - step)) / (2 * step[k]))
    return np.array(columns).T


def test_the_jacobian_is_the_slope_of_the_residual(state) -> None:
    system = state.machine.system
    _, exact = system.residual(state.z, state.th)
    nearly = differences(lambda z: system.residual(z, state.th)[0].copy(), state.z, system.scale)
    rows = system.row_scale[:, None]
    assert exact * system.scale / rows == pytest.approx(nearly * system.scale / rows, rel=1e-4, abs=1e-5)


def test_the_parameter_jacobian_is_the_slope_over_the_parameters(state) -> None:
    system = state.machine.system
    exact = system.parameter_jacobian(state.z, state.th)
    assert exact.shape == (system.size, len(state.th))
    for name in ("weight.load force", "relief.main orifice.diameter", "pump.displacement", "oil.mu"):
        k = system.parameters[name]
        step = np.zeros_like(state.th)
        step[k] = 1e-5 * state.th[k]
        above, below = (system.residual(state.z, state.th + s)[0].copy() for s in (step, -step))
        nearly = (above - below) / (2 * step[k])
        assert exact[:, k] == pytest.approx(nearly, rel=1e-4, abs=1e-6 * np.abs(nearly).max())


def test_what_readings_owe_to_unknowns_and_parameters(state) -> None:
    system, rng = state.machine.system, np.random.default_rng(3)
    columns = [system.parameters[name] for name in ("oil.mu", "pump.displacement", "weight.load force")]
    size = len(system.ledger_column(state.z, state.th))
    scale = np.abs(system.ledger_column(state.z, state.th)) + 1.0
    matrix = rng.uniform(-1, 1, (4, size)) / scale
    at = system.sensitivity(matrix, columns)(state.z, state.th)
    assert at.rows_z == pytest.approx(system.scaled(state.z, state.th)[1])
    exact = system.parameter_jacobian(state.z, state.th)[:, columns] / system.row_scale[:, None]
    assert at.rows_th == pytest.approx(exact)
    nearly = differences(lambda z: matrix @ system.ledger_column(z, state.th), state.z, system.scale)
    assert at.read_z == pytest.approx(nearly * system.scale, rel=1e-4, abs=1e-5)
    for k, column in enumerate(columns):
        step = np.zeros_like(state.th)
        step[column] = 1e-5 * state.th[column]
        above, below = (matrix @ system.ledger_column(state.z, state.th + s) for s in (step, -step))
        slope = (above - below) / (2 * step[column])
        assert at.read_th[:, k] == pytest.approx(slope, rel=1e-4, abs=1e-6 * np.abs(slope).max())


def test_the_motion_jacobian_agrees_in_pressures_and_adds_speeds(state) -> None:
    system = state.machine.system
    moving = state.th.copy()
    moving[system.parameters[MOTION]] = 1.0
    _, rest = system.residual(state.z, moving)
    motion = system.motion_jacobian(state.z, state.th)
    assert motion.shape == (system.size, system.size + len(system.moving))
    assert motion[:, : system.size] == pytest.approx(rest)
    # A part that lifts displaces oil: its face takes rho A per speed out of the chamber in front.
    line = system.index["pressure in line"]
    column = system.size + system.moving.index("relief.main part")
    rho = state.parameter("oil.rho0") * np.exp(state.pressures["line"] / 1.5e9)
    assert motion[line, column] == pytest.approx(-rho * np.pi / 4 * 24e-3**2, rel=1e-6)


def test_storage_is_volume_over_stiffness_and_mass(state, oil) -> None:
    system = state.machine.system
    storage = dict(zip([u.name for u in system.unknowns], system.storage(state.z, state.th), strict=True))
    p = state.pressures["return line"]
    # 100 cm3 of its own, 30 of the valve, and the rod end: 50 and the ring over 300 mm of stroke left.
    volume = 130e-6 + 50e-6 + np.pi / 4 * (60e-3**2 - 30e-3**2) * 0.3
    assert storage["pressure in return line"] == pytest.approx(volume * oil.rho(p) / 1.5e9, rel=1e-9)
    assert storage["lift of relief.main part"] == pytest.approx(90e-3)
    assert storage["flow in hose"] == pytest.approx(2 / (np.pi / 4 * 20e-3**2))
    assert storage["velocity of ram"] == pytest.approx(20.0)


def test_evaluations_do_not_share_memory(state) -> None:
    system = state.machine.system
    first, jacobian = system.residual(state.z, state.th)
    before = first.copy(), jacobian.copy()
    system.residual(state.z + system.scale, state.th)
    assert np.array_equal(first, before[0])
    assert np.array_equal(jacobian, before[1])


def test_the_plain_function_is_the_same_residual(state) -> None:
    system = state.machine.system
    away = state.z + 0.1 * system.scale
    plain = np.array(system.residual_function()(away, state.th)).ravel()
    assert plain == pytest.approx(system.residual(away, state.th)[0], rel=1e-12, abs=1e-12)


@pytest.mark.parametrize(
    ("free", "word", "lift"),
    [
        (-1e-9, "seated", 0.0),
        (0.0, "seated", 0.0),
        (1e-9, "open", 1e-9),
        (2e-3, "at its stop", 2e-3),
        (5, "at its stop", 2e-3),
    ],
)
def test_words_for_where_a_part_stands(free: float, word: str, lift: float) -> None:
    status = Status("poppet", free, 2e-3)
    assert (status.word, status.lift) == (word, lift)


def test_a_circuit_without_moving_parts_has_a_system_too(machine) -> None:
    built = machine("""
        tank: {kind: tank}
        line: {kind: chamber}
        pump: {kind: test pump, inlet: tank, outlet: line, flow: 5 gpm}
        hole: {kind: orifice, from: line, to: tank, diameter: 3 mm}
        """)
    assert built.system.motion_jacobian(solve_point(built).z, built.theta()).shape == (1, 1)
