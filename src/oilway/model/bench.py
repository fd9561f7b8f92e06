"""The test circuit that a valve file may bring along, in the words of a machine file.

A relief shows itself on the plain stand: a pump at its inlet, tanks elsewhere.  Other valves show what they do
only with something at their other ports: a pilot line, a system behind a check, a consumer.  Their file has a
``stand``:

``parts`` of the circuit; ``joins``, port of the valve to chamber of the circuit; ``points``, named operating
points, in the order of a lesson; ``set by``, where the pressure of a setting is read and which flow makes it.
"""

from __future__ import annotations

from dataclasses import dataclass

from oilway.errors import Place
from oilway.model.mount import Assembly, mount_parts
from oilway.model.tree import Block, Problems, Text, block_of, check_keys, closest, text_of
from oilway.model.valve import Valve

STAND_KEYS = ("parts", "joins", "points", "set by", "note")
SET_BY_KEYS = ("pressure in", "flow of", "joins", "at")
PLUGGED = "plugged"


@dataclass(frozen=True)
class SetBy:
    """How a setting is made: the chamber where its pressure is read, and the parameter ('part.key') of its flow.

    ``joins`` lays other connections over those of the stand, ``at`` is the operating point meanwhile.
    """

    chamber: str
    flow: str
    joins: dict[str, Text]
    at: Block
    where: Place


@dataclass
class Bench:
    """A test circuit as described: its parts, the joined ports and the named points.

    Without ``set_by`` a setting is made on the plain stand.
    """

    where: Place
    parts: Block
    joins: dict[str, Text]
    points: dict[str, Block]
    set_by: SetBy | None = None


def read_bench(valve: Valve, problems: Problems) -> Bench:
    """Read the ``stand`` of a valve file; what is wrong is noted."""
    block = valve.stand
    check_keys(block, STAND_KEYS, problems, "stand")
    parts = block_of(block, "parts", problems, "stand")
    if not parts.items:
        problems.add(block.place("parts"), "stand: it has no parts", "add 'parts:' with a tank, a test pump ...")
    points = block_of(block, "points", problems, "stand")
    bench = Bench(
        block.where,
        parts,
        _read_joins(block, "stand", valve, problems),
        {name: block_of(points, name, problems, "stand: points") for name in points.items},
    )
    if "set by" in block.items:
        said = block_of(block, "set by", problems, "stand")
        check_keys(said, SET_BY_KEYS, problems, "set by")
        bench.set_by = SetBy(
            text_of(said, "pressure in", problems, "set by"),
            text_of(said, "flow of", problems, "set by"),
            _read_joins(said, "set by", valve, problems),
            block_of(said, "at", problems, "set by"),
            block.place("set by"),
        )
    return bench


def _read_joins(block: Block, owner: str, valve: Valve, problems: Problems) -> dict[str, Text]:
    joins, known = block_of(block, "joins", problems, owner), valve.every_port
    for port in joins.items:
        if port not in known:
            problems.unknown_key(joins.place(port), f"{owner}: joins", port, known)
    texts = {port: text_of(joins, port, problems, f"{owner}: joins") for port in joins.items}
    return {port: Text(text, joins.place(port)) for port, text in texts.items() if text}


def join_bench(valve: Valve, bench: Bench, out: Assembly, problems: Problems, *, setting: bool) -> None:
    """Add the circuit to the parts of the valve and join its ports; those of a choice not taken are left out."""
    for name in bench.parts.items:
        if name in out.parts:
            what = f"stand: the valve has a part '{name}' of its own"
            problems.add(bench.parts.place(name), what, "rename the one on the stand")
    mount_parts(bench.parts, "", valve.path.parent, out, problems, (valve.path.resolve(),))
    joins = {**bench.joins, **bench.set_by.joins} if setting and bench.set_by else bench.joins
    for port in valve.ports.values():
        join = joins.get(port.name)
        if join is not None and join.text != PLUGGED:
            _join(out, port.chamber, join, f"stand: port {port.name}", problems)
        elif join is None and not port.plugged:
            what = f"stand: port {port.name} ({port.role}) is not joined"
            problems.add(bench.where, what, f"add '{port.name}: chamber' or '{port.name}: plugged' under 'joins'")


def _join(out: Assembly, behind: str, join: Text, owner: str, problems: Problems) -> None:
    if out.alias.setdefault(behind, join.text) != join.text:
        problems.add(join.where, f"{owner}: opens into the same chamber as another port joined elsewhere")
    elif join.text not in out.parts and join.text not in out.broken:
        chambers = [name for name, part in out.parts.items() if part.kind in ("chamber", "tank")]
        problems.add(join.where, f"{owner}: there is no chamber '{join.text}'", closest(join.text, chambers))
