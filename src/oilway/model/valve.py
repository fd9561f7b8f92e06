"""A valve file: a described valve that machines (and the test stand) mount any number of times."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from pathlib import Path

from oilway.errors import InputError, Place, Problem
from oilway.model.tree import (
    Block,
    Problems,
    Series,
    Text,
    block_of,
    check_format,
    check_keys,
    read_file,
    text_of,
)

ROLES = ("inlet", "outlet", "drain", "vent", "pilot", "work port")
# What a valve acts as in a machine: what staging compares it with depends on it.
ACTS = (
    "relief", "port relief", "crossover relief", "counterbalance", "brake", "sequence", "reducing", "unloading",
    "check", "lever valve",
)  # fmt: skip
STATE_WORDS = ("seated", "open", "at its stop")  # see system.Status.word
KEYS = (
    "format", "valve", "note", "ports", "parts", "options", "adjuster", "rated flow", "setting", "cracking solves",
    "states", "setting acts on", "stand", "acts as", "size",
)  # fmt: skip
SIZE, SIZE_KEYS = "size", ("free", "targets", "note")


@dataclass(frozen=True)
class PortOf:
    """A port of a valve: the chamber behind it, what it is for, and whether it may be plugged."""

    name: str
    chamber: str
    role: str
    plugged: bool
    where: Place


@dataclass(frozen=True)
class StateWords:
    """Words for a state: which part stands how (``seated``, ``open``, ``at its stop``), and what to say."""

    when: tuple[tuple[str, str], ...]
    say: str
    where: Place = field(default_factory=Place)


@dataclass
class Valve:
    """A valve as described in its file; ``places`` says where its keys stand.

    ``stand`` is the test circuit it brings along, empty where the plain stand does; ``every_port`` names the ports
    of all choices; ``setting_face`` is the face on which the pressure of its setting acts; ``acts_as`` is one of
    ``ACTS``, or empty where the file does not say.
    """

    title: str
    path: Path
    ports: dict[str, PortOf]
    parts: Block
    options: Block
    adjuster: str
    cracking_solves: str
    rated_flow: Text | None
    setting: Text | None
    states: tuple[StateWords, ...]
    note: str = ""
    setting_face: str = ""
    acts_as: str = ""
    stand: Block = field(default_factory=lambda: Block(Place()))
    every_port: tuple[str, ...] = ()
    chosen: dict[str, str] = field(default_factory=dict)
    places: dict[str, Place] = field(default_factory=dict)

    def place(self, key: str) -> Place:
        """Where a key of the file stands, or the file itself when it was left out."""
        return self.places.get(key, Place(self.path.name))

    def with_options(self, chosen: dict[str, Text], problems: Problems) -> Valve:
        """The valve with each option decided: the parts and ports of every choice added, no option left."""
        parts = Block(self.parts.where, dict(self.parts.items), dict(self.parts.keys))
        ports, decided = dict(self.ports), {}
        for name, option in self.options.items.items():
            if not isinstance(option, Block):
                problems.add(self.options.place(name), f"option {name}: takes keys of its own: default, choices")
                continue
            check_keys(option, ("default", "choices", "note"), problems, f"option {name}")
            choices = block_of(option, "choices", problems, f"option {name}")
            default = text_of(option, "default", problems, f"option {name}")
            picked = chosen.get(name, Text(default, option.place("default")))
            choice = choices.items.get(picked.text)
            if not isinstance(choice, Block):
                problems.unknown_word(picked.where, f"option {name}", "choice", picked.text, choices.items)
                continue
            decided[name] = picked.text
            check_keys(choice, ("parts", "ports", "note"), problems, f"option {name}: {picked.text}")
            extra = block_of(choice, "parts", problems, f"option {name}")
            for key in extra.items:
                if key in parts.items:
                    problems.add(extra.place(key), f"option {name}: there is a part '{key}' already")
            parts.items.update(extra.items)
            parts.keys.update(extra.keys)
            ports.update(read_ports(block_of(choice, "ports", problems, f"option {name}"), problems))
        return replace(
            self,
            parts=parts,
            ports=ports,
            options=Block(self.options.where),
            chosen={**self.chosen, **decided},
        )


def read_valve(path: Path, tree: Block | None = None) -> Valve:
    """Read a valve file.

    Errors: :class:`InputError` with every problem of the file's frame; its parts are read when it is mounted.
    """
    tree = tree or read_file(path)
    problems = Problems()
    check_format(tree, problems)
    check_keys(tree, KEYS, problems, "valve file")
    check_size(tree, problems)
    parts = block_of(tree, "parts", problems, "valve file")
    if not parts.items:
        problems.add(
            parts.where, "valve file: it describes no parts", "add 'parts:' with chambers, faces, springs ..."
        )
    ports = read_ports(block_of(tree, "ports", problems, "valve file"), problems)
    if not ports:
        problems.add(tree.place("ports"), "valve file: it has no ports", "add 'ports:', for example P and T")
    valve = Valve(
        title=text_of(tree, "valve", problems, "valve file"),
        path=path,
        ports=ports,
        parts=parts,
        options=block_of(tree, "options", problems, "valve file"),
        adjuster=text_of(tree, "adjuster", problems, "valve file", ""),
        cracking_solves=text_of(tree, "cracking solves", problems, "valve file", ""),
        rated_flow=_optional(tree, "rated flow"),
        setting=_optional(tree, "setting"),
        states=_read_states(tree, problems),
        note=text_of(tree, "note", problems, "valve file", ""),
        setting_face=text_of(tree, "setting acts on", problems, "valve file", ""),
        acts_as=_acts_as(tree, problems),
        stand=block_of(tree, "stand", problems, "valve file"),
        every_port=(*ports, *_ports_of_choices(tree)),
        places=tree.keys,
    )
    problems.stop_if_any()
    return valve


def check_size(tree: Block, problems: Problems) -> None:
    """See that ``size`` (what may be chosen, what is wanted) has its keys; what they say is read when asked."""
    check_keys(block_of(tree, SIZE, problems, "file"), SIZE_KEYS, problems, SIZE)


def _acts_as(tree: Block, problems: Problems) -> str:
    word = text_of(tree, "acts as", problems, "valve file", "")
    if word and word not in ACTS:
        problems.unknown_word(tree.place("acts as"), "valve file", "valve that acts as", word, ACTS)
    return word


def _optional(tree: Block, key: str) -> Text | None:
    item = tree.items.get(key)
    if item is not None and not isinstance(item, Text):
        raise InputError(Problem(tree.place(key), f"valve file: '{key}' takes one value"))
    return item


def read_ports(block: Block, problems: Problems) -> dict[str, PortOf]:
    """The ports of a block by name; what is wrong is noted."""
    ports = {}
    for name, item in block.items.items():
        owner = f"port {name}"
        if not isinstance(item, Block):
            problems.add(block.place(name), f"{owner}: takes keys of its own: chamber, role")
            continue
        check_keys(item, ("chamber", "role", "unconnected"), problems, owner)
        role = text_of(item, "role", problems, owner)
        if role and role not in ROLES:
            problems.unknown_word(item.place("role"), owner, "role", role, ROLES)
        unconnected = text_of(item, "unconnected", problems, owner, "not allowed")
        if unconnected not in ("plugged", "not allowed"):
            problems.unknown_word(item.place("unconnected"), owner, "way", unconnected, ("plugged", "not allowed"))
        chamber = text_of(item, "chamber", problems, owner)
        ports[name] = PortOf(name, chamber, role, unconnected == "plugged", block.place(name))
    return ports


def _ports_of_choices(tree: Block) -> list[str]:
    """Names of the ports that choices add; what is wrong with them is told when a choice is taken."""
    unheard, names = Problems(), []
    options = block_of(tree, "options", unheard, "")
    for option in options.items:
        choices = block_of(block_of(options, option, unheard, ""), "choices", unheard, "")
        for choice in choices.items:
            names += list(block_of(block_of(choices, choice, unheard, ""), "ports", unheard, "").items)
    return names


def _read_states(tree: Block, problems: Problems) -> tuple[StateWords, ...]:
    item = tree.items.get("states")
    if item is None:
        return ()
    if not isinstance(item, Series):
        problems.add(tree.place("states"), "states: takes a list, each with 'when' and 'say'")
        return ()
    states = []
    for entry in item.items:
        if not isinstance(entry, Block):
            problems.add(entry.where, "states: each has 'when' and 'say'")
            continue
        check_keys(entry, ("when", "say"), problems, "states")
        when = block_of(entry, "when", problems, "states")
        if not when.items:
            problems.add(entry.place("when"), "states: 'when' names no part", "write 'when: {poppet: open}'")
        pairs = tuple((part, text_of(when, part, problems, "when")) for part in when.items)
        states.append(StateWords(pairs, text_of(entry, "say", problems, "states"), entry.where))
    return tuple(states)
