"""Variants of every shipped question, in number: solved, drawn again and why, and how equal they are.

``python -m benchmarks variants [N] [metric] [FILE ...]``: N (1000) variants of each worksheet in examples/class,
or of the files named, in processes on all cores; in shop units, or metric ones.  Met when everybody gets a variant
and none ties or leaves its range.
"""

from __future__ import annotations

import time
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from typing import Final

from oilway.quantity import Units
from oilway.solve.batch import cores_here
from oilway.study.readings import parse_limit
from oilway.study.roster import Student
from oilway.study.story import examples
from oilway.study.worksheet import Question, read_worksheet
from oilway.study.worksheet_draw import Drawer, NoVariant, Variant
from oilway.study.worksheet_kinds import APART, HAIR

COUNT, CHUNK = 1000, 25
METRIC: Final = "metric"
SORTS = ("unsolved", "tie", "range", "regime")


@dataclass
class Told:
    """What was found of one question: variants with it, draws it spoilt by sort, and what makes it hard."""

    solved: int = 0
    spoilt: Counter[str] = field(default_factory=Counter)
    ties: int = 0
    outside: int = 0
    steps: set[int] = field(default_factory=set)
    regimes: set[str] = field(default_factory=set)
    margin: float = float("inf")

    def add(self, other: Told) -> None:
        """Take in what another process found."""
        self.solved, self.ties = self.solved + other.solved, self.ties + other.ties
        self.outside += other.outside
        self.spoilt += other.spoilt
        self.steps |= other.steps
        self.regimes |= other.regimes
        self.margin = min(self.margin, other.margin)


@dataclass
class Found:
    """A share of the variants of one worksheet: by question, who got none, and how many numbers differ."""

    questions: dict[str, Told]
    failed: list[str] = field(default_factory=list)
    numbers: set[tuple[str, ...]] = field(default_factory=set)

    @property
    def fair(self) -> bool:
        """Whether everybody got a variant that hangs on no hair and leaves no range."""
        return not self.failed and not any(told.ties or told.outside for told in self.questions.values())


def run(arguments: Sequence[str] = ()) -> bool:
    """Measure and print; False where a variant cannot be made, ties or leaves its range."""
    count = next((int(text) for text in arguments if text.isdigit()), COUNT)
    units: Units = METRIC if METRIC in arguments else "shop"
    paths = [Path(text) for text in arguments if not text.isdigit() and text != METRIC] or shipped()
    with ProcessPoolExecutor(cores_here()) as pool:
        met = [_tell(path, count, units, pool) for path in paths]
    return all(met)


def shipped() -> list[Path]:
    """The worksheets in examples/class."""
    found = sorted((examples() / "class").glob("*.yaml"))
    return [path for path in found if "\nworksheet:" in path.read_text(encoding="utf-8")]


def _tell(path: Path, count: int, units: Units, pool: ProcessPoolExecutor) -> bool:
    begun = time.perf_counter()
    sheet = read_worksheet(path)
    out = Found({question.id: Told() for question in sheet.questions})
    chunks = [range(k, min(k + CHUNK, count)) for k in range(0, count, CHUNK)]
    for found in pool.map(look, [str(path)] * len(chunks), chunks, [units] * len(chunks)):
        for name, told in found.questions.items():
            out.questions[name].add(told)
        out.failed += found.failed
        out.numbers |= found.numbers
    made, took = count - len(out.failed), time.perf_counter() - begun
    again = sum(told.spoilt.total() for told in out.questions.values())
    print(f"{path.stem}, {units}: {made} of {count} variants, {len(out.numbers)} sets of numbers, ", end="")
    print(f"{again} draws again, {took:.0f} s")
    for line in [_line(name, told) for name, told in out.questions.items()] + out.failed[:5]:
        print(f"  {line}", flush=True)
    return out.fair


def _line(name: str, told: Told) -> str:
    again = ", ".join(f"{told.spoilt[sort]} {sort}" for sort in SORTS if told.spoilt[sort]) or "none"
    steps = f"{min(told.steps)}-{max(told.steps)}" if len(told.steps) > 1 else f"{min(told.steps, default=0)}"
    words = f"{name}: {told.solved} solved, {told.ties} ties, {told.outside} out of range; drawn again: {again}; "
    words += f"{steps} steps, {len(told.regimes)} regime{'s' if len(told.regimes) != 1 else ''}"
    return words + (f", at least {told.margin:.1%} from a tie" if told.margin < float("inf") else "")


def look(path: str, students: Iterable[int], units: Units = "shop") -> Found:
    """The variants of some students: one chunk, in whichever process."""
    drawer = _drawer(path, units)
    out = Found({question.id: Told() for question in drawer.worksheet.questions})
    for k in students:
        try:
            variant = drawer.variant(Student(f"V-{k}"))
        except NoVariant as err:
            out.failed.append(f"V-{k}: {err}")
            again = err.again
        else:
            again = variant.again
            out.numbers.add(tuple(variant.drawn.values()))
            for question in drawer.worksheet.questions:
                _count(out.questions[question.id], question, variant)
        for redraw in again:
            out.questions[redraw.question].spoilt[redraw.sort] += 1
    return out


@cache
def _drawer(path: str, units: Units) -> Drawer:
    """One for each process: its machines serve every chunk."""
    return Drawer(read_worksheet(Path(path)), units)


def _count(told: Told, question: Question, variant: Variant) -> None:
    told.solved += 1
    difficulty = variant.difficulty[question.id]
    told.steps.add(difficulty.steps)
    told.regimes.add(difficulty.words())
    ordered = question.kind in ("fault", "order") or "first" in question.lists
    least = HAIR if question.kind == "sheet" else APART if ordered else 0.0
    margins = [item.margin for item in variant.of(question) if item.margin is not None]
    told.ties += sum(margin < least for margin in margins)
    told.margin = min(told.margin, *margins, float("inf"))
    told.outside += sum(_outside(question, variant, size) for size in _sizes(question, variant))


def _sizes(question: Question, variant: Variant) -> Iterator[tuple[float, str]]:
    return ((item.size(), item.quantity) for item in variant.of(question) if item.kind == "number")


def _outside(question: Question, variant: Variant, size: tuple[float, str]) -> bool:
    """Whether a key lies out of the range that its question declares."""
    within = question.texts.get("within", "")
    if not within:
        return False
    limit = parse_limit(question.id, variant.sitting.fill(within), size[1])
    low, high = limit.low, limit.high
    return (low is not None and size[0] < low) or (high is not None and size[0] > high)
