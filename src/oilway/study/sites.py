"""Where things can go wrong: the parts of a machine by the role they play, whatever their file calls them.

A valve is read from how it is built: the adjuster's spring pushes one part; the part on which the way between two
ports is cut is the main part; where these are two parts the valve is two-stage.
"""

from __future__ import annotations

from dataclasses import dataclass

from oilway.elements.base import Part
from oilway.elements.fixed_pump import FixedPump
from oilway.elements.line import Line
from oilway.model.catalogue import kinds
from oilway.model.machine import Machine
from oilway.model.mount import Mounted
from oilway.study.controls import role_of

DIRECT, TWO_STAGE = "direct", "two-stage"
PASSAGES = ("poppet seat", "spool edge")
BETWEEN = ("inlet", "outlet", "work port")  # roles of the ports that a main stage joins
OIL_SITE = "oil"
# A kind of part on which a fault may sit, and the role a fault file gives it.
OF_KIND = {
    "fixed pump": "fixed pump",
    "pressure-compensated pump": "compensated pump",
    "load-sensing pump": "compensated pump",
    "cylinder": "cylinder",
    "gauge": "gauge",
}
# Every role that a fault may name.
ROLES = (
    "seat", "edge", "adjuster", "main part", "main spring", "main orifice", "pilot seat", "vent", "remote pilot",
    "drain passage", "pilot orifice", "gap", "check", "way out", "return line", OIL_SITE, "fixed pump",
    "compensated pump", "load-sensing pump", "any pump", "load sense", "cylinder", "spool", "gauge",
)  # fmt: skip


@dataclass(frozen=True)
class Site:
    """One place: its ``role``, the ``owner`` a technician names, the ``parts`` there, or a ``chamber``.

    ``acts_as`` and ``built`` tell of the valve it is in; empty outside valves.
    """

    role: str
    owner: str
    parts: tuple[str, ...] = ()
    chamber: str = ""
    acts_as: str = ""
    built: str = ""


def sites(machine: Machine) -> list[Site]:
    """Every site of a machine, valves first, in the order of its file."""
    found: list[Site] = []
    for mounted in valves(machine):
        found += _of_valve(machine, mounted)
    return [*found, *_of_parts(machine)]


def valves(machine: Machine) -> list[Mounted]:
    """The mounted valves as a technician counts them: one adjuster, one valve; the outer one where two share
    it.
    """
    found, adjusters = [], set()
    for mounted in machine.mounted:
        if not mounted.adjuster or mounted.adjuster not in adjusters:
            found.append(mounted)
        adjusters.add(mounted.adjuster)
    return found


@dataclass(frozen=True)
class Stages:
    """How a valve is built: its parts, the part its adjuster works on, its main part, and which ways that cuts."""

    inside: dict[str, Part]
    adjusted: str
    main: str
    ways: tuple[str, ...]

    @property
    def two(self) -> bool:
        """True for a valve in which a pilot part decides and another does the work."""
        return bool(self.adjusted) and bool(self.main) and self.adjusted != self.main


def stages(machine: Machine, mounted: Mounted) -> Stages:
    """The build of a mounted valve, found from what its parts join."""
    nested = [m.prefix for m in valves(machine) if m is not mounted and m.prefix.startswith(mounted.prefix)]
    inside = {
        name: part
        for name, part in machine.parts.items()
        if name.startswith(mounted.prefix) and not any(name.startswith(prefix) for prefix in nested)
    }
    spring = machine.parts.get(mounted.adjuster)
    adjusted = str(spring.values["on"]) if spring is not None else ""
    ports = {mounted.outside.get(p.chamber, mounted.prefix + p.chamber) for p in mounted.valve.ports.values()
             if p.role in BETWEEN}  # fmt: skip
    cut = [
        name
        for name, part in inside.items()
        if part.kind in PASSAGES
        and set(part.nodes.values()) <= ports
        and machine.parts[str(part.values["on"])].kind == "moving part"
    ]
    on = [str(inside[name].values["on"]) for name in cut]
    main = next((name for name in on if name != adjusted), on[0] if on else "")
    return Stages(inside, adjusted, main, tuple(name for name, o in zip(cut, on, strict=True) if o == main))


def _of_valve(machine: Machine, mounted: Mounted) -> list[Site]:
    built = stages(machine, mounted)
    acts, parts = role_of(machine, mounted), built.inside
    sort = TWO_STAGE if built.two else DIRECT
    found: list[Site] = []

    def add(role: str, *names: str, chamber: str = "") -> None:
        if any(names) or chamber:
            found.append(Site(role, mounted.name, tuple(n for n in names if n), chamber, acts, sort))

    for way in built.ways:
        add("seat" if parts[way].kind == "poppet seat" else "edge", way)
    add("main part", built.main)
    add("adjuster", mounted.adjuster)
    if built.two:
        _second_stage(machine, mounted, built, add)
    _round_the_adjusted(built, add)
    checks = [name for name, part in parts.items() if part.kind == "check valve"]
    for name in checks:
        owner = name if len(checks) > 1 else mounted.name
        found.append(Site("check", owner, (name,), "", acts, sort))
    if acts == "counterbalance" and (out := mounted.at("outlet")):
        edges = [n for n, p in machine.parts.items() if p.kind == "spool edge" and p.nodes["from"] == out]
        add("way out", *(n for n in edges if n not in parts))
    return found


def _second_stage(machine: Machine, mounted: Mounted, built: Stages, add: object) -> None:
    """Main spring, main orifice, pilot seat, vent: what only a two-stage valve has."""
    assert callable(add)
    parts = built.inside
    springs = [n for n, p in parts.items() if p.kind == "spring" and p.values["on"] == built.main]
    add("main spring", *(n for n in springs if n != mounted.adjuster))
    add(
        "pilot seat",
        *(n for n, p in parts.items() if p.kind == "poppet seat" and p.values["on"] == built.adjusted),
    )
    ends = {c for way in built.ways for c in parts[way].nodes.values()}
    back = {c for c in _faces(parts, built.main, "shut") if c not in ends}
    feeds = [n for n, p in parts.items() if p.kind == "orifice" and set(p.nodes.values()) & back
             and set(p.nodes.values()) & ends]  # fmt: skip
    add("main orifice", *feeds[:1], chamber=next(iter(sorted(back)), "") if feeds else "")
    for chamber in sorted(back):
        add("vent", chamber=chamber)
        for other in valves(machine):
            if other is not mounted and other.adjuster and other.at("inlet") == chamber:
                add("remote pilot", other.adjuster)


def _round_the_adjusted(built: Stages, add: object) -> None:
    """Drain passage, pilot orifice and fit of the part that the adjuster works on."""
    assert callable(add)
    parts = built.inside
    springs = [p for p in parts.values() if p.kind == "spring" and p.values["on"] == built.adjusted]
    if not springs:
        return
    way = str(springs[-1].values["pushes"])
    behind, before = (set(_faces(parts, built.adjusted, w)) for w in (way, "open" if way == "shut" else "shut"))
    before -= behind
    holes = [(n, set(p.nodes.values())) for n, p in parts.items() if p.kind == "orifice"]
    add("drain passage", *[n for n, ends in holes if ends & behind and not ends & before][:1])
    add("pilot orifice", *[n for n, ends in holes if ends & before and not ends & behind][:1])
    gaps = [n for n, p in parts.items() if p.kind == "annular gap"]
    add("gap", *[n for n in gaps if set(parts[n].nodes.values()) & behind][:1])


def _faces(parts: dict[str, Part], on: str, pushes: str) -> list[str]:
    """The chambers whose pressure pushes a part one way."""
    return [
        p.nodes["chamber"]
        for p in parts.values()
        if p.kind == "face" and p.values["on"] == on and p.values["pushes"] == pushes
    ]


def _of_parts(machine: Machine) -> list[Site]:
    found = [Site(OIL_SITE, OIL_SITE)]
    tanks = {name for name, part in machine.parts.items() if part.kind == "tank"}
    for name, part in machine.parts.items():
        element = kinds()[part.kind]
        if role := OF_KIND.get(part.kind):
            found.append(Site(role, name, (name,)))
        if issubclass(element, FixedPump):
            found.append(Site("any pump", name, (name,)))
        if part.kind == "load-sensing pump":
            found.append(Site("load-sensing pump", name, (name,)))
            found.append(Site("load sense", name, chamber=part.nodes["load sense"]))
        if issubclass(element, Line) and set(part.nodes.values()) & tanks:
            found.append(Site("return line", name, (name,)))
        if part.kind == "lever":
            edges = [n for n, p in machine.parts.items() if p.kind == "spool edge" and p.values["on"] == name]
            found.append(Site("spool", name.rpartition(".")[0] or name, tuple(edges)))
    return found
