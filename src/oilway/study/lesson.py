"""A lesson file: stops on a valve or a machine, the question at each, and what stays hidden until it is answered.

::

    format: 1
    lesson: Why the main part opens
    file: tipping_hoist.yaml            # or the name of a shipped valve
    picture: main relief                # what is shown first
    variants:                           # optional, as --change: the same machine with other parts
      two-stage: {}
      direct-acting: {main relief.valve: direct relief}
    sliders:                            # one or two, for exploring
      load pressure: 500 psi to 2600 psi
    stops:
      - title: Below cracking
        variant: two-stage
        set: {load pressure: 1500 psi}
        ask: What does the back chamber read?
        choices: [less than the inlet, the same as the inlet]
        answer: the same as the inlet
        hide: [numbers, words]
        tell: No oil moves through the orifice, so there is no drop over it.

A stop may have a ``fault`` that is a change of what is there, "main relief: pilot seat worn, 60 %"; it is not told
before the answer.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

from oilway import quantity
from oilway.errors import InputError, OilwayError, Place, Problem, QuantityError
from oilway.model.catalogue import find_valve, is_file, shipped_valves
from oilway.model.load import read_machine
from oilway.model.machine import Machine
from oilway.model.tree import (
    Block,
    Problems,
    Series,
    Text,
    block_of,
    check_format,
    check_keys,
    closest,
    read_file,
    text_of,
)
from oilway.study.explain import named_points
from oilway.study.faults import fault_said
from oilway.study.handles import POINT, Handle, handles
from oilway.study.setting import settle
from oilway.study.table import Slider

KEYS = ("format", "lesson", "note", "file", "picture", "variants", "sliders", "stops")
STOP_KEYS = ("title", "variant", "set", "ask", "choices", "answer", "hide", "tell", "caution", "fault")
HIDEABLE = ("numbers", "words", "curve", "parts")  # parts: the picture stays as it was before
AS_IN_FILE = "as in the file"  # name of the one variant of a lesson that names none
ASKED = "What opens, which way does the oil go, and what do the gauges read?"
LOADS, SPEEDS = ("load pressure", "load force", "load torque"), ("engine speed", "pump flow", "flow")
MOST_SLIDERS = 2


@dataclass(frozen=True)
class Stop:
    """One stop: ``point`` SI by parameter name on the machine of ``variant``; ``answer`` is one of ``choices``.

    ``hide`` says what stays hidden until the question is answered, one or more of ``HIDEABLE``; ``tell`` is said
    then.  ``caution`` stands with the stop from the beginning.  ``faulty`` names what a fault has changed: set,
    but never said with the question.
    """

    title: str
    variant: str
    point: dict[str, float]
    ask: str
    choices: tuple[str, ...]
    answer: str
    hide: tuple[str, ...]
    tell: str
    caution: str = ""
    faulty: frozenset[str] = frozenset()


@dataclass
class Lesson:
    """A lesson: its machines by variant, the sliders left to the reader, and the stops in order.

    ``about`` is the machine or valve file; ``changes`` what each variant changes in it.
    """

    title: str
    path: Path
    about: Path
    picture: str
    machines: dict[str, Machine]
    sliders: list[Slider]
    stops: list[Stop] = field(default_factory=list)
    changes: dict[str, dict[str, str]] = field(default_factory=dict)


def is_lesson(path: Path) -> bool:
    """Whether a file is a lesson; False for one that cannot be read."""
    try:
        return "lesson" in read_file(path).items
    except InputError:
        return False


def read_lesson(path: Path) -> Lesson:
    """Read a lesson file and the machines it speaks of, with their settings solved.

    Errors: :class:`InputError` with file, line and every problem found.
    """
    tree, problems = read_file(path), Problems()
    check_format(tree, problems)
    check_keys(tree, KEYS, problems, "lesson")
    title = text_of(tree, "lesson", problems, "lesson")
    about = text_of(tree, "file", problems, "lesson")
    problems.stop_if_any()
    changes = _variants(block_of(tree, "variants", problems, "lesson"), problems)
    target = _target(path, Text(about, tree.place("file")), problems)
    machines = _machines(target, changes, tree, problems)
    problems.stop_if_any()
    sliders = _sliders(block_of(tree, "sliders", problems, "lesson"), machines, problems)
    stops = _stops(tree, machines, problems)
    problems.stop_if_any()
    picture = text_of(tree, "picture", problems, "lesson", "")
    return Lesson(title, path, target, picture, machines, sliders, stops, changes)


def open_lesson(file: str, changes: Mapping[str, str] | None = None) -> Lesson:
    """The lesson in a file, or one made for a machine or valve file.  Errors: :class:`InputError`."""
    path = Path(file)
    if is_file(path) and is_lesson(path):
        if changes:
            what = "a lesson says itself what its variants change"
            raise InputError(Problem(Place("--change"), what, "write it under 'variants' in the lesson"))
        return read_lesson(path)
    return lesson_of(settle(read_machine(path, dict(changes or {}))))


def lesson_of(machine: Machine) -> Lesson:
    """A lesson for a file that is none: stops at its named points, else at the point of the file.

    The reader moves the load and the speed or flow of the pump, where the machine has them.
    """
    points = named_points(machine) or {"as in the file": {}}
    stops = [
        Stop(name[:1].upper() + name[1:], AS_IN_FILE, point, ASKED, (), "", HIDEABLE, "Read it off the picture.")
        for name, point in points.items()
    ]
    sliders = [Slider(h.word, h.parameter, h.kind, h.low, h.high) for h in _telling(machine)]
    machines, changes = {AS_IN_FILE: machine}, {AS_IN_FILE: dict[str, str]()}
    return Lesson(machine.title, machine.path, machine.path, "", machines, sliders, stops, changes)


def _telling(machine: Machine) -> list[Handle]:
    """One or two handles of the operating point: what named points change, else load and pump, else the first."""
    found = [h for h in handles(machine) if h.group == POINT]
    moved = dict.fromkeys(name for point in machine.points.values() for name in point)
    chosen = [h for name in moved for h in found if h.parameter == name]
    for words in (LOADS, SPEEDS):
        if not machine.points:
            chosen += [h for h in found if h.word.rpartition(".")[2] in words][:1]
    return (chosen or found)[:MOST_SLIDERS]


def _variants(block: Block, problems: Problems) -> dict[str, dict[str, str]]:
    found = {}
    for name in block.items:
        inner = block_of(block, name, problems, "variants")
        found[name] = {key: text_of(inner, key, problems, name) for key in inner.items}
    return found or {AS_IN_FILE: {}}


def _target(path: Path, about: Text, problems: Problems) -> Path:
    """The file a lesson speaks of: beside it, or a shipped valve."""
    beside = path.parent / about.text
    target = beside if beside.is_file() else find_valve(about.text, path.parent)
    if target is None:
        known = [*(p.name for p in path.parent.glob("*.yaml")), *shipped_valves()]
        what = f"lesson: there is no file '{about.text}' here, and no shipped valve"
        problems.add(about.where, what, closest(about.text, known))
        problems.stop_if_any()
    return target or beside


def _machines(
    target: Path, changes: dict[str, dict[str, str]], tree: Block, problems: Problems
) -> dict[str, Machine]:
    machines = {}
    for name, changed in changes.items():
        try:
            machines[name] = settle(read_machine(target, changed))
        except InputError as err:
            where = block_of(tree, "variants", Problems(), "lesson").place(name)
            for problem in err.problems:
                told = problem if problem.where.line else Problem(where, f"{name}: {problem.what}", problem.hint)
                problems.add(told.where, told.what, told.hint)
        except OilwayError as err:
            problems.add(tree.place("file"), f"{name}: {err}")
    return machines


def _sliders(block: Block, machines: dict[str, Machine], problems: Problems) -> list[Slider]:
    found = []
    machine = next(iter(machines.values()))
    for word in block.items:
        where = block.place(word)
        low, to, high = text_of(block, word, problems, "sliders").partition(" to ")
        if not to:
            problems.add(where, f"slider '{word}' has no range", "write '500 psi to 2600 psi'")
            continue
        try:
            parameter, kind = machine.resolve(word, where)
            ends = quantity.parse(low, kind), quantity.parse(high, kind)
        except QuantityError as err:
            problems.add(where, f"{word}: {err.what}", err.hint)
        except InputError as err:
            problems.found.extend(err.problems)
        else:
            if ends[0] >= ends[1]:
                problems.add(where, f"slider '{word}' ends where it begins or below", "smaller value first")
            found.append(Slider(word, parameter, kind, *ends))
    if len(found) > MOST_SLIDERS:
        problems.add(block.where, f"a lesson has at most two sliders, not {len(found)}")
    return found


def _stops(tree: Block, machines: dict[str, Machine], problems: Problems) -> list[Stop]:
    listed = tree.items.get("stops")
    if not isinstance(listed, Series) or not listed.items:
        problems.add(tree.place("stops"), "lesson: it has no stops", "add 'stops:' with '- title: ...' lines")
        return []
    stops = []
    for number, item in enumerate(listed.items, 1):
        if isinstance(item, Block):
            stops.append(_stop(item, f"stop {number}", machines, problems))
        else:
            problems.add(item.where, f"stop {number}: takes keys of its own: title, set, ask ...")
    return stops


def _stop(block: Block, owner: str, machines: dict[str, Machine], problems: Problems) -> Stop:
    check_keys(block, STOP_KEYS, problems, owner)
    said = {
        key: text_of(block, key, problems, owner, None if key == "title" else "")
        for key in ("title", "variant", "ask", "answer", "tell", "caution", "fault")
    }
    variant = said["variant"] or next(iter(machines))
    choices, hide = _list(block, "choices", owner, problems), _list(block, "hide", owner, problems)
    if variant not in machines:
        problems.unknown_word(block.place("variant"), owner, "variant", variant, machines)
        return Stop(said["title"], variant, {}, said["ask"], choices, said["answer"], hide, said["tell"])
    if choices and said["answer"] not in choices:
        problems.unknown_word(block.place("answer"), owner, "choice", said["answer"], choices)
    for word in hide:
        if word not in HIDEABLE:
            problems.unknown_word(block.place("hide"), owner, "thing to hide", word, HIDEABLE)
    if said["ask"] and not said["tell"]:
        problems.add(block.place("ask"), f"{owner}: a question without 'tell'", "say what the picture then shows")
    point = _point(block_of(block, "set", problems, owner), machines[variant], problems)
    fault = _fault(machines[variant], said["fault"], block.place("fault"), problems) if said["fault"] else {}
    return Stop(said["title"], variant, point | fault, said["ask"], choices, said["answer"], hide, said["tell"],
                said["caution"], frozenset(fault))  # fmt: skip


def _point(block: Block, machine: Machine, problems: Problems) -> dict[str, float]:
    words = {key: text_of(block, key, problems, "set") for key in block.items}
    try:
        return machine.point_from(words, {word: block.place(word) for word in words})
    except InputError as err:
        problems.found.extend(err.problems)
        return {}


def _fault(machine: Machine, text: str, where: Place, problems: Problems) -> dict[str, float]:
    """What a fault changes at a stop; one that shuts or adds a passage altogether cannot be set on the page."""
    try:
        return machine.point_of(fault_said(machine, text))
    except QuantityError as err:
        problems.add(where, err.what, err.hint)
    except InputError as err:
        problems.add(where, err.problems[0].what, err.problems[0].hint)
    return {}


def _list(block: Block, key: str, owner: str, problems: Problems) -> tuple[str, ...]:
    value = block.items.get(key)
    if value is None:
        return ()
    if isinstance(value, Series) and all(isinstance(item, Text) for item in value.items):
        return tuple(item.text for item in value.items if isinstance(item, Text))
    problems.add(block.place(key), f"{owner}: '{key}' takes a list, such as [a, b]")
    return ()
