"""A course: lessons in order, each with what is taught, shown, printed, measured and signed off.

::

    format: 1
    course: Pressure controls
    lessons:
      - title: The direct-acting relief
        page: ../lessons/direct_relief.yaml      # a lesson file for the page, or a list of them
        worksheet: direct_relief.yaml
        hidden fault: direct_relief_fault.yaml   # a worksheet of fault questions, a fault drawn for each student
        instructor: {outcome: ..., hook: ..., prior check: ..., steps: [...], exit question: ..., cautions: [...]}
        board:                                   # numbers for the board, solved when the sheet is made
          - {say: light load, file: direct relief, set: {load pressure: 1500 psi}, answer: pressure of inlet}
        lab:
          file: direct relief
          set: {load pressure: 5000 psi}
          rows: {pump flow: [2 gpm, 10 gpm, 18 gpm]}
          read: [pressure of inlet]
          steps: [...]
          cautions: [...]
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path

from oilway import quantity
from oilway.errors import InputError, Place, Problem, QuantityError
from oilway.model.load import read_machine
from oilway.model.machine import Machine
from oilway.model.pool import Pool
from oilway.model.tree import Block, Problems, Series, Text, block_of, check_format, check_keys, read_file, text_of
from oilway.quantity import Units
from oilway.solve.point import solve_point
from oilway.solve.result import State
from oilway.study.faults import fault_said, instrumented
from oilway.study.prose import check_words
from oilway.study.setting import settle
from oilway.study.worksheet import Worksheet, find_target, read_worksheet
from oilway.study.worksheet_solve import nil
from oilway.study.worksheet_words import Reader, Value

KEYS = ("format", "course", "note", "lessons")
LESSON_KEYS = ("title", "page", "worksheet", "hidden fault", "instructor", "board", "lab")
INSTRUCTOR = ("outcome", "hook", "prior check", "steps", "misconceptions", "exit question", "cautions")
BOARD_KEYS = ("say", "file", "change", "set", "fault", "answer")
LAB_KEYS = ("title", "file", "change", "set", "rows", "read", "steps", "cautions", "limit")


@dataclass(frozen=True)
class Board:
    """A number for the board: words, and where it is read; ``fault`` as 'main relief: pilot seat worn, 60 %'."""

    say: str
    target: Path
    change: Mapping[str, str]
    point: Mapping[str, str]
    answer: str
    where: Place
    fault: str = ""


@dataclass(frozen=True)
class Lab:
    """A bench lab: ``word`` takes the ``values``, one a row, and ``read`` is what is read at each."""

    title: str
    target: Path
    change: Mapping[str, str]
    point: Mapping[str, str]
    word: str
    values: tuple[str, ...]
    read: tuple[str, ...]
    steps: tuple[str, ...]
    cautions: tuple[str, ...]
    limit: str
    where: Place


@dataclass(frozen=True)
class Plan:
    """One lesson of a course."""

    title: str
    pages: tuple[Path, ...]
    worksheet: Worksheet | None
    fault: Worksheet | None
    instructor: Mapping[str, tuple[str, ...]]
    board: tuple[Board, ...]
    lab: Lab | None


@dataclass
class Course:
    """A course and its lessons."""

    title: str
    note: str
    path: Path
    plans: list[Plan] = field(default_factory=list)


def read_course(path: Path) -> Course:
    """Read a course and the worksheets it names.

    Errors: :class:`InputError` with file, line and every problem found.
    """
    tree, problems = read_file(path), Problems()
    check_format(tree, problems)
    check_keys(tree, KEYS, problems, "course")
    course = Course(
        text_of(tree, "course", problems, "course"), text_of(tree, "note", problems, "course", ""), path
    )
    listed = tree.items.get("lessons")
    if not isinstance(listed, Series) or not listed.items:
        problems.add(
            tree.place("lessons"), "course: it has no lessons", "add 'lessons:' with '- title: ...' lines"
        )
    else:
        for number, item in enumerate(listed.items, 1):
            if isinstance(item, Block):
                course.plans.append(_plan(item, f"lesson {number}", path, problems))
            else:
                problems.add(item.where, f"lesson {number}: takes keys of its own: title, worksheet ...")
    for where, text in _prose(course, tree.place("course")):
        check_words(text, (), where, "course", problems)
    problems.stop_if_any()
    return course


def _prose(course: Course, at: Place) -> Iterator[tuple[Place, str]]:
    """Every text of a course that is read by people, and about where it stands."""
    yield at, course.title
    for plan in course.plans:
        yield from ((at, text) for texts in ((plan.title,), *plan.instructor.values()) for text in texts)
        yield from ((board.where, board.say) for board in plan.board)
        if (lab := plan.lab) is not None:
            yield from ((lab.where, text) for text in (lab.title, lab.limit, *lab.steps, *lab.cautions))


def _plan(block: Block, owner: str, path: Path, problems: Problems) -> Plan:
    check_keys(block, LESSON_KEYS, problems, owner)
    said = block_of(block, "instructor", problems, owner)
    check_keys(said, INSTRUCTOR, problems, f"{owner}: instructor")
    return Plan(
        text_of(block, "title", problems, owner),
        _pages(block, owner, path, problems),
        _worksheet(block, "worksheet", owner, path, problems),
        _worksheet(block, "hidden fault", owner, path, problems),
        {key: _list(said, key) for key in INSTRUCTOR if key in said.items},
        _boards(block, owner, path, problems),
        _lab(block, owner, path, problems),
    )


def _pages(block: Block, owner: str, path: Path, problems: Problems) -> tuple[Path, ...]:
    found = (_found(block, "page", name, owner, path, problems) for name in _list(block, "page"))
    return tuple(page for page in found if page is not None)


def _beside(block: Block, key: str, owner: str, path: Path, problems: Problems) -> Path | None:
    name = text_of(block, key, problems, owner, "")
    return _found(block, key, name, owner, path, problems) if name else None


def _found(block: Block, key: str, name: str, owner: str, path: Path, problems: Problems) -> Path | None:
    if (path.parent / name).is_file():
        return path.parent / name
    problems.add(block.place(key), f"{owner}: there is no file '{name}' beside the course")
    return None


def _worksheet(block: Block, key: str, owner: str, path: Path, problems: Problems) -> Worksheet | None:
    found = _beside(block, key, owner, path, problems)
    try:
        return read_worksheet(found) if found is not None else None
    except InputError as err:
        problems.found.extend(err.problems)
        return None


def _list(block: Block, key: str) -> tuple[str, ...]:
    value = block.items.get(key)
    if isinstance(value, Series):
        return tuple(item.text for item in value.items if isinstance(item, Text))
    return (value.text,) if isinstance(value, Text) else ()


def _texts(block: Block, key: str, owner: str, problems: Problems) -> dict[str, str]:
    inner = block_of(block, key, problems, owner)
    return {word: text_of(inner, word, problems, key) for word in inner.items}


def _boards(block: Block, owner: str, path: Path, problems: Problems) -> tuple[Board, ...]:
    listed, found = block.items.get("board"), []
    for item in listed.items if isinstance(listed, Series) else []:
        if not isinstance(item, Block):
            problems.add(item.where, f"{owner}: a line of the board takes keys of its own: say, file, set, answer")
            continue
        check_keys(item, BOARD_KEYS, problems, f"{owner}: board")
        say, about, answer = (text_of(item, key, problems, "board") for key in ("say", "file", "answer"))
        target = find_target(path, about, item.place("file"), problems)
        change, point = (_texts(item, key, "board", problems) for key in ("change", "set"))
        fault = text_of(item, "fault", problems, "board", "")
        found.append(Board(say, target, change, point, answer, item.where, fault))
    return tuple(found)


def _lab(block: Block, owner: str, path: Path, problems: Problems) -> Lab | None:
    if "lab" not in block.items:
        return None
    lab = block_of(block, "lab", problems, owner)
    check_keys(lab, LAB_KEYS, problems, f"{owner}: lab")
    rows = block_of(lab, "rows", problems, "lab")
    if len(rows.items) != 1 or not _list(lab, "read"):
        problems.add(
            lab.where, f"{owner}: a lab varies one word and reads something", "rows: {pump flow: [2 gpm, 9 gpm]}"
        )
        return None
    (word,) = rows.items
    change, point = (_texts(lab, key, "lab", problems) for key in ("change", "set"))
    target = find_target(path, text_of(lab, "file", problems, "lab"), lab.place("file"), problems)
    title, limit = (text_of(lab, key, problems, "lab", "") for key in ("title", "limit"))
    return Lab(title or "Bench lab", target, change, point, word, _list(rows, word), _list(lab, "read"),
               _list(lab, "steps"), _list(lab, "cautions"), limit, lab.where)  # fmt: skip


def lab_units(lab: Lab, units: Units, pool: Pool | None = None) -> list[str]:
    """The unit of each reading of a lab.  Errors: as :func:`lab_predicted`."""
    machine = _machine(lab.target, lab.change, pool)
    state = _state(machine, {**lab.point, lab.word: lab.values[0]}, lab.where)
    return [quantity.unit(value.kind, units) for value in _values(state, lab.read, lab.where)]


# -- numbers -----------------------------------------------------------------------------------------------
def board_number(board: Board, units: Units, pool: Pool | None = None) -> str:
    """The number of a line of the board; a ``pool`` serves all lines of a term.

    Errors: :class:`InputError` with its line; what solving raises.
    """
    machine = _machine(board.target, board.change, pool)
    if board.fault:
        try:
            sound = instrumented(machine)
            machine = replace(sound, point={**sound.point, **fault_said(sound, board.fault)})
        except QuantityError as err:
            raise InputError(Problem(board.where, err.what, err.hint)) from None
        except InputError as err:
            raise InputError(Problem(board.where, err.problems[0].what, err.problems[0].hint)) from None
    return _read(machine, board.point, (board.answer,), units, board.where)[0]


def lab_predicted(lab: Lab, units: Units, pool: Pool | None = None) -> list[list[str]]:
    """What the model predicts for each row of a lab: the value set, and what is read.  Errors: as above."""
    machine = _machine(lab.target, lab.change, pool)
    return [
        [
            _said(machine, lab, value, units),
            *_read(machine, {**lab.point, lab.word: value}, lab.read, units, lab.where),
        ]
        for value in lab.values
    ]


def _machine(target: Path, change: Mapping[str, str], pool: Pool | None) -> Machine:
    return settle(read_machine(target, dict(change), pool))


def _said(machine: Machine, lab: Lab, value: str, units: Units) -> str:
    """The value that is set, in the units of the print."""
    try:
        _, kind = machine.resolve(lab.word, lab.where)
        return quantity.show(quantity.parse(value, kind), kind, units)
    except QuantityError as err:
        raise InputError(Problem(lab.where, f"{lab.word}: {err.what}", err.hint)) from None


def _read(
    machine: Machine, point: Mapping[str, str], words: tuple[str, ...], units: Units, where: Place
) -> list[str]:
    values = _values(_state(machine, point, where), words, where)
    return [quantity.show(nil(value.size, value.kind), value.kind, units) for value in values]


def _state(machine: Machine, point: Mapping[str, str], where: Place) -> State:
    return solve_point(machine, machine.point_from(dict(point), dict.fromkeys(point, where)))


def _values(state: State, words: tuple[str, ...], where: Place) -> list[Value]:
    try:
        return [Reader(state, {}).read(text) for text in words]
    except QuantityError as err:
        raise InputError(Problem(where, err.what, err.hint)) from None
