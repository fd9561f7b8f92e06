"""The two-stage relief with something at its vent port: a remote relief, or an open line."""

from __future__ import annotations

import pytest

from oilway.quantity import PSI
from oilway.study.explain import words

REMOTE = """
    tank: {{kind: tank}}
    line: {{kind: chamber}}
    pump: {{kind: test pump, inlet: tank, outlet: line, flow: 18 gpm}}
    remote line: {{kind: chamber, volume: 0.1 L}}
    main relief: {{kind: valve, valve: pilot relief, P: line, T: tank, X: remote line,
                  setting: 2300 psi at 18 gpm}}
    remote relief: {{kind: valve, valve: direct relief, P: remote line, T: tank, setting: {setting}}}
    """
VENTED = """
    tank: {{kind: tank, pressure: {back}}}
    vent: {{kind: tank, pressure: {vent}}}
    line: {{kind: chamber}}
    pump: {{kind: test pump, inlet: tank, outlet: line, flow: 18 gpm}}
    main relief: {{kind: valve, valve: pilot relief, P: line, T: tank, X: vent}}
    """


def stands(state) -> dict[str, str]:
    return {part: status.word for part, status in state.statuses.items()}


def drop_by_hand(state) -> float:
    """What the main part needs between inlet and back chamber: 6 N/mm x (18 mm + lift), the jet, 5 N friction."""
    jet = -sum(e.value for e in state.forces["main relief.main part"] if e.label == "flow force")
    return (6e3 * (18e-3 + state.statuses["main relief.main part"].lift) + jet + 5) / 452.39e-6


def test_a_lower_remote_relief_wins(machine, at) -> None:
    state = at(machine(REMOTE.format(setting="900 psi at 0.2 gpm")))
    assert stands(state) == {
        "main relief.main part": "open",
        "main relief.pilot poppet": "seated",
        "remote relief.poppet": "open",
    }
    # the remote relief only carries the flow of the 0.6 mm orifice, so it stands close to its cracking pressure
    remote = state.pressures["remote line"]
    assert 860 * PSI < remote < 900 * PSI
    assert state.pressures["line"] - remote == pytest.approx(drop_by_hand(state), rel=1e-4)


def test_a_higher_remote_relief_says_nothing(machine, at) -> None:
    state = at(machine(REMOTE.format(setting="2800 psi at 0.2 gpm")))
    assert stands(state) == {
        "main relief.main part": "open",
        "main relief.pilot poppet": "open",
        "remote relief.poppet": "seated",
    }
    assert state.pressures["line"] == pytest.approx(2300 * PSI, abs=PSI)


@pytest.mark.parametrize("back", [0, 60])
def test_vented_it_unloads_the_pump_to_its_main_spring(machine, at, back: int) -> None:
    built = machine(VENTED.format(back=f"{back} psi", vent=f"{back} psi"))
    state = at(built)
    assert stands(state) == {"main relief.pilot poppet": "seated", "main relief.main part": "open"}
    assert "vent" in words(state, built.mounted[0])
    # 108 N on 452.4 mm2 are 34.6 psi; the spring's rate, the jet and friction add a few more, the tank line 1:1
    assert state.pressures["line"] - back * PSI == pytest.approx(drop_by_hand(state), rel=1e-4)
    assert 34.6 * PSI < state.pressures["line"] - back * PSI < 45 * PSI


def test_pressure_left_in_the_vent_line_adds_to_the_vented_pressure(machine, at) -> None:
    clear = at(machine(VENTED.format(back="0 psi", vent="0 psi")))
    held = at(machine(VENTED.format(back="0 psi", vent="200 psi")))
    # 18 gpm over a higher drop lift the part less, and the jet is stronger: close to 200, not equal
    assert held.pressures["line"] - clear.pressures["line"] == pytest.approx(200 * PSI, abs=6 * PSI)
