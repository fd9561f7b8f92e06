"""What must hold for any file at all: a result whose ledgers close, or an error raised on purpose."""

from __future__ import annotations

import json
import math
import random
from collections.abc import Iterable
from io import StringIO

from rich.console import Console
from tests.fuzz_mutate import EXAMPLES

import oilway
from oilway.errors import ImpossibleCircuit, InputError, NoSolution, OilwayError, UnclosedLedger
from oilway.model.load import PUMP
from oilway.model.machine import OIL_TEMPERATURE, Machine
from oilway.solve.result import State
from oilway.study.check import Checked
from oilway.study.curve import Curve
from oilway.study.explain import Explained
from oilway.study.export import checked_data, curve_data, explained_data
from oilway.text import print_checked, print_curves, print_explained

SHARE = 1e-5  # of the largest entry of a ledger: what may be left over
NOTHING = {"flow": 2e-6, "force": 1e-4, "power": 0.2}  # kg/s, N, W
POINTS = 12  # of a curve
PRINTED = 0.1  # share of the files that are printed as well: printing takes longer than solving
WORDS = {
    "load pressure": ("0 psi", "800 psi", "2200 psi", "6000 psi"),
    "pump flow": ("0 gpm", "0.01 gpm", "9 gpm", "60 gpm"),
    "engine speed": ("0 rpm", "800 rpm", "2400 rpm"),
    "lever": ("-1", "-0.4", "0", "0.5", "1"),
    "stroke": ("0 mm", "300 mm"),
    "tank pressure": ("-3 psi", "0 psi", "300 psi"),
    "turns": ("0", "3", "9"),
    "load force": ("-20 kN", "0 N", "90 kN"),
    OIL_TEMPERATURE: ("-10 F", "70 F", "200 F"),
}


def outcome(text: str, name: str, rng: random.Random) -> str:
    """Put a text through every verb; which way it ended.  AssertionError or any other exception: a defect."""
    ended = "done"
    try:
        machine = oilway.loads(text, name, EXAMPLES)
        checked = oilway.check(machine)
        strict_json(checked_data(checked))
        found = explained(machine, []) + explained(machine, [random_point(machine, rng)])
        curves = []
        if PUMP in machine.parts and machine.mounted:
            curves.append(oilway.relief_curve(machine, points=POINTS))
            sound_curve(curves[0])
        if rng.random() < PRINTED:
            printed(checked, found, curves)
    except OilwayError as error:
        sound_error(error)
        ended = type(error).__name__
    return ended


def random_point(machine: Machine, rng: random.Random) -> dict[str, float]:
    """A few words of an operating point that this machine understands (each with one meaning)."""
    words = {w: rng.choice(WORDS[w]) for w, axis in machine.axes.items() if len(axis.targets) == 1 and w in WORDS}
    kept = {w: text for w, text in words.items() if rng.random() < 0.5}
    try:
        return machine.point_from(kept)
    except InputError:
        return {}


def explained(machine: Machine, points: list[dict[str, float]]) -> list[Explained]:
    """Explain, and check every state."""
    found = oilway.explain(machine, points)
    for item in found:
        sound_state(item.state)
        assert all(math.isfinite(v) for m in item.stability.modes for v in (m.growth, m.frequency, m.damping))
        assert all(words for _, words in item.regimes)
        strict_json(explained_data(item))
    return found


def printed(checked: Checked, found: list[Explained], curves: list[Curve]) -> None:
    """What the command line would print, in both systems of units."""
    paper = StringIO()
    console = Console(file=paper, width=110)
    print_checked(console, checked)
    print_explained(console, found, "shop")
    print_explained(console, found[:1], "metric")
    if curves:
        print_curves(console, curves, "metric")
    assert not {"nan", "inf", "-inf"} & set(paper.getvalue().split())


def strict_json(data: object) -> None:
    """Plain data without nan or infinity."""
    json.dumps(data, allow_nan=False)


def sound_error(error: OilwayError) -> None:
    """Raised on purpose, says where or which equation, and never for an unclosed ledger."""
    assert not isinstance(error, UnclosedLedger), str(error)
    text = str(error)
    assert len(text) > 10
    if isinstance(error, InputError):
        assert error.exit_status == 2
        assert error.problems
        assert all(p.what and str(p.where) for p in error.problems)
    else:
        assert isinstance(error, NoSolution)
        assert error.exit_status == 3
        assert "nan" not in text.split()

        # An impossible circuit names its part in words where no balance is to blame (a spring at solid height).
        assert isinstance(error, ImpossibleCircuit) or (error.equation and error.unknown), text


def sound_state(state: State) -> None:
    """Ledgers, worked out again from their entries."""
    assert all(map(math.isfinite, (*state.pressures.values(), *state.velocities.values())))
    for chamber, entries in state.flows.items():
        if state.machine.parts[chamber].kind == "chamber":
            closed("flow", chamber, [e.value for e in entries])
        for e in entries:
            back = [
                b.value
                for b in state.flows.get(e.other, [])
                if (b.part, b.law, b.other) == (e.part, e.law, chamber)
            ]
            assert e.other not in state.machine.parts or -e.value in back, f"{e} of {chamber} arrives nowhere"
    for part, entries in state.forces.items():
        closed("force", part, [e.value for e in entries])
        for e in entries:
            if state.machine.parts[e.part].kind == "face":
                assert math.isclose(e.value, face_force(state, e.part), rel_tol=1e-9, abs_tol=1e-9)
    closed("power", "machine", [e.value for e in state.power])
    for part in state.statuses:
        sound_contact(state, part)


def face_force(state: State, face: str) -> float:
    """Pressure times area of a face, from its file."""
    part = state.machine.parts[face]
    outer, inner = float(part.values["diameter"] or 0), float(part.values["inner diameter"] or 0)
    sign = 1 if part.values["pushes"] == "open" else -1
    return sign * math.pi / 4 * (outer**2 - inner**2) * state.pressures[part.nodes["chamber"]]


def sound_contact(state: State, part: str) -> None:
    """A lift within the travel; a seat force or a lift, never both."""
    status, travel = state.statuses[part], float(state.machine.parts[part].values["travel"] or 0)
    forces = {label: sum(e.value for e in state.forces[part] if e.label == label) for label in ("seat", "stop")}
    assert 0 <= status.lift <= travel
    assert forces["seat"] >= 0
    assert forces["stop"] <= 0
    assert forces["seat"] == 0 or status.lift == 0
    assert forces["stop"] == 0 or status.lift == travel


def closed(sort: str, name: str, values: Iterable[float]) -> None:
    """The entries of a ledger are finite and sum to nothing."""
    values = list(values)
    assert all(map(math.isfinite, values)), f"{sort} ledger of {name}: {values}"
    left = abs(math.fsum(values))
    bound = max(NOTHING[sort], SHARE * max(map(abs, values), default=0.0))
    assert left <= bound, f"{sort} ledger of {name} is off by {left:.3g}"


def sound_curve(curve: Curve) -> None:
    """All finite, as long as asked for, and fit for a chart and for JSON."""
    assert len(curve.flows) == len(curve.rising) == len(curve.falling) == POINTS
    assert all(a < b for a, b in zip(curve.flows, curve.flows[1:], strict=False))
    strict_json(curve_data(curve))
