"""Mounting: the parts of a file and of the valves in it become one flat list of parts with full names."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path

from oilway.elements.base import Part
from oilway.errors import Place, did_you_mean
from oilway.model.catalogue import REFERS, find_valve, kinds, shipped_valves
from oilway.model.parts import read_part
from oilway.model.setting import Setting, read_setting
from oilway.model.tree import Block, Problems, Series, Text, block_of, check_keys, text_of
from oilway.model.valve import PortOf, Valve, read_valve

OWN_KEYS = ("kind", "valve", "setting", "with", "note")
DEEPEST = 4  # valves within valves; deeper is a file that mounts itself


@dataclass
class Mounted:
    """A valve mounted in a machine: ``prefix`` leads the full names of its parts ("" on the test stand).

    ``outside`` maps the chambers behind connected ports to the chambers of the machine they are one with.
    """

    prefix: str
    valve: Valve
    setting: Setting | None
    where: Place
    outside: dict[str, str] = field(default_factory=dict)

    @property
    def name(self) -> str:
        """The name in the machine, or the valve's own title on the stand."""
        return self.prefix.rstrip(".") or self.valve.title

    @property
    def adjuster(self) -> str:
        """Full name of the spring with the adjuster, or an empty text."""
        return self.prefix + self.valve.adjuster if self.valve.adjuster else ""

    def holds(self, part: str) -> bool:
        """Whether a part of the machine, by its full name, is inside this valve."""
        if self.prefix:
            return part.startswith(self.prefix)
        return part.split(".")[0] in self.valve.parts.items

    def connected(self) -> list[PortOf]:
        """The ports that open into the machine, all but the plugged ones, in the order of their names."""
        return [
            port
            for _, port in sorted(self.valve.ports.items())
            if not port.plugged or self.outside[port.chamber] != self.prefix + port.chamber
        ]

    def at(self, *roles: str) -> str:
        """The chamber of the machine at the first of these port roles that the valve has, or an empty text."""
        for role in roles:
            for port in self.valve.ports.values():
                if port.role == role:
                    return self.outside[port.chamber]
        return ""


@dataclass
class Assembly:
    """What mounting collects."""

    parts: dict[str, Part] = field(default_factory=dict)
    mounted: list[Mounted] = field(default_factory=list)
    broken: set[str] = field(default_factory=set)  # parts that could not be read: told once, not at every mention
    alias: dict[str, str] = field(default_factory=dict)  # chamber behind a connected port -> chamber outside

    def real(self, chamber: str) -> str:
        """The chamber a name stands for, through any number of mounted ports."""
        seen = set()
        while chamber in self.alias and chamber not in seen:
            seen.add(chamber)
            chamber = self.alias[chamber]
        return chamber


def mount_parts(
    block: Block, prefix: str, folder: Path, out: Assembly, problems: Problems, inside: tuple[Path, ...] = ()
) -> None:
    """Read all parts of a block, and of the valves it mounts, into ``out``.

    ``inside`` holds the valve files this block stands in, the outermost first.
    """
    for name, item in block.items.items():
        where = block.place(name)
        if not isinstance(item, Block):
            problems.add(where, f"{name}: a part takes keys of its own, one a line, 'kind' first")
            continue
        if "." in name or not name:
            problems.add(where, f"part '{name}': a name is not empty and has no full stop in it")
            continue
        item.where = where
        if "kind" in item.items and text_of(item, "kind", problems, name) == "valve":
            _mount_valve(name, item, prefix, folder, out, problems, inside)
            continue
        part = read_part(name, item, problems)
        if part is None:
            out.broken.add(prefix + name)
            continue
        for port, chamber in part.nodes.items():
            part.nodes[port] = prefix + chamber if chamber else ""
        for record in kinds()[part.kind].records:
            value = part.values.get(record.name)
            if record.kind == "reference" and isinstance(value, str):
                part.values[record.name] = prefix + value
        part.name = prefix + name
        out.parts[part.name] = part


def _mount_valve(
    name: str,
    item: Block,
    prefix: str,
    folder: Path,
    out: Assembly,
    problems: Problems,
    inside: tuple[Path, ...],
) -> None:
    wanted = text_of(item, "valve", problems, name)
    if not wanted:
        return
    path = find_valve(wanted, folder)
    if path is None:
        hint = did_you_mean(wanted, shipped_valves()) or "shipped: " + ", ".join(shipped_valves())
        problems.add(item.place("valve"), f"{name}: there is no valve '{wanted}'", hint)
        return
    if path.resolve() in inside or len(inside) >= DEEPEST:
        why = "a valve cannot contain itself" if path.resolve() in inside else f"nested over {DEEPEST} deep"
        problems.add(item.place("valve"), f"{name}: valve '{wanted}': {why}")
        return
    valve = read_valve(path)
    picked = {key: text_of(item, key, problems, name) for key in valve.options.items if key in item.items}
    options = {key: Text(text, item.place(key)) for key, text in picked.items() if text}
    known = [*valve.ports, *valve.options.items]
    valve = valve.with_options(options, problems)
    check_keys(item, dict.fromkeys([*valve.ports, *known, *OWN_KEYS]), problems, name)
    inner = prefix + name + "."
    _connect_ports(name, item, valve, (prefix, inner), out, problems)
    valve.parts = with_changes(valve.parts, block_of(item, "with", problems, name), problems, f"{name}: with")
    said = valve.setting
    if "setting" in item.items:
        said = Text(text_of(item, "setting", problems, name), item.place("setting"))
    setting = read_setting(said, problems, name) if said is not None and said.text else None
    out.mounted.append(Mounted(inner, valve, setting, item.where))
    mount_parts(valve.parts, inner, path.parent, out, problems, (*inside, path.resolve()))


def _connect_ports(
    name: str, item: Block, valve: Valve, prefixes: tuple[str, str], out: Assembly, problems: Problems
) -> None:
    outer, inner = prefixes
    for port in valve.ports.values():
        chamber, behind = text_of(item, port.name, problems, name, ""), inner + port.chamber
        if not chamber:
            if not port.plugged:
                what = f"{name}: port {port.name} ({port.role}) is not connected"
                problems.add(item.place(port.name), what, f"add '{port.name}: chamber'")
        elif out.alias.setdefault(behind, outer + chamber) != outer + chamber:
            what = f"{name}: port {port.name} opens into the same chamber as another port of this valve"
            problems.add(item.place(port.name), what, "connect both to one chamber, or leave one unconnected")


def with_changes(parts: Block, changes: Block, problems: Problems, owner: str) -> Block:
    """The parts with changed internals: 'main orifice.diameter: 0.9 mm' under 'with'."""
    changed = Block(parts.where, dict(parts.items), dict(parts.keys))
    for path, value in changes.items.items():
        change_part([changed], path, value, changes.place(path), problems, owner)
    return changed


def change_part(
    blocks: Sequence[Block], path: str, value: Text | Block | Series, where: Place, problems: Problems, owner: str
) -> None:
    """Replace 'part.key' in the first of these blocks of parts that has the part; what is wrong is noted.

    Of a mounted valve 'part.inner part.key' goes under its 'with', and so on into the valves inside it.
    """
    part, _, key = path.partition(".")
    holder = next((block for block in blocks if part in block.items), None)
    old = holder.items[part] if holder else None
    if holder is None or not isinstance(old, Block):
        problems.unknown_word(where, owner, "part", part, [name for block in blocks for name in block.items])
        return
    if not key:
        problems.add(where, f"{owner}: '{path}' names a part but none of its keys", f"write '{part}.key'")
        return
    kind = old.items.get("kind")
    if "." in key and isinstance(kind, Text) and kind.text == "valve":
        inner = block_of(old, "with", problems, part)
        value = Block(inner.where, {**inner.items, key: value}, {**inner.keys, key: where})
        key, where = "with", inner.where
    holder.items[part] = Block(old.where, {**old.items, key: value}, {**old.keys, key: where})


def join_chambers(out: Assembly, problems: Problems) -> None:
    """Resolve every chamber name and reference; merge the chambers behind connected ports with the outside."""
    for name in sorted(out.parts):  # volumes add up in this order, whatever the order of the text
        target = out.real(name)
        if target == name:
            continue
        inner, outer = out.parts[name], out.parts.get(target)
        if outer is not None and outer.kind in ("chamber", "tank") and inner.kind == "chamber":
            del out.parts[name]
            if outer.kind == "chamber":
                _merge(inner, outer)
    nodes = {n for n, p in out.parts.items() if p.kind in ("chamber", "tank")}
    for part in out.parts.values():
        for port, chamber in part.nodes.items():
            part.nodes[port] = out.real(chamber)
            if chamber and part.nodes[port] not in nodes | out.broken:
                shown = chamber.rsplit(".", 1)[-1]
                hint = did_you_mean(shown, [n.rsplit(".", 1)[-1] for n in nodes])
                problems.add(part.place(port), f"{part.name}: {port}: there is no chamber '{shown}'", hint)
        _check_references(part, out, problems)
    for mounted in out.mounted:
        for behind in mounted.valve.ports.values():
            outside = mounted.outside[behind.chamber] = out.real(mounted.prefix + behind.chamber)
            if outside not in nodes | out.broken:
                problems.add(
                    mounted.where,
                    f"{mounted.name}: port {behind.name}: there is no chamber '{outside}'",
                    did_you_mean(outside, nodes),
                )


def _merge(inner: Part, outer: Part) -> None:
    for part in (inner, outer):
        if part.values["volume"] is None:
            return
    outer.values["volume"] = float(outer.values["volume"] or 0) + float(inner.values["volume"] or 0)
    ratings = [p.values["rated pressure"] for p in (inner, outer) if p.values["rated pressure"] is not None]
    outer.values["rated pressure"] = min(map(float, ratings)) if ratings else None


def _check_references(part: Part, out: Assembly, problems: Problems) -> None:
    for record in kinds()[part.kind].records:
        if record.kind != "reference" or not part.values.get(record.name):
            continue
        named = str(part.values[record.name])
        wanted = REFERS[record.refers_to]
        if named in out.broken:
            continue
        if named not in out.parts or out.parts[named].kind not in wanted:
            known = [n for n, p in out.parts.items() if p.kind in wanted]
            hint = did_you_mean(named, known)
            problems.add(
                part.place(record.name),
                f"{part.name}: {record.name}: there is no {record.refers_to} '{named}'",
                hint,
            )
