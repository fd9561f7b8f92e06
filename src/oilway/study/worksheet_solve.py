"""One draw of a worksheet, solved: the machine with a student's numbers, and the states of its questions."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from functools import cached_property

from oilway import quantity
from oilway.errors import InputError, Place, Problem, QuantityError
from oilway.model.load import read_machine
from oilway.model.machine import Machine
from oilway.quantity import Units
from oilway.solve.point import solve_point
from oilway.solve.result import State
from oilway.study.controls import Control, controls
from oilway.study.curve import Curve
from oilway.study.faults import instrumented
from oilway.study.setting import settle
from oilway.study.worksheet import WORD, Question, Worksheet
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
    """The machines of a worksheet by the texts changed in its file, each read and set once for a whole class."""

    worksheet: Worksheet
    _made: dict[tuple[tuple[str, str], ...], Machine] = field(default_factory=dict)
    _controls: dict[int, list[Control]] = field(default_factory=dict)
    _curves: dict[tuple[object, ...], Curve] = field(default_factory=dict)
    _instrumented: dict[int, Machine] = field(default_factory=dict)

    def machine(self, changes: Mapping[str, str]) -> Machine:
        """The machine with these changes, its settings solved.  Errors: as :func:`oilway.load`."""
        key = tuple(sorted(changes.items()))
        if key not in self._made:
            self._made[key] = settle(read_machine(self.worksheet.target, dict(changes)))
        return self._made[key]

    def instrumented(self, machine: Machine) -> Machine:
        """The machine with the passages that faults may open, shut."""
        if id(machine) not in self._instrumented:
            self._instrumented[id(machine)] = instrumented(machine)
        return self._instrumented[id(machine)]

    def controls(self, machine: Machine) -> list[Control]:
        """Its pressure controls and what each opens at."""
        if id(machine) not in self._controls:
            self._controls[id(machine)] = controls(machine)[0]
        return self._controls[id(machine)]

    def curve(self, key: tuple[object, ...], take: Callable[[], Curve]) -> Curve:
        """A curve, taken the first time it is asked for under this key."""
        if key not in self._curves:
            self._curves[key] = take()
        return self._curves[key]


@dataclass
class Sitting:
    """One student's numbers: ``drawn`` texts by word, and the answers of the questions so far (``earlier``)."""

    worksheet: Worksheet
    models: Models
    drawn: Mapping[str, str]
    units: Units
    earlier: dict[str, Value] = field(default_factory=dict)
    _states: dict[tuple[object, ...], State] = field(default_factory=dict)

    def fill(self, text: str, earlier: Mapping[str, Value] | None = None) -> str:
        """A text of the file with the drawn numbers, and earlier answers in SI, in the place of ``{word}``."""
        answers = self.earlier if earlier is None else earlier

        def put(word: str) -> str:
            if word in answers:
                return f"{answers[word].size:.12g} {quantity.KINDS[answers[word].kind].si}".strip()
            return self.drawn[word]

        return WORD.sub(lambda m: put(m[1]), text)

    def machine(self, question: Question, key: str = "change") -> Machine:
        """The machine of a question; ``was`` instead of ``change`` for how it was before."""
        base = {word: self.fill(text) for word, text in self.worksheet.change.items()}
        return self.models.machine(base | {word: self.fill(text) for word, text in question.map(key).items()})

    def point(
        self, question: Question, machine: Machine, earlier: Mapping[str, Value] | None = None
    ) -> dict[str, float]:
        """The operating point of a question (SI by parameter)."""
        return self.set_by(question, machine, "set", earlier)

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
        point = self.point(question, machine, earlier) | dict(more or {})
        name = (id(machine), *sorted(point.items()))
        if name not in self._states:
            self._states[name] = solve_point(machine, point)
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

    @staticmethod
    def fill_ids(words: str) -> str:
        """Braces round the ids of earlier questions dropped: '{q1} less {q2}' reads 'q1 less q2'."""
        return WORD.sub(lambda m: m[1], words)

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


def refuse(question: Question, what: str, hint: str = "") -> InputError:
    """The refusal of a question, with its line."""
    where = question.where if question.where.line else Place("worksheet")
    return InputError(Problem(where, f"{question.id}: {what}", hint))
