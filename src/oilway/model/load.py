"""From a file to a machine: a machine file, or a valve file put on the test stand."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from oilway import quantity
from oilway.elements.base import Part
from oilway.elements.record import amount
from oilway.errors import InputError, Place, Problem, QuantityError, did_you_mean
from oilway.laws.areas import annulus_area
from oilway.model.bench import Bench, join_bench, read_bench
from oilway.model.catalogue import find_valve, is_file, kinds, shipped_valves
from oilway.model.machine import Machine
from oilway.model.mount import Assembly, Mounted, change_part, join_chambers, mount_parts
from oilway.model.oil_block import read_oil
from oilway.model.parts import convert
from oilway.model.pool import Pool
from oilway.model.setting import Setting, read_setting
from oilway.model.tree import (
    Block,
    Problems,
    Text,
    block_of,
    check_format,
    check_keys,
    closest,
    read_file,
    read_text,
    text_of,
)
from oilway.model.valve import STATE_WORDS, Valve, read_valve
from oilway.oil import Oil

MACHINE_KEYS = ("format", "machine", "note", "oil", "parts", "operating point", "trapped")
STAND_FLOW = quantity.parse("15 gpm", "flow")  # when a valve file names no rated flow
STAND_LINE = 1e-3  # m3 of oil between test pump and valve
PUMP, LOAD = "test pump", "test load"
TRAPPED = amount("pressure", "pressure", "of the oil shut in", None, "-14 psi", "14500 psi")


def read_machine(path: Path, changes: dict[str, str] | None = None, pool: Pool | None = None) -> Machine:
    """Read a machine file, or a valve file (by path or shipped name) mounted on the test stand.

    ``changes`` replaces text before anything is read from it: ``{"main relief.valve": "direct relief"}``, or, deep
    inside a mounted valve, ``{"main relief.main orifice.diameter": "0.5 mm"}``.
    Settings given by shop knowledge are read but not solved; :func:`oilway.load` does both.  ``pool`` lends the
    System of a machine read before that differs in numbers only.
    Errors: :class:`InputError` with every problem found.
    """
    if not is_file(path):
        shipped = find_valve(str(path), None)
        if shipped is None and not path.suffix:
            hint = did_you_mean(str(path), shipped_valves()) or "shipped valves: " + ", ".join(shipped_valves())
            raise InputError(Problem(Place(str(path)), "no such file, and no shipped valve of that name", hint))
        path = shipped or path
    return machine_from_tree(_changed(read_file(path), changes), path, pool)


def read_machine_text(
    text: str, name: str = "text", folder: Path | None = None, changes: dict[str, str] | None = None
) -> Machine:
    """Read a machine or valve from text; valves it names by path are looked for in ``folder``."""
    return machine_from_tree(_changed(read_text(text, name), changes), (folder or Path()) / name)


def _changed(tree: Block, changes: dict[str, str] | None) -> Block:
    """The tree with some texts replaced.

    'part.key', 'mounted valve.part.key', a choice of a valve file, or a key such as 'setting'.
    """
    problems, place = Problems(), Place("change")
    options = block_of(tree, "options", Problems(), "file")
    dotted = {}
    for path, text in (changes or {}).items():
        option = options.items.get(path)
        if "." in path and option is None:
            dotted[path] = Text(text, place)
            continue
        owner, key = (option, "default") if isinstance(option, Block) else (tree, path)
        owner.items[key], owner.keys[key] = Text(text, place), place
    blocks = _blocks_of_parts(tree, problems) if dotted else []
    for path, value in dotted.items():
        change_part(blocks, path, value, place, problems, "change")
    problems.stop_if_any()
    return tree


def _blocks_of_parts(tree: Block, problems: Problems) -> list[Block]:
    """Where the parts of a file stand: its own, and those of a valve file's choices taken and of its stand."""
    unheard = Problems()  # what is wrong with choices and stand is told when they are read
    found = [block_of(tree, "parts", problems, "file")]
    for option in block_of(tree, "options", unheard, "file").items.values():
        if isinstance(option, Block):
            picked = text_of(option, "default", unheard, "option")
            choice = block_of(block_of(option, "choices", unheard, "option"), picked, unheard, "option")
            found.append(block_of(choice, "parts", unheard, "option"))
    return [*found, block_of(block_of(tree, "stand", unheard, "file"), "parts", unheard, "stand")]


def machine_from_tree(tree: Block, path: Path, pool: Pool | None = None) -> Machine:
    """A machine from a read tree: the key ``valve`` or ``machine`` at the top says which it is."""
    if "valve" in tree.items and "machine" not in tree.items:
        return stand(read_valve(path, tree), pool=pool)
    problems = Problems()
    check_format(tree, problems)
    check_keys(tree, MACHINE_KEYS, problems, "machine file")
    title = text_of(tree, "machine", problems, "machine file")
    oil, temperature, notes = read_oil(block_of(tree, "oil", problems, "machine file"), problems)
    out = Assembly()
    parts = block_of(tree, "parts", problems, "machine file")
    if not parts.items:
        problems.add(
            parts.where, "machine file: it has no parts", "add 'parts:' with a tank, a pump, a relief ..."
        )
    mount_parts(parts, "", path.parent, out, problems)
    point, trapped = (block_of(tree, key, problems, "machine file") for key in ("operating point", "trapped"))
    machine = _finish(Machine(title, path, out.parts, oil, temperature, notes=notes, pool=pool), out, problems)
    machine.point, machine.trapped = _operating_point(machine, point), _trapped(machine, trapped)
    return machine


def _finish(machine: Machine, out: Assembly, problems: Problems) -> Machine:
    join_chambers(out, problems)
    for mounted in out.mounted:
        _check_valve(mounted, out, problems)
    _leave_to_outer(out)
    _check_connected(out, problems)
    problems.stop_if_any()
    _check_swept(out, problems)
    problems.stop_if_any()
    machine.mounted = out.mounted
    return machine


def _leave_to_outer(out: Assembly) -> None:
    """An adjuster that a valve shares with a valve inside it is set once, by the setting of the outer one."""
    said: set[str] = set()
    for mounted in out.mounted:  # the outer one stands first
        if mounted.adjuster in said:
            mounted.setting = None
        if mounted.adjuster and mounted.setting is not None:
            said.add(mounted.adjuster)


def _check_valve(mounted: Mounted, out: Assembly, problems: Problems) -> None:
    valve, prefix = mounted.valve, mounted.prefix
    if valve.adjuster:
        spring = out.parts.get(prefix + valve.adjuster)
        if spring is None or spring.kind != "spring":
            what = f"{mounted.name}: adjuster '{valve.adjuster}' is no spring of this valve"
            problems.add(valve.place("adjuster"), what, _closest_part(valve.adjuster, "spring", mounted, out))
    elif mounted.setting is not None:
        problems.add(mounted.where, f"{mounted.name}: it takes no setting, its file names no adjuster")
    owner, _, record = valve.cracking_solves.rpartition(".")
    if valve.cracking_solves:
        spring = out.parts.get(prefix + owner)
        if record != "rate" or spring is None or spring.kind != "spring" or spring.values["rate"] is None:
            what = f"{mounted.name}: '{valve.cracking_solves}' is no spring with a rate in this valve"
            problems.add(valve.place("cracking solves"), what, "write 'cracking solves: main spring.rate'")
    face = out.parts.get(prefix + valve.setting_face)
    if valve.setting_face and (face is None or face.kind != "face"):
        what = f"{mounted.name}: setting acts on: '{valve.setting_face}' is no face of this valve"
        problems.add(valve.place("setting acts on"), what, _closest_part(valve.setting_face, "face", mounted, out))
    for state in valve.states:
        for part, word in state.when:
            moving = out.parts.get(prefix + part)
            if moving is None or moving.kind != "moving part":
                what = f"states: '{part}' is no moving part of this valve"
                problems.add(state.where, what, _closest_part(part, "moving part", mounted, out))
            elif word not in STATE_WORDS:
                problems.unknown_word(state.where, "states", "state", word, STATE_WORDS)


def _closest_part(word: str, kind: str, mounted: Mounted, out: Assembly) -> str:
    own = [n.removeprefix(mounted.prefix) for n, p in out.parts.items() if p.kind == kind]
    return closest(word, own)


def _check_connected(out: Assembly, problems: Problems) -> None:
    used = {chamber for part in out.parts.values() for chamber in part.nodes.values()}
    for part in out.parts.values():
        if part.kind == "chamber" and part.name not in used:
            problems.add(part.where, f"{part.name}: nothing is connected to this chamber")


def _check_swept(out: Assembly, problems: Problems) -> None:
    """A chamber holds more oil than the parts that move into it displace, or it would hold less than none."""
    taken: dict[str, float] = {}
    for face in out.parts.values():
        if face.kind == "face" and face.values["pushes"] == "shut":
            travel = float(out.parts[str(face.values["on"])].values["travel"] or 0.0)
            area = annulus_area(*(float(face.values[key] or 0.0) for key in ("diameter", "inner diameter")))
            chamber = face.nodes["chamber"]
            taken[chamber] = taken.get(chamber, 0.0) + float(area) * travel
    for chamber, volume in taken.items():
        part = out.parts[chamber]
        if part.kind == "chamber" and float(part.values["volume"] or 0.0) <= volume:
            swept = quantity.show(volume, "volume", "metric", 3)
            what = f"{chamber}: its volume is no more than what moves into it at full lift ({swept})"
            problems.add(part.place("volume"), what, "give the volume it has while the parts are seated")


def _operating_point(machine: Machine, block: Block) -> dict[str, float]:
    problems = Problems()
    point = _point(machine, block, "operating point", problems)
    problems.stop_if_any()
    return point


def _trapped(machine: Machine, block: Block) -> dict[str, float]:
    problems, out = Problems(), {}
    for chamber, item in block.items.items():
        if f"pressure in {chamber}" not in machine.system.index:
            problems.unknown_key(block.place(chamber), "trapped", chamber, list(machine.system.chambers))
        elif isinstance(item, Text):
            value = convert(f"trapped: {chamber}", TRAPPED, item.text, item.where, problems)
            out[chamber] = float(value or 0.0)
        else:
            problems.add(block.place(chamber), f"trapped: '{chamber}' takes one pressure")
    problems.stop_if_any()
    return out


# -- the test stand ----------------------------------------------------------------------------------------
def stand(
    valve: Valve,
    setting: Setting | None = None,
    *,
    oil: Oil | None = None,
    temperature: float = 50.0,
    options: dict[str, Text] | None = None,
    to_set: bool = False,
    pool: Pool | None = None,
) -> Machine:
    """A valve alone on the test stand: the circuit its file brings along, else the plain one for a relief.

    ``to_set`` builds the circuit in which its setting is made, where that is another.  ``temperature`` in degC.
    """
    problems, out = Problems(), Assembly()
    valve = valve.with_options(options or {}, problems)
    mount_parts(valve.parts, "", valve.path.parent, out, problems, (valve.path.resolve(),))
    if setting is None and valve.setting is not None:
        setting = read_setting(valve.setting, problems, valve.title)
    out.mounted.insert(0, Mounted("", valve, setting, Place(valve.path.name)))
    bench = read_bench(valve, problems) if valve.stand.items else None
    if bench is None or (to_set and bench.set_by is None):
        bench, set_by = None, _plain_stand(valve, setting, out, problems)
    else:
        join_bench(valve, bench, out, problems, setting=to_set)
        set_by = (bench.set_by.chamber, bench.set_by.flow) if bench.set_by else ("", "")
    problems.stop_if_any()
    oil = oil or Oil(46)
    machine = _finish(Machine(valve.title, valve.path, out.parts, oil, temperature, pool=pool), out, problems)
    machine.set_by = out.real(set_by[0]), set_by[1]
    if bench is not None:
        _own_stand(machine, bench, to_set)
    return machine


def _own_stand(machine: Machine, bench: Bench, to_set: bool) -> None:
    """The named points of a circuit of its own; where a setting is read and what makes it must be there."""
    problems = Problems()
    for name, block in bench.points.items():
        machine.points[name] = _point(machine, block, f"point '{name}'", problems)
    if bench.set_by is not None:
        at = _point(machine, bench.set_by.at, "set by: at", problems)
        machine.point = at if to_set else {}
        chamber, flow = machine.set_by
        if chamber not in machine.system.chambers:
            what = f"set by: there is no chamber '{bench.set_by.chamber}' whose pressure is solved"
            problems.add(bench.set_by.where, what, did_you_mean(chamber, machine.system.chambers))
        if flow not in machine.system.parameters:
            flows = [name for name in machine.system.parameters if name.endswith(".flow")]
            problems.add(bench.set_by.where, f"set by: there is no '{flow}' on this stand", closest(flow, flows))
    problems.stop_if_any()


def _point(machine: Machine, block: Block, owner: str, problems: Problems) -> dict[str, float]:
    words = {word: text_of(block, word, problems, owner) for word in block.items}
    try:
        return machine.point_from({word: text for word, text in words.items() if text}, block.keys)
    except InputError as err:
        problems.found.extend(err.problems)
        return {}


def _plain_stand(valve: Valve, setting: Setting | None, out: Assembly, problems: Problems) -> tuple[str, str]:
    """A test pump and a test load at the inlet, tanks at outlet and drain; the inlet pressure follows from both.

    Ports that a valve allows to be plugged are plugged; remote pilot ports are held by a tank.
    """
    for taken in {PUMP, LOAD} & set(out.parts):
        problems.add(out.parts[taken].where, f"the test stand has a part '{taken}' of its own", "rename yours")
    roles = {port.role: port for port in valve.ports.values()}
    for needed in ("inlet", "outlet"):
        if needed not in roles:
            problems.add(
                Place(valve.path.name),
                f"{valve.title}: no port has the role '{needed}'",
                "the test stand feeds the inlet and takes the oil of the outlet, unless the file brings a 'stand'",
            )
    problems.stop_if_any()
    inlet, outlet = roles["inlet"].chamber, roles["outlet"].chamber
    for port in valve.ports.values():
        if port.role != "inlet" and port.chamber == inlet:
            what = f"port {port.name} ({port.role}) opens into the same chamber as the inlet"
            problems.add(port.where, what, "on the test stand the pump would run straight into its tank")
        elif port.role != "inlet" and not port.plugged:
            _hold(out, port.chamber, problems)
    problems.stop_if_any()
    flow = _stand_flow(valve, setting, problems)
    out.parts[PUMP] = _part(PUMP, "test pump", {"flow": flow}, {"inlet": outlet, "outlet": inlet})
    blocked = {"load pressure": quantity.parse("10000 psi", "pressure")}
    out.parts[LOAD] = _part(LOAD, "test load", blocked, {"from": inlet, "to": outlet})
    _add_stand_line(out, inlet)
    return inlet, f"{PUMP}.flow"


def _hold(out: Assembly, chamber: str, problems: Problems) -> None:
    part = out.parts.get(chamber)
    if part is None or part.kind != "chamber":
        problems.add(
            Place(),
            f"a port names the chamber '{chamber}', which the valve does not have",
            did_you_mean(chamber, out.parts),
        )
        return
    out.parts[chamber] = _part(chamber, "tank", {}, {}, part.where)


def _add_stand_line(out: Assembly, inlet: str) -> None:
    """The hoses of the stand hold oil too; without it every valve would sit on a rigid pump and chatter."""
    part = out.parts.get(inlet)
    if part is not None and part.kind == "chamber" and part.values["volume"] is not None:
        out.parts[inlet] = replace(
            part, values={**part.values, "volume": float(part.values["volume"]) + STAND_LINE}
        )


def _stand_flow(valve: Valve, setting: Setting | None, problems: Problems) -> float:
    if setting is not None:
        return setting.flow
    if valve.rated_flow is None:
        return STAND_FLOW
    try:
        return quantity.parse(valve.rated_flow.text, "flow")
    except QuantityError as err:
        problems.add(valve.rated_flow.where, f"rated flow: {err.what}", err.hint)
        return STAND_FLOW


def _part(
    name: str, kind: str, values: dict[str, float], nodes: dict[str, str], where: Place | None = None
) -> Part:
    defaults = {r.name: r.default for r in kinds()[kind].records}
    return Part(name, kind, {**defaults, **values}, nodes, where or Place("test stand"))
