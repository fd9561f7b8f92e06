"""The System: one flat residual with names, compiled once, that every answer is computed from."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import casadi as ca
import numpy as np
from numpy.typing import NDArray

from oilway.elements.network import CARRIED, HEATS, MOTION, MOVES, PUT_IN, SX, WORK, Limit, Network, Term, Unknown

Vector = NDArray[np.float64]
SPEED, PLACE = 0.1, 0.1  # m/s and m: sizes of the speeds of parts and the positions of cylinders in motion


class Compiled:
    """A CasADi function called through its memory interface: inputs and outputs are NumPy vectors.

    The plain call converts every argument, which costs more than the evaluation (docs/numerics.md).  Not
    safe for use from several threads at once.
    """

    def __init__(self, name: str, inputs: list[SX], outputs: list[SX]) -> None:
        self._function: Any = ca.Function(name, inputs, outputs)
        self._buffer, self._run = self._function.buffer()
        self.outputs = [np.zeros(o.nnz()) for o in outputs]
        self._inputs = [np.zeros(i.nnz()) for i in inputs]
        for k, memory in enumerate(self._inputs):
            self._buffer.set_arg(k, memoryview(memory))  # type: ignore[call-arg,arg-type]
        for k, memory in enumerate(self.outputs):
            self._buffer.set_res(k, memoryview(memory))  # type: ignore[call-arg,arg-type]

    def __call__(self, *arguments: Vector) -> list[Vector]:
        """Evaluate; the outputs are overwritten by the next call."""
        for memory, argument in zip(self._inputs, arguments, strict=True):
            memory[:] = argument
        self._run()
        return self.outputs


@dataclass(frozen=True)
class Motion:
    """The motion form: d(states)/dt = rates(states, th), as symbols, with names and sizes of the states.

    States are the unknowns, then the speeds of moving parts, then the positions of cylinders.  ``mass`` is the
    oil in all chambers (kg) and ``into_tanks`` what flows into tanks (kg/s), so that a run can be checked; so
    are ``held`` (J, by ``holders``) and ``spent`` (W out of what is held, by ``spenders``: sort and part).
    """

    states: SX
    th: SX
    rates: SX
    names: list[str]
    scale: Vector
    parts: list[str]
    cylinders: list[str]
    mass: SX
    into_tanks: SX
    held: SX
    holders: list[str]
    spent: SX
    spenders: list[tuple[str, str]]


@dataclass(frozen=True)
class Sensitivity:
    """Derivatives of the scaled residual, ``rows_z`` (n, n) and ``rows_th`` (n, c), and of readings.

    ``read_z`` (r, n) and ``read_th`` (r, c).  Unknowns count in their ``scale``, parameters and readings in SI.
    Views that the next evaluation overwrites.
    """

    rows_z: Vector
    rows_th: Vector
    read_z: Vector
    read_th: Vector


@dataclass(frozen=True)
class Rest:
    """The rest form as symbols: ``rows`` (n, 1) of the residual per ``row_scale``, ``jacobian`` per ``scale`` too.

    ``storage`` (n, 1) is what each balance stores per change of its unknown, ``lifts`` of moving parts (k, 1),
    ``limits`` the terms (l, 1) that have a limit.  ``shown`` are values by the names of channels of a picture:
    ``pressure:CHAMBER``, ``lift:PART``, ``speed:CYLINDER``, and ``flow:PART@CHAMBER``, m3/s at 0 psi out of it.
    """

    z: SX
    th: SX
    rows: SX
    jacobian: SX
    storage: SX
    lifts: SX
    limits: SX
    shown: dict[str, SX]


@dataclass(frozen=True)
class Status:
    """Where a moving part stands: ``free`` lift before seat and stop (m), and its travel (m)."""

    part: str
    free: float
    travel: float

    @property
    def word(self) -> str:
        """``seated``, ``open`` or ``at its stop``."""
        if self.free <= 0:
            return "seated"
        return "at its stop" if self.free >= self.travel else "open"

    @property
    def lift(self) -> float:
        """Lift in m, exactly zero on the seat."""
        return min(max(self.free, 0.0), self.travel)


class System:
    """Unknowns z, parameters th (both SI, by name) and the residual that ties them.

    ``z`` has shape (n,), ``th`` shape (m,).  Rows of the residual stand in the order of the unknowns they fix.
    """

    def __init__(self, net: Network) -> None:
        self._net = net
        self.unknowns: list[Unknown] = list(net.unknowns.values())
        self.parameters: dict[str, int] = {name: i for i, name in enumerate(net.parameters)}
        self.defaults: Vector = np.array(list(net.defaults.values()))
        self.terms: list[Term] = [term for term, _ in net.terms]
        self.limits: dict[int, Limit] = net.limits
        self.scale: Vector = np.array([u.scale for u in self.unknowns])
        self.row_scale: Vector = np.array([u.row_scale for u in self.unknowns])
        self.start: Vector = np.array([u.start for u in self.unknowns])
        self.index: dict[str, int] = {u.name: i for i, u in enumerate(self.unknowns)}
        self.moving: list[str] = list(net.status)
        self._z = ca.vertcat(*net.symbols.values()) if net.symbols else ca.SX(0, 1)
        self._th = ca.vertcat(*net.parameters.values())
        self._v = ca.vertcat(*net.speeds.values()) if net.speeds else ca.SX(0, 1)
        self._rows = ca.vertcat(*[_total(net.balances[name].terms) for name in net.symbols])

    @property
    def chambers(self) -> list[str]:
        """Names of the chambers whose pressure is solved."""
        return [u.owner for u in self.unknowns if u.kind == "pressure"]

    @property
    def size(self) -> int:
        """Number of unknowns at rest."""
        return len(self.unknowns)

    def _in_place(self, expression: SX) -> SX:
        """The expression with every cylinder where the operating point puts it."""
        pairs = self._net.positions.values()
        places = [(ca.vertcat(*(p[k] for p in pairs))) for k in (0, 1)]
        return ca.substitute(expression, *places) if pairs else expression

    def _at_rest(self, expression: SX) -> SX:
        still = ca.SX.zeros(self._v.shape[0], 1)
        expression = self._in_place(expression)
        return ca.substitute(expression, self._v, still) if self._v.shape[0] else expression

    @cached_property
    def rest(self) -> Rest:
        """The residual at rest and what belongs to it, as symbols."""
        rows = self._at_rest(self._rows) / ca.DM(self.row_scale)
        jacobian = ca.jacobian(rows, self._z) @ ca.diag(ca.DM(self.scale))
        terms = [value for _, value in self._net.terms]
        lifts = [ca.fmin(ca.fmax(free, 0), travel) for free, travel in self._net.status.values()]
        shown = {f"pressure:{node.name}": ca.SX(node.p) for node in self._net.nodes.values()}
        shown |= {f"lift:{part}": ca.SX(lift) for part, lift in zip(self._net.status, lifts, strict=True)}
        shown |= {f"speed:{name}": ca.SX(speed) for name, speed in self._net.velocities.items()}
        from_chambers = _sums([((t.part, t.place), v) for t, v in self._net.terms if t.sort == "flow"])
        for (part, chamber), into in from_chambers.items():
            shown[f"flow:{part}@{chamber}"] = -into / self._net.parameters["oil.rho0"]
        return Rest(
            self._z, self._th, rows, jacobian, self._at_rest(self._stores), self._at_rest(ca.vertcat(*lifts)),
            self._at_rest(ca.vertcat(*(terms[k] for k in self.limits))),
            {name: self._at_rest(ca.SX(value)) for name, value in shown.items()},
        )  # fmt: skip

    @cached_property
    def _rest(self) -> Compiled:
        # CasADi stores by columns; transposed, NumPy reads the same numbers by rows.
        rest = self.rest
        return Compiled("rest", [self._z, self._th], [ca.densify(rest.rows), ca.densify(rest.jacobian.T)])

    def scaled(self, z: Vector, th: Vector) -> tuple[Vector, Vector]:
        """Residual (n,) in units of ``row_scale`` and its Jacobian (n, n) per ``scale`` of each unknown.

        Views that the next call overwrites: what outlives it is copied by the caller.
        """
        f, jacobian = self._rest(z, th)
        return f, jacobian.reshape(self.size, self.size)

    def residual(self, z: Vector, th: Vector) -> tuple[Vector, Vector]:
        """Residual (n,) and Jacobian (n, n) at rest, SI; new arrays at every call."""
        f, jacobian = self.scaled(z, th)
        return f * self.row_scale, jacobian * self.row_scale[:, None] / self.scale

    def _stored(self, unknown: Unknown) -> SX:
        """What a balance stores per change of its unknown; in a chamber oil gives way, maybe walls or gas too."""
        net = self._net
        if unknown.kind != "pressure":
            return net.balances[unknown.name].storage
        node, volume = net.nodes[unknown.owner], ca.SX(net.volumes[unknown.owner])
        return volume * node.slope + node.rho * ca.jacobian(volume, net.symbols[unknown.name])

    @property
    def _stores(self) -> SX:
        return ca.vertcat(*(self._stored(unknown) for unknown in self.unknowns))

    @cached_property
    def _storage(self) -> Compiled:
        return Compiled("storage", [self._z, self._th], [ca.densify(self._at_rest(self._stores))])

    def storage(self, z: Vector, th: Vector) -> Vector:
        """What each balance stores per change of its unknown: kg/Pa, kg, Pa s/kg x s ... (n,)."""
        return self._storage(z, th)[0].copy()

    @cached_property
    def _shown(self) -> list[SX]:
        """Terms, statuses, velocities and pressures, as columns of symbols."""
        values = [value for _, value in self._net.terms]
        status = [ca.SX(x) for pair in self._net.status.values() for x in pair]
        pressures = [node.p for node in self._net.nodes.values()]
        groups = (values, status, list(self._net.velocities.values()), pressures)
        return [ca.densify(ca.vertcat(*map(ca.SX, group))) if group else ca.SX(0, 1) for group in groups]

    @cached_property
    def _ledger(self) -> Compiled:
        columns = [self._at_rest(column) if column.shape[0] else column for column in self._shown]
        return Compiled("ledger", [self._z, self._th], columns)

    @cached_property
    def _moving_ledger(self) -> Any:
        columns = [ca.substitute(c, self._net.motion, 1.0) if c.shape[0] else c for c in self._shown]
        return ca.Function("moving_ledger", [self.motion.states, self._th], columns)

    def ledger(self, z: Vector, th: Vector) -> tuple[Vector, list[Status], dict[str, float], dict[str, float]]:
        """Values of all terms (SI), status of moving parts, velocities of cylinders (m/s), pressures (Pa)."""
        return self._named(self._ledger(z, th))

    def ledger_column(self, z: Vector, th: Vector) -> Vector:
        """All numbers of :meth:`ledger` in one column (SI): terms, lift and travel of parts, velocities,
        pressures.
        """
        return np.concatenate(self._ledger(z, th))

    def moving_ledgers(
        self, states: Vector, th: Vector
    ) -> tuple[Vector, dict[str, Vector], dict[str, Vector], dict[str, Vector]]:
        """The ledger in the motion form at n moments: ``states`` (n, k) of :attr:`motion`, ``th`` (n, m).

        Values of all terms (n, t), lift of each moving part before seat and stop (n,), velocities of cylinders
        (n,), pressures (n,), SI.
        """
        # One call with a column for each moment: a call for each would cost ten times as much.
        columns = [np.array(c).T for c in self._moving_ledger(states.T, th.T)]
        terms, status, velocities, pressures = columns
        return (
            terms,
            dict(zip(self.moving, status.T[::2], strict=True)),
            dict(zip(self._net.velocities, velocities.T, strict=True)),
            dict(zip(self._net.nodes, pressures.T, strict=True)),
        )

    def _named(self, columns: list[Vector]) -> tuple[Vector, list[Status], dict[str, float], dict[str, float]]:
        terms, status, velocities, pressures = columns
        pairs = status.reshape(-1, 2)
        return (
            terms.copy(),
            [Status(name, float(p[0]), float(p[1])) for name, p in zip(self.moving, pairs, strict=True)],
            dict(zip(self._net.velocities, map(float, velocities), strict=True)),
            dict(zip(self._net.nodes, map(float, pressures), strict=True)),
        )

    @cached_property
    def _sensitivity(self) -> Compiled:
        rows = self._at_rest(self._rows)
        return Compiled("sensitivity", [self._z, self._th], [ca.densify(ca.jacobian(rows, self._th))])

    def parameter_jacobian(self, z: Vector, th: Vector) -> Vector:
        """Exact derivative of the residual with respect to all parameters, shape (n, m)."""
        entries = self._sensitivity(z, th)[0]
        return entries.reshape(len(th), self.size).T.copy()

    def sensitivity(self, matrix: Vector, columns: list[int]) -> Callable[[Vector, Vector], Sensitivity]:
        """What readings ``matrix`` (r, all) @ :meth:`ledger_column` owe to unknowns and to some parameters (c).

        The function returned is evaluated at (z, th); not safe for use from several threads at once.
        """
        rows, symbols = self._at_rest(self._rows) / ca.DM(self.row_scale), list(self._net.parameters.values())
        chosen = ca.vertcat(*(symbols[k] for k in columns))
        column = ca.vertcat(*(self._at_rest(c) for c in self._shown if c.shape[0]))
        read, z = ca.mtimes(ca.sparsify(ca.DM(matrix)), column), self._z
        wanted = [ca.jacobian(a, b) for a in (rows, read) for b in (z, chosen)]
        wanted = [w @ ca.diag(ca.DM(self.scale)) if k % 2 == 0 else w for k, w in enumerate(wanted)]
        compiled = Compiled("sensitivity_of", [z, self._th], [ca.densify(w.T) for w in wanted])
        shapes = [w.shape for w in wanted]

        def at(z: Vector, th: Vector) -> Sensitivity:
            return Sensitivity(*(o.reshape(s) for o, s in zip(compiled(z, th), shapes, strict=True)))

        return at

    @cached_property
    def _motion(self) -> Compiled:
        free = ca.vertcat(self._z, self._v)
        rows = self._in_place(self._rows)
        return Compiled("motion", [self._z, self._v, self._th], [ca.densify(ca.jacobian(rows, free))])

    def motion_jacobian(self, z: Vector, th: Vector) -> Vector:
        """Derivative of the residual in its motion form, at zero speeds, for (z, speeds): shape (n, n + k)."""
        moving = th.copy()
        moving[self.parameters[MOTION]] = 1.0
        k = self._v.shape[0]
        entries = self._motion(z, np.zeros(k), moving)[0]
        return entries.reshape(self.size + k, self.size).T.copy()

    @cached_property
    def motion(self) -> Motion:
        """The same residual as rates of change of all states, in the motion form."""
        net = self._net
        places = [symbol for symbol, _ in net.positions.values()]
        states = ca.vertcat(self._z, self._v, *places)
        rates, rows = [], list(ca.vertsplit(self._rows)) if self.size else []
        pushes = []
        for k, unknown in enumerate(self.unknowns):
            if unknown.kind == "pressure":
                rates.append(rows[k] / self._filling(unknown))
            elif unknown.kind == "drive":
                rates.append(net.speeds[unknown.owner])
                pushes.append(rows[k] / self._stored(unknown))
            else:
                rates.append(rows[k] / self._stored(unknown))
        rates += pushes + [net.velocities[name] for name in net.positions]
        moving = ca.substitute(ca.vertcat(*rates), net.motion, 1.0)
        names = [u.name for u in self.unknowns]
        names += [f"speed of {part}" for part in net.speeds] + [f"position of {name}" for name in net.positions]
        scale = [*self.scale, *([SPEED] * len(net.speeds)), *([PLACE] * len(places))]
        solved = [node for node in net.nodes.values() if not node.fixed]
        mass = _total([node.rho * net.volumes[node.name] - net.missing(node.name) for node in solved])
        # What a cylinder end open to a tank takes up stays in that tank.
        given = [(t, v) for t, v in net.terms if t.sort == "flow" and t.other != MOVES]
        tanks = _total([v for t, v in given if net.nodes[t.place].fixed])
        held, spent = _sums(net.held), _sums(self._spent())
        books = [ca.vertcat(mass), ca.vertcat(tanks), ca.vertcat(*held.values()), ca.vertcat(*spent.values())]
        books = ca.substitute(books, [net.motion], [ca.SX(1.0)])
        bodies = list(net.speeds), list(net.positions)
        return Motion(
            states, self._th, moving, names, np.array(scale), *bodies,
            books[0], books[1], books[2], list(held), books[3], list(spent),
        )  # fmt: skip

    def _spent(self) -> list[tuple[tuple[str, str], SX]]:
        """Every power (W) that leaves what holds energy in motion, with what becomes of it and whose it is."""
        sorts = dict.fromkeys(HEATS, "heat") | {name: name for name in (PUT_IN, WORK, CARRIED)}
        powers = [(t, v) for t, v in self._net.terms if t.sort == "power" and t.label in sorts]
        return [((sorts[t.label], t.part), v) for t, v in powers] + [(("heat", p), v) for p, v in self._net.lost]

    def _filling(self, unknown: Unknown) -> SX:
        """Oil (kg) that a chamber takes per Pa in motion: filled, or with a void in it."""
        drive, lowest, per_pa = self._net.voids[unknown.owner]
        return ca.if_else(drive < lowest, per_pa, self._stored(unknown))

    def residual_function(self) -> Callable[[Any, Any], Any]:
        """The rest residual as a plain CasADi function (z, th), for benchmarks and batch evaluation."""
        function: Callable[[Any, Any], Any] = ca.Function(
            "residual", [self._z, self._th], [self._at_rest(self._rows)]
        )
        return function


def _sums(entries: list[tuple[Any, SX]]) -> dict[Any, SX]:
    """Entries of the same name added up."""
    sums: dict[Any, SX] = {}
    for name, value in entries:
        sums[name] = sums.get(name, ca.SX(0)) + value
    return sums


def _total(terms: list[SX]) -> SX:
    total = ca.SX(0)
    for term in terms:
        total = total + term
    return total
