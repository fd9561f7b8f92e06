"""From a question to what is answered: one function for each kind, every key computed from a solved state."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import partial
from itertools import pairwise

from oilway import quantity
from oilway.errors import QuantityError
from oilway.study.figure import decide
from oilway.study.misconceptions import wrong_choices, wrong_numbers
from oilway.study.readings import parse_limit
from oilway.study.worksheet import Question, letter
from oilway.study.worksheet_ranges import seed, shuffled
from oilway.study.worksheet_sheet import FIGURES, TableSheet, gauge_doubt, table_sheet
from oilway.study.worksheet_solve import FINEST, Item, Sitting, refuse, said_fault, tolerances
from oilway.study.worksheet_words import Reader, Value

SHOP_GAUGE, NOISE = "1.6 % of 4000 psi", 0.02  # what readings of a test may be off: pressures, and others (share)
SPLITS = 3.0  # doubts by which the best test parts two faults at the least; the next best parts them half as well
HAIR, APART = 0.002, 0.02  # shares: a verdict is farther from turning, two settings or readings from each other
ALIKE = 0.2  # of the finest difference that is asked for: closer is the same
SIZES = ("higher", "the same", "lower")
STATUSES = ("seated", "open", "at its stop")
VERDICTS = ("accept", "reject", "not proven")


def items_of(sitting: Sitting, question: Question, student: str) -> list[Item]:
    """What a question asks of a student, with keys and the wrong answers that misconceptions lead to.

    Errors: :class:`InputError` for a question that cannot be asked so, :class:`Tie` for one whose answer hangs on
    a hair, and what solving raises.
    """
    found = KINDS[question.kind](sitting, question, student)
    for item in found:
        if item.kind == "number":
            sitting.earlier[item.id] = Value(item.size(), item.quantity, item.chamber)
    return found


class Tie(Exception):
    """A draw whose answer hangs on a hair or lies out of range: drawn again.  The drawer adds the ``question``."""

    def __init__(self, why: str, sort: str = "tie") -> None:
        super().__init__(why)
        self.sort, self.question = sort, ""


# -- numbers -----------------------------------------------------------------------------------------------
def _number(sitting: Sitting, question: Question, student: str) -> list[Item]:
    value = sitting.answer(question)
    item = number_item(sitting, question, question.id, question.texts["answer"], value, question.marks)
    item.mistaken = partial(wrong_numbers, sitting, question, item.words, value, item.tolerance)
    return [item]


def number_item(sitting: Sitting, question: Question, name: str, words: str, value: Value, marks: float) -> Item:
    """An item for a number, checked against the range it has to lie in."""
    full, half = tolerances(value, question, sitting.worksheet)
    within = question.texts.get("within", "")
    if within:
        try:
            limit = parse_limit(question.id, sitting.fill(within), value.kind)
        except QuantityError as err:
            raise refuse(question, f"within: {err.what}", err.hint) from None
        low, high = (-float("inf") if limit.low is None else limit.low), limit.high
        if not low <= value.size <= (float("inf") if high is None else high):
            raise Tie(f"{quantity.show(value.size, value.kind)} is out of the range {within}", "range")
    return Item(name, question, "number", sitting.fill(question.ask), marks, value.size, value.kind, full, half,
                sitting.fill_ids(words), chamber=value.chamber)  # fmt: skip


def _gauges(sitting: Sitting, question: Question, student: str) -> list[Item]:
    found = []
    share = question.marks / len(question.lists["fill"])
    for k, name in enumerate(question.lists["fill"]):
        words = f"pressure of {name}"
        value = sitting.answer(question, words)
        item = number_item(sitting, question, f"{question.id}.{letter(k)}", words, value, share)
        item.prompt = name.rpartition(".")[2]
        item.mistaken = partial(wrong_numbers, sitting, question, words, value, item.tolerance)
        found.append(item)
    return found


# -- choices -----------------------------------------------------------------------------------------------
def _choice(sitting: Sitting, question: Question, student: str) -> list[Item]:
    spared = sum(r.marks for r in question.rubric)
    marks = max(question.marks - spared, 0.0) or question.marks
    item = Item(question.id, question, "choice", sitting.fill(question.ask), marks)
    if "compare" in question.lists:
        _compared(sitting, question, item)
    elif "first" in question.lists:
        _first(sitting, question, item)
    else:
        _status(sitting, question, item)
    item.mistaken = partial(wrong_choices, sitting, question, item)
    return [item, *_rubrics(sitting, question)]


def compared(a: float, b: float, kind: str) -> str:
    """Which of two sizes (SI) is higher; :class:`Tie` between what is the same and what a gauge shows apart."""
    apart, finest = abs(a - b), FINEST.get(kind, 0.0)
    if ALIKE * finest < apart < finest:
        raise Tie(f"the two differ by {quantity.show(apart, kind)} only")
    return SIZES[1] if apart <= ALIKE * finest else SIZES[0] if a > b else SIZES[2]


def _compared(sitting: Sitting, question: Question, item: Item) -> None:
    a, b = (sitting.answer(question, words) for words in question.lists["compare"][:2])
    if a.kind != b.kind:
        raise refuse(question, f"compares a {a.kind} with a {b.kind}")
    item.choices, item.key, item.words = (
        SIZES,
        compared(a.size, b.size, a.kind),
        " | ".join(question.lists["compare"][:2]),
    )
    item.margin = abs(a.size - b.size) / max(abs(a.size), abs(b.size), 1e-30) if item.key != SIZES[1] else None


def _status(sitting: Sitting, question: Question, item: Item) -> None:
    words = sitting.fill_ids(question.texts["answer"])
    part = words.removeprefix("state of ")
    if part == words:
        raise refuse(question, f"'{words}' gives no choice", "write 'state of PART', or 'compare:' or 'first:'")
    try:
        item.key = Reader(sitting.state(question), sitting.earlier).status(part)
    except QuantityError as err:
        raise refuse(question, err.what, err.hint) from None
    item.choices, item.words = STATUSES, words


def _opening_order(sitting: Sitting, question: Question) -> tuple[list[str], float]:
    """The controls named, the one that opens at the lowest pressure first, and how close (a share) two come."""
    known = {
        c.name: c.full if c.opens is None else c.opens for c in sitting.models.controls(sitting.machine(question))
    }
    names = question.lists["first"]
    for name in names:
        if name not in known:
            raise refuse(question, f"there is no pressure control '{name}'", "known here: " + ", ".join(known))
    order = sorted(names, key=lambda name: known[name])
    margin = min((known[b] - known[a]) / known[b] for a, b in pairwise(order))
    if margin < APART:
        raise Tie(f"two of them open within {margin:.1%} of each other")
    return order, margin


def _first(sitting: Sitting, question: Question, item: Item) -> None:
    order, item.margin = _opening_order(sitting, question)
    item.choices, item.key, item.words = question.lists["first"], order[0], "opens first"


def _rubrics(sitting: Sitting, question: Question) -> list[Item]:
    return [
        Item(f"{question.id}.r{k}", question, "rubric", sitting.fill(rubric.text), rubric.marks)
        for k, rubric in enumerate(question.rubric, 1)
    ]


# -- order, sketch, sheet, fault ---------------------------------------------------------------------------
def _order(sitting: Sitting, question: Question, student: str) -> list[Item]:
    margin = None
    if "first" in question.lists:
        steps, margin = _opening_order(sitting, question)
    else:
        steps = list(question.lists["steps"])
    shown = shuffled(steps, sitting.worksheet.id, student, question.id)
    if shown == steps:
        shown = [*shown[1:], shown[0]]
    return [Item(question.id, question, "order", sitting.fill(question.ask), question.marks, tuple(steps),
                 choices=tuple(shown), margin=margin)]  # fmt: skip


def _sketch(sitting: Sitting, question: Question, student: str) -> list[Item]:
    return _rubrics(sitting, question)


def _sheet(sitting: Sitting, question: Question, student: str) -> list[Item]:
    sheet = table_sheet(sitting, question)
    wanted = question.lists["figures"]
    found = []
    for k, figure in enumerate(wanted):
        name, marks = f"{question.id}.{letter(k)}", question.marks / len(wanted)
        if figure == "verdict":
            found.append(_verdict(sitting, question, sheet, name, marks))
            continue
        if figure not in FIGURES:
            raise refuse(question, f"there is no figure '{figure}'", "known: " + ", ".join([*FIGURES, "verdict"]))
        item = number_item(sitting, question, name, figure, Value(sheet.figure(figure), "pressure"), marks)
        item.prompt, item.mistaken = figure, partial(sheet.wrong, figure, item.tolerance)
        found.append(item)
    return found


def _verdict(sitting: Sitting, question: Question, sheet: TableSheet, name: str, marks: float) -> Item:
    limits = {figure: sitting.fill(text) for figure, text in question.map("limits").items()}
    if len(limits) != 1 or next(iter(limits)) not in FIGURES:
        raise refuse(
            question, "a verdict is given on one figure", "limits: {full-flow pressure: 2300 psi +- 50 psi}"
        )
    (figure, text), = limits.items()  # fmt: skip
    limit = parse_limit(figure, text, "pressure")
    value, doubt = sheet.figure(figure), sheet.doubt
    key = str(decide(value, doubt, limit.low, limit.high))
    edges = [edge for edge in (limit.low, limit.high) if edge is not None]
    margin = min(abs(abs(value - edge) - doubt) for edge in edges) / max(abs(value), 1.0)
    if margin < HAIR:
        raise Tie("the verdict hangs on a hair")
    item = Item(name, question, "choice", "verdict", marks, key, choices=VERDICTS, margin=margin)
    bare = str(decide(value, 0.0, limit.low, limit.high))
    item.mistaken = partial(sheet.wrong_verdict, bare, key)
    return item


def _fault(sitting: Sitting, question: Question, student: str) -> list[Item]:
    names = list(question.faults)
    drawn = names[seed(sitting.worksheet.id, student, question.id, *sitting.drawn.values()) % len(names)]
    apart = None if sitting.fair else _apart_from_others(sitting, question, drawn)
    return [Item(question.id, question, "choice", sitting.fill(question.ask), question.marks, drawn,
                 choices=tuple(names), margin=apart, words="fault")]  # fmt: skip


def _apart_from_others(sitting: Sitting, question: Question, drawn: str) -> float:
    """How far (a share) the readings of a fault are from those of each other and of none; :class:`Tie` if near."""
    read = {name: fault_readings(sitting, question, name) for name in (*question.faults, "")}
    apart = min(
        max(_share_apart(a, b) for a, b in zip(read[drawn], read[other], strict=True))
        for other in read
        if other != drawn
    )
    if apart < APART:
        raise Tie(f"the readings of '{drawn}' differ by {apart:.1%} only from another's")
    return apart


def _next_test(sitting: Sitting, question: Question, student: str) -> list[Item]:
    """Two of the faults are left: the one reading that differs most between them, counted in its own doubt."""
    words = sitting.worksheet.id, student, question.id, *sitting.drawn.values()
    left = tuple(shuffled(list(question.faults), *words)[:2])
    a, b = (fault_readings(sitting, question, name) for name in left)
    try:
        gauge = gauge_doubt(sitting.fill(question.texts.get("gauge", SHOP_GAUGE)))
    except QuantityError as err:
        raise refuse(question, err.what, err.hint) from None
    apart = {}
    for shown, one, other in zip(question.lists["show"], a, b, strict=True):
        noise = max(NOISE * max(abs(one.size), abs(other.size)), FINEST.get(one.kind, 0.0))
        apart[shown.removeprefix("reading of ").replace("@", " at ")] = abs(one.size - other.size) / (
            gauge if one.kind == "pressure" and gauge else noise
        )
    best, *others = sorted(apart, key=lambda name: -apart[name])
    if apart[best] < SPLITS or any(apart[name] > apart[best] / 2 for name in others):
        raise Tie(f"no single reading parts '{left[0]}' from '{left[1]}'")
    margin = 1 - max((apart[name] for name in others), default=0.0) / apart[best]
    prompt = f"{sitting.fill(question.ask)} Left: {left[0]}, or {left[1]}."
    return [Item(question.id, question, "choice", prompt, question.marks, best,
                 choices=tuple(apart), margin=margin, words=" | ".join(left))]  # fmt: skip


def fault_readings(sitting: Sitting, question: Question, fault: str) -> list[Value]:
    """What the gauges show with a fault of the question, or with none; then what they show ``again``."""
    machine = sitting.models.instrumented(sitting.machine(question))
    words = {word: sitting.fill(text) for word, text in question.faults.get(fault, {}).items()}
    known = words.pop("", "")
    changed = machine.point_from(words, dict.fromkeys(words, question.where))
    if known:
        key = "fault", id(machine), known
        changed |= sitting.models.once(key, lambda: said_fault(machine, question, known))
    point = sitting.point(question, machine)
    points = [point, point | sitting.set_by(question, machine, "again")] if question.map("again") else [point]
    readers = [Reader(sitting.models.solved(machine, at | changed), sitting.earlier) for at in points]
    try:
        return [reader.read(shown) for reader in readers for shown in question.lists["show"]]
    except QuantityError as err:
        raise refuse(question, err.what, err.hint) from None


def _share_apart(a: Value, b: Value) -> float:
    """How far (a share) two readings are from each other; not at all where no gauge would show it."""
    apart = abs(a.size - b.size)
    return apart / max(abs(a.size), abs(b.size)) if apart > FINEST.get(a.kind, 0.0) else 0.0


KINDS: dict[str, Callable[[Sitting, Question, str], list[Item]]] = {
    "number": _number,
    "gauges": _gauges,
    "choice": _choice,
    "why": _choice,
    "order": _order,
    "sketch": _sketch,
    "sheet": _sheet,
    "fault": _fault,
    "next test": _next_test,
}


def regimes(sitting: Sitting, question: Question) -> Iterator[tuple[str, str]]:
    """Each moving part of the state a question asks about, and whether it is seated, open or at its stop."""
    if question.kind in ("number", "gauges", "choice", "why") and "first" not in question.lists:
        for name, status in sitting.state(question).statuses.items():
            yield name, status.word
