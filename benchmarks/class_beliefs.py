"""Misconceptions injected into a class, sheet by sheet: how often each applies, and how often marking names it.

``python -m benchmarks class [N]``: N (30) students of every worksheet in examples/class.  First everybody answers
right, and has to get full marks; then each item is answered as each misconception would, as a student writes it.
Met when every misconception there is arises on some sheet, and 95 % of the answers that are off by more than the
tolerance have theirs named.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, field
from pathlib import Path

from benchmarks.class_variants import shipped
from oilway import quantity
from oilway.quantity import Units
from oilway.solve.batch import cores_here
from oilway.study.marking import mark_sheet
from oilway.study.misconceptions import MISCONCEPTIONS
from oilway.study.roster import Student
from oilway.study.worksheet import read_worksheet
from oilway.study.worksheet_draw import Drawer, Variant, draw_class
from oilway.study.worksheet_reasons import answer_words
from oilway.study.worksheet_solve import Item, Wrong

COUNT, NAMED = 30, 0.95


@dataclass
class Tried:
    """By misconception how often it led to another answer, and was named, and the perfect sheets."""

    applied: Counter[str] = field(default_factory=Counter)
    named: Counter[str] = field(default_factory=Counter)
    sheets: int = 0
    perfect: int = 0
    missed: list[str] = field(default_factory=list)

    def add(self, other: Tried) -> None:
        """Take in what was tried on another sheet."""
        self.applied += other.applied
        self.named += other.named
        self.sheets, self.perfect = self.sheets + other.sheets, self.perfect + other.perfect
        self.missed += other.missed

    @property
    def met(self) -> bool:
        """Whether perfect sheets have full marks, and each misconception is named often enough."""
        often = all(self.named[name] >= NAMED * count for name, count in self.applied.items())
        return often and self.perfect == self.sheets


def run(arguments: Sequence[str] = ()) -> bool:
    """Inject and print; False where the target is missed."""
    count = next((int(text) for text in arguments if text.isdigit()), COUNT)
    out, paths = Tried(), shipped()
    with ProcessPoolExecutor(cores_here()) as pool:
        for tried in pool.map(inject, map(str, paths), [count] * len(paths)):
            out.add(tried)
    print(f"{len(paths)} worksheets, {out.perfect} of {out.sheets} perfect sheets have full marks")
    print(f"{'misconception':44}{'applied':>9}{'named':>9}{'share':>9}")
    for name, applied in sorted(out.applied.items()):
        print(f"{name:44}{applied:9d}{out.named[name]:9d}{out.named[name] / applied:9.1%}")
    never = [belief.name for belief in MISCONCEPTIONS if belief.name not in out.applied]
    print(*(f"not named: {line}" for line in out.missed[:10]), *(f"never arises: {n}" for n in never), sep="\n")
    return out.met and not never


def inject(path: str, count: int, units: Units = "shop") -> Tried:
    """All misconceptions in all variants of one worksheet."""
    out = Tried()
    students = [Student(f"B-{k}") for k in range(count)]
    for variant in draw_class(Drawer(read_worksheet(Path(path)), units), students).variants:
        out.sheets += 1
        reasoned = {item.id: item.marks for item in variant.items if item.kind == "rubric"}
        marked = mark_sheet(variant, perfect(variant), reasoned)
        out.perfect += abs(marked.total - marked.most) < 1e-9
        for item, wrong, named in injected(variant):
            out.applied[wrong.misconception] += 1
            out.named[wrong.misconception] += named
            if not named:
                out.missed.append(f"{Path(path).stem} {variant.student.id} {item.id}: {wrong.misconception}")
    return out


def perfect(variant: Variant) -> dict[str, str]:
    """The answers of who has everything right, as a student writes them."""
    asked = [item for item in variant.items if item.kind != "rubric"]
    return {item.id: answer_words(item, variant.units).replace(" → ", " > ") for item in asked}


def injected(variant: Variant) -> Iterator[tuple[Item, Wrong, bool]]:
    """Each item answered wrongly by each misconception, all others right; and whether marking names it."""
    right = perfect(variant)
    for item in variant.items:
        for wrong in item.wrong:
            size = wrong.value
            text = size if isinstance(size, str) else quantity.show(size, item.quantity, variant.units)
            marks = mark_sheet(variant, {**right, item.id: text}).marks
            mark = next(mark for mark in marks if mark.item is item)
            yield item, wrong, wrong.misconception in [w.misconception for w in mark.misconceptions]
