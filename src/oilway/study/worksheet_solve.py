"""One draw of a worksheet, solved: the machine with a student's numbers, and the states of its questions."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path
from typing import Any, TypeVar

from oilway import quantity
from oilway.errors import InputError, Place, Problem, QuantityError
from oilway.model.load import read_machine
from oilway.model.machine import Machine
from oilway.model.pool import Pool
from oilway.quantity import Units
from oilway.solve.point import solve_point
from oilway.solve.result import State
from oilway.study.controls import Control, controls
from oilway.study.faults import fault_said, instrumented
from oilway.study.prose import WORD
from oilway.study.setting import settle
from oilway.study.worksheet import Question, Worksheet
from oilway.study.worksheet_words import Reader, Value

# Nothing is asked closer than this, and a key of zero is met within it (labels to 10 psi and 1 bar).
FINEST = {
    "pressure": 10 * quantity.PSI,
    "flow": 0.01 * quantity.GALLON / quantity.MINUTE,
    "velocity": 0.01 * quantity.INCH,
    "length": 5e-6,
    "force": quantity.LBF,
    "power": 0.02 * quantity.HP,
    "torque": 0.2,
    "ratio": 0.005,
}
KEPT = 1000  # states of a class in memory, about 40 kB each
Thing = TypeVar("Thing")


@dataclass(frozen=True)
class Wrong:
    """A common wrong answer: what it comes from, what it reveals, and the number or choice it leads to."""

    misconception: str
    reveals: str
    value: float | str


@dataclass
class Item:
    """One thing to answer, and its key.

    ``kind`` number, choice, order or rubric.  ``key`` SI of ``quantity``, one of ``choices``, or their right
    order; ``tolerance`` and ``half`` SI, for full and half marks.  ``margin`` how far (a share) from a tie.
    """

    id: str
    question: Question
    kind: str
    prompt: str
    marks: float
    key: float | str | tuple[str, ...] = ""
    quantity: str = ""
    tolerance: float = 0.0
    half: float = 0.0
    words: str = ""
    choices: tuple[str, ...] = ()
    margin: float | None = None
    chamber: str = ""
    mistaken: Callable[[], list[Wrong]] = list

    @cached_property
    def wrong(self) -> list[Wrong]:
        """The wrong answers that misconceptions lead to: solved when first asked for."""
        return self.mistaken()

    def size(self) -> float:
        """The key of a number, SI."""
        return float(self.key) if isinstance(self.key, float) else float("nan")


@dataclass
class Models:
    """The machines of a worksheet by file and texts changed in it, and what was solved of them: once for a class.

    Nothing here depends on the order in which students come: every state is solved from its own numbers alone.
    """

    worksheet: Worksheet
    pool: Pool = field(default_factory=Pool)
    _once: dict[tuple[object, ...], Any] = field(default_factory=dict)
    _states: dict[tuple[object, ...], State] = field(default_factory=dict)

    def once(self, key: tuple[object, ...], take: Callable[[], Thing]) -> Thing:
        """A thing, made the first time it is asked for under this key."""
        if key not in self._once:
            self._once[key] = take()
        found: Thing = self._once[key]
        return found

    def machine(self, changes: Mapping[str, str], target: Path | None = None) -> Machine:
        """The machine with these changes, its settings solved, of the worksheet's file or another.

        Errors: as :func:`oilway.load`.
        """
        file = target or self.worksheet.target
        key = "machine", file, *sorted(changes.items())
        return self.once(key, lambda: settle(read_machine(file, dict(changes), self.pool)))

    def instrumented(self, machine: Machine) -> Machine:
        """The machine with the passages that faults may open, shut."""
        return self.once(("instrumented", id(machine)), lambda: instrumented(machine))

    def controls(self, machine: Machine) -> list[Control]:
        """Its pressure controls and what each opens at."""
        return self.once(("controls", id(machine)), lambda: controls(machine)[0])

    def solved(self, machine: Machine, point: Mapping[str, float], base: State | None = None) -> State:
        """The state at a point (SI by parameter), started from rest, or from the state it is a change of."""
        key = _named(machine, point, base)
        found = self._states.pop(key, None)
        if found is None:
            found = solve_point(machine, dict(point), None if base is None else base.z)
        self._states[key] = found  # the one used last stands last
        if len(self._states) > KEPT:
            del self._states[next(iter(self._states))]
        return found


def _named(machine: Machine, point: Mapping[str, float], base: State | None) -> tuple[object, ...]:
    """What a state is known by: where it is solved, and from where."""
    return id(machine), *sorted(point.items()), "from", *(sorted(base.point.items()) if base else ())


@dataclass
class Sitting:
    """One student's numbers: ``drawn`` texts by word, and the answers of the questions so far (``earlier``).

    ``fair`` says that these numbers were printed: whether they tie is not asked again.
    """

    worksheet: Worksheet
    models: Models
    drawn: Mapping[str, str]
    units: Units
    earlier: dict[str, Value] = field(default_factory=dict)
    fair: bool = False
    _states: dict[tuple[object, ...], State] = field(default_factory=dict)

    def fill(self, text: str, earlier: Mapping[str, Value] | None = None) -> str:
        """A text of the file with the drawn numbers, and earlier answers in SI, in the place of ``{word}``."""
        answers = self.earlier if earlier is None else earlier

        def put(word: str) -> str:
            if word in answers:
                return f"{answers[word].size:.12g} {quantity.KINDS[answers[word].kind].si}".strip()
            return self.drawn.get(word, word)  # an amount in braces: as typed

        return WORD.sub(lambda m: put(m[1]), text)

    def machine(self, question: Question, key: str = "change") -> Machine:
        """The machine of a question; ``was`` instead of ``change`` for how it was before."""
        base = {} if question.target is not None else self.worksheet.change
        changes = {word: self.fill(text) for word, text in {**base, **question.map(key)}.items()}
        machine = self.models.machine(changes, question.target)
        return self.models.instrumented(machine) if "fault" in question.texts else machine

    def point(
        self, question: Question, machine: Machine, earlier: Mapping[str, Value] | None = None
    ) -> dict[str, float]:
        """The operating point of a question (SI by parameter)."""
        point = self.set_by(question, machine, "set", earlier)
        fault = question.texts.get("fault", "")
        return point | (said_fault(machine, question, fault) if fault else {})

    def set_by(
        self, question: Question, machine: Machine, key: str, earlier: Mapping[str, Value] | None = None
    ) -> dict[str, float]:
        """What a key of a question sets (SI by parameter): ``set``, or ``again`` for a second reading."""
        words = {word: self.fill(text, earlier) for word, text in question.map(key).items()}
        return machine.point_from(words, dict.fromkeys(words, question.where))

    def state(
        self, question: Question, *, key: str = "change", earlier: Mapping[str, Value] | None = None,
        more: Mapping[str, float] | None = None,
    ) -> State:  # fmt: skip
        """The solved state of a question; ``more`` lays values (SI by parameter) over its point."""
        machine = self.machine(question, key)
        point = self.point(question, machine, earlier)
        if not more:
            return self._solved(machine, point)
        return self._solved(machine, point | dict(more), self._solved(machine, point))

    def _solved(self, machine: Machine, point: Mapping[str, float], base: State | None = None) -> State:
        """A state that stays this student's own: one question has one state, whatever the class forgets."""
        name = _named(machine, point, base)
        if name not in self._states:
            self._states[name] = self.models.solved(machine, point, base)
        return self._states[name]

    def answer(
        self, question: Question, words: str = "", *, key: str = "change",
        earlier: Mapping[str, Value] | None = None, more: Mapping[str, float] | None = None,
    ) -> Value:  # fmt: skip
        """What the words of a question (or others) read off its state."""
        answers = self.earlier if earlier is None else earlier
        words = self.fill_ids(words or question.texts["answer"])
        try:
            return Reader(self.state(question, key=key, earlier=answers, more=more), answers).read(words)
        except QuantityError as err:
            raise InputError(Problem(question.where, f"{question.id}: {err.what}", err.hint)) from None

    def fill_ids(self, words: str) -> str:
        """Drawn numbers put in, braces round ids of earlier questions dropped: 'q1 less q2', '1.6 % times q1'."""
        return WORD.sub(lambda m: self.drawn.get(m[1], m[1]), words)

    def uses(self, question: Question) -> list[str]:
        """The earlier questions that the answer of this one is computed from."""
        texts = [*question.map("set").values(), question.texts.get("answer", "")]
        named = {word for text in texts for word in WORD.findall(text)}
        words = self.fill_ids(question.texts.get("answer", "")).replace(" less ", "|").replace(" plus ", "|")
        named |= {word.strip() for word in words.replace(" times ", "|").split("|")}
        return [name for name in self.earlier if name in named]


def tolerances(value: Value, question: Question, worksheet: Worksheet) -> tuple[float, float]:
    """Distance (SI) from the key that earns full and half marks."""
    share, text = worksheet.tolerance, question.texts.get("tolerance", "")
    if text:
        try:
            share = quantity.parse(text, "ratio")
        except QuantityError:
            try:
                fixed = quantity.parse(text, value.kind)
            except QuantityError as err:
                raise InputError(
                    Problem(question.where, f"{question.id}: tolerance: {err.what}", err.hint)
                ) from None
            return fixed, max(2 * fixed, worksheet.half * abs(value.size))
    finest = FINEST.get(value.kind, 1e-9)
    full = max(share * abs(value.size), finest)
    return full, max(worksheet.half * abs(value.size), 2 * full)


def nil(size: float, kind: str) -> float:
    """A reading, and nothing where it is far less than any gauge shows."""
    return 0.0 if abs(size) < 0.1 * FINEST.get(kind, 0.0) else size


def said_fault(machine: Machine, question: Question, text: str) -> dict[str, float]:
    """The changes of a fault that a question names.  Errors: :class:`InputError` with the question's line."""
    try:
        return fault_said(machine, text)
    except QuantityError as err:
        raise refuse(question, err.what, err.hint) from None
    except InputError as err:
        raise refuse(question, err.problems[0].what, err.problems[0].hint) from None


def refuse(question: Question, what: str, hint: str = "") -> InputError:
    """The refusal of a question, with its line."""
    where = question.where if question.where.line else Place("worksheet")
    return InputError(Problem(where, f"{question.id}: {what}", hint))
