"""The network: unknowns, balances and ledger terms that the elements of one file contribute.

An element never writes a residual.  It adds *terms* (a mass flow between two chambers, a force on a moving
part), and each balance is the sum of its terms.  The ledgers shown to the user are the same expressions, so a
ledger cannot tell another story than the equations.

Contact and dry friction of a moving part (rest form).  The unknown is a drive ``s``; the lift is
``x = clip(ref + shrink(s - ref, Fc/K), 0, travel)`` and the force of seat, stop and dry friction together is
``K (x - s)``: a normal map (proximal form) of the unilateral contact and Coulomb laws, exact for any ``K``.
On its seat a part has lift exactly zero and a seat force, never both; inside the stick band it has a friction
force and does not move.
Source: S. M. Robinson, "Normal maps induced by linear transformations", Math. Oper. Res. 17 (1992) (from
memory); dry friction as in any text on Coulomb's law.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cache
from typing import TYPE_CHECKING, Any

import casadi as ca

from oilway.laws import compress

if TYPE_CHECKING:
    from oilway.elements.base import Element
    from oilway.elements.cylinder import Cylinder

ca.GlobalOptions.setNumpyMode(1)  # NumPy functions in laws/ take SX symbols and return them

SX = Any  # casadi ships no type stubs; an alias keeps the signatures readable

OIL = ("oil.mu", "oil.rho0", "oil.modulus", "oil.air", "oil.p_ambient", "oil.n")
MOTION = "form.motion"  # 0: rest form of contact and friction, 1: motion form
MOVES = "motion"  # in a flow term: the oil goes into a volume that grows, not into another chamber
# Labels of the power ledger by what becomes of the power: what warms the oil, what an engine puts in, what an
# actuator does, what goes with the oil into tanks, and what stays in the oil of a chamber.
HEATS = ("heat", "torque loss", "inlet loss", "seal friction")
PUT_IN, WORK, CARRIED = "shaft power", "work on the load", "carried into the tank"
STORED = "stored in compressed oil"
# Labels of what holds energy in motion.
IN_OIL, IN_SPRINGS, IN_GAS = "compressed oil", "springs", "gas of accumulators"
IN_WALLS, IN_MASSES, IN_CONTACT = "hose walls", "moving masses", "seats and stops"
FRICTION = "form.friction"  # 1: dry friction acts, 0: left out (the middle of the stick band)


@dataclass(frozen=True)
class Unknown:
    """One unknown of the System, with the balance that fixes it."""

    name: str
    kind: str  # pressure, drive, flow, velocity, rotation, share
    equation: str
    scale: float  # size of the unknown, SI
    row_scale: float  # size of the equation, SI
    owner: str
    start: float = 0.0


@dataclass(frozen=True)
class Term:
    """One entry of a ledger: ``sort`` is flow, force, power, reading or limit; signs are said where added."""

    sort: str
    place: str  # chamber, moving part, or the machine
    label: str
    part: str
    law: str
    other: str = ""  # flow: the chamber at the other end


@dataclass(frozen=True)
class Limit:
    """What a limit term means: the value must stay within low..high, else ``what`` is reported."""

    part: str
    what: str
    kind: str
    low: float | None
    high: float | None
    impossible: bool  # True: the state cannot exist; False: it exists but breaks an entered limit


@dataclass
class Node:
    """A chamber or tank: gauge pressure, density and flow work (J/kg from 0 gauge) as symbols."""

    name: str
    p: SX
    rho: SX
    work: SX
    slope: SX
    fixed: bool


@dataclass
class Mover:
    """A moving part or lever as others see it: lift and speed; ``body`` is False for an imposed position.

    ``place`` is where it stands for the oil it displaces: the lift, in motion with the give of seat and stop.
    """

    name: str
    x: SX
    v: SX
    place: SX
    body: bool


@dataclass
class Balance:
    """A balance: the sum of ``terms`` is zero at rest and ``storage * d(unknown)/dt`` in motion."""

    terms: list[SX] = field(default_factory=list)
    storage: SX = 0.0


@cache
def _oil_at() -> SX:
    """Density, flow work and density slope as one function: building it anew for each chamber costs 4 ms."""
    args = [ca.SX.sym(name) for name in ("p", "rho0", "modulus", "air", "p_ambient", "n")]
    laws = (compress.density, compress.flow_work, compress.density_slope)
    return ca.Function("oil", args, [law(*args) for law in laws])


class Network:
    """Collects what the elements contribute; ``model.assemble`` turns it into a System."""

    def __init__(self) -> None:
        self._symbols = 0
        self.unknowns: dict[str, Unknown] = {}
        self.symbols: dict[str, SX] = {}
        self.balances: dict[str, Balance] = {}
        self.parameters: dict[str, SX] = {}
        self.defaults: dict[str, float] = {}
        self.nodes: dict[str, Node] = {}
        self.movers: dict[str, Mover] = {}
        self.speeds: dict[str, SX] = {}  # moving part -> speed symbol, zero at rest
        self.velocities: dict[str, SX] = {}  # cylinder -> velocity, solved at rest
        self.positions: dict[str, tuple[SX, SX]] = {}  # cylinder -> its position in motion, and where it rests
        self.cylinders: dict[str, Cylinder] = {}
        self.status: dict[str, tuple[SX, SX]] = {}  # moving part -> (lift before the stops, travel)
        self.volumes: dict[str, SX] = {}
        self.voids: dict[str, tuple[SX, SX, SX]] = {}  # chamber -> drive, vacuum, oil missing per Pa below it
        self.terms: list[tuple[Term, SX]] = []
        self.lost: list[tuple[str, SX]] = []  # part -> power (W) that turns into heat in motion only
        self.held: list[tuple[str, SX]] = []  # label -> energy (J) held in motion
        self.limits: dict[int, Limit] = {}
        for name in (*OIL, MOTION, FRICTION):
            self.parameter(name, 0.0)
        self.oil = {name.removeprefix("oil."): self.parameters[name] for name in OIL}
        self.motion = self.parameters[MOTION]
        self.friction = self.parameters[FRICTION]

    # -- declaring -----------------------------------------------------------------------------------------
    def symbol(self) -> SX:
        """A fresh symbol.  It carries no name of the file's: CasADi reads meaning into brackets."""
        self._symbols += 1
        return ca.SX.sym(f"s{self._symbols}")

    def parameter(self, name: str, value: float) -> SX:
        """Add a parameter (SI) by full name and return its symbol."""
        symbol = self.symbol()
        self.parameters[name] = symbol
        self.defaults[name] = value
        return symbol

    def unknown(self, unknown: Unknown) -> SX:
        """Add an unknown with an empty balance and return its symbol."""
        symbol = self.symbol()
        self.unknowns[unknown.name] = unknown
        self.symbols[unknown.name] = symbol
        self.balances[unknown.name] = Balance()
        return symbol

    def add_node(self, name: str, p: SX, *, fixed: bool) -> Node:
        """Add a chamber (its pressure an unknown) or a tank (``fixed``)."""
        o = self.oil
        rho, work, slope = _oil_at()(p, o["rho0"], o["modulus"], o["air"], o["p_ambient"], o["n"])
        node = Node(name, p, rho, work, slope, fixed)
        self.nodes[name] = node
        self.volumes[name] = 0.0
        return node

    def add_volume(self, chamber: str, volume: SX) -> None:
        """Add oil volume (m3) to a chamber."""
        self.volumes[chamber] = self.volumes[chamber] + volume

    # -- terms ---------------------------------------------------------------------------------------------
    def value(self, element: Element, record: str) -> SX:
        """Symbol of a quantity record of an element, or ``None`` where the file leaves it out."""
        return self.parameters.get(f"{element.name}.{record}")

    def node(self, element: Element, port: str) -> Node:
        """The chamber at a port of an element."""
        return self.nodes[element.at(port)]

    def mover(self, element: Element, record: str = "on") -> Mover:
        """The moving part or lever an element names."""
        return self.movers[element.text(record)]

    def flow(self, element: Element, a: Node, b: Node, mass: SX, law: str, *, heats: bool = True) -> None:
        """Add a mass flow (kg/s) from a to b; ``heats`` books the pressure it loses as heat."""
        for node, sign, other in ((a, -1.0, b), (b, 1.0, a)):
            if not node.fixed:
                self.balances[node.name].terms.append(sign * mass)
            self._term(Term("flow", node.name, element.name, element.name, law, other.name), sign * mass)
        if heats:
            self.power(element, "heat", mass * (a.work - b.work), law)

    def swept(self, element: Element, node: Node, area_speed: SX, law: str) -> None:
        """Oil taken up by a growing volume (``area_speed`` in m3/s, positive where the chamber grows)."""
        mass = node.rho * area_speed
        if not node.fixed:
            self.balances[node.name].terms.append(-mass)
        self._term(Term("flow", node.name, element.name, element.name, law, MOVES), -mass)
        self.power(element, CARRIED if node.fixed else STORED, mass * node.work - node.p * area_speed, law)

    def fill(self, element: Element, node: Node, mass: SX, label: str) -> None:
        """Something other than oil takes up the place of a mass flow (kg/s): a void that opens."""
        self.balances[node.name].terms.append(mass)
        self._term(Term("flow", node.name, label, element.name, "no tension in oil"), mass)
        self.power(element, label, -mass * node.work, "no tension in oil")

    def force(self, body: str, element: Element, label: str, value: SX, law: str) -> None:
        """Add a force (N) on a moving part, positive towards open (or towards extend, for a cylinder)."""
        self.balances[body].terms.append(value)
        self._term(Term("force", body, label, element.name, law), value)

    def drop(self, unknown: str, value: SX) -> None:
        """Add a pressure difference (Pa) to the balance of a line."""
        self.balances[unknown].terms.append(value)

    def power(self, element: Element, label: str, value: SX, law: str) -> None:
        """Add a power (W), positive where it leaves the oil; the whole ledger sums to zero at rest."""
        self._term(Term("power", "machine", label, element.name, law), value)

    def lose(self, element: Element, value: SX) -> None:
        """Add a power (W) that turns into heat in motion only: what moves with a part stands still at rest."""
        self.lost.append((element.name, value))

    def hold(self, label: str, energy: SX) -> None:
        """Add an energy (J) held in motion: what a spring, a gas, a wall or a mass can give back."""
        self.held.append((label, energy))

    def reading(self, element: Element, kind: str, value: SX, place: str = "") -> None:
        """Add what an instrument shows (SI, of the quantity kind given), or would at a ``place`` in an element."""
        name = f"{element.name}.{place}" if place else element.name
        self._term(Term("reading", name, kind, element.name, "instrument"), value)

    def limit(
        self,
        element: Element,
        what: str,
        value: SX,
        kind: str,
        *,
        low: float | None = None,
        high: float | None = None,
        impossible: bool = False,
    ) -> None:
        """Watch a value: outside low..high the state is refused (``impossible``) or reported."""
        self.limits[len(self.terms)] = Limit(element.name, what, kind, low, high, impossible)
        self._term(Term("limit", element.name, what, element.name, "limit"), value)

    def close(self) -> None:
        """Book what the oil carries into tanks under pressure, so that the power ledger closes."""
        into = {name: [v for t, v in self.terms if t.sort == "flow" and t.place == name] for name in self.nodes}
        for name, node in self.nodes.items():
            if node.fixed and into[name]:
                total = sum(into[name][1:], into[name][0])
                self._term(Term("power", "machine", CARRIED, name, "p/density"), total * node.work)
        self._hold_oil_and_bodies()

    def _hold_oil_and_bodies(self) -> None:
        """Book the energy of the oil in each chamber and of all that moves, once all volumes and masses are in.

        Oil holds what it would give on its way to 0 gauge, less the push of the ambient: V (density x work - p);
        its change is what comes in, times its work, less what the growing volume takes.  Source: energy balance.
        """
        for name, node in self.nodes.items():
            if not node.fixed:
                full = self.volumes[name] * (node.rho * node.work - node.p)
                self.hold(IN_OIL, full - self.missing(name) * node.work)
        for name, speed in [*self.speeds.items(), *self.velocities.items()]:
            self.hold(IN_MASSES, 0.5 * self.balances[name].storage * speed**2)

    def missing(self, chamber: str) -> SX:
        """Oil (kg) that a chamber lacks in motion to be full: its void."""
        drive, lowest, per_pa = self.voids[chamber]
        return ca.fmax(lowest - drive, 0) * per_pa

    def _term(self, term: Term, value: SX) -> None:
        self.terms.append((term, value))

    def torque(self, shaft: str, element: Element, label: str, value: SX, law: str) -> None:
        """Add a torque (N m) on a shaft, positive the way it turns from inlet to outlet."""
        self.balances[shaft].terms.append(value)
        self._term(Term("torque", shaft, label, element.name, law), value)
