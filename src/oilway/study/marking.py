"""Marks: answers of a class against the keys of its variants, with units, carried errors and misconceptions told.

Full marks within the tolerance, half within the wider one unless a misconception explains the number.  A wrong or
missing unit is named each time and costs once a sheet.  An answer that follows rightly from a student's own
earlier answer earns full marks: the model is solved again with that answer.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field

from oilway import quantity
from oilway.errors import OilwayError, QuantityError
from oilway.study.worksheet_draw import Variant
from oilway.study.worksheet_reasons import answer_words, tolerance_words
from oilway.study.worksheet_solve import Item, Wrong, tolerances
from oilway.study.worksheet_words import Value

UNIT_COSTS = 0.5  # marks, once a sheet
HALF = 0.5
BLANK = "-"  # written for what a student left blank
BARE = re.compile(r"[-+0-9.,/ eE]+")


@dataclass
class Mark:
    """One marked item: what was answered, what it earned and why.

    ``misconceptions`` are those that lead to this answer; ``computed`` the marks before an override.
    """

    item: Item
    answer: str = ""
    marks: float = 0.0
    comment: str = ""
    misconceptions: list[Wrong] = field(default_factory=list)
    unit_wrong: bool = False
    computed: float | None = None
    open: bool = False


@dataclass
class Marked:
    """One student's marked sheet, and the practical where there is one."""

    variant: Variant
    marks: list[Mark]

    @property
    def total(self) -> float:
        """Marks earned."""
        return sum(mark.marks for mark in self.marks)

    @property
    def most(self) -> float:
        """Marks there are."""
        return sum(mark.item.marks for mark in self.marks)


def mark_sheet(variant: Variant, answers: Mapping[str, str], given: Mapping[str, float] | None = None) -> Marked:
    """Mark one student's answers (texts by item); ``given`` are the instructor's marks of rubric items."""
    own: dict[str, Value] = {}
    out, unit_paid = Marked(variant, []), False
    for item in variant.items:
        text = answers.get(item.id, "").strip()
        text = "" if text == BLANK else text
        if item.kind == "rubric":
            out.marks.append(_rubric(item, text, (given or {}).get(item.id)))
            continue
        if not text:
            mark = Mark(item, "", 0.0, "no answer")
        elif item.kind == "number":
            mark = _number(variant, item, text, own)
        elif item.kind == "order":
            mark = _order(item, text)
        else:
            mark = _choice(item, text)
        if mark.unit_wrong and mark.marks > 0 and not unit_paid:
            cost = min(UNIT_COSTS, mark.marks)
            mark.marks, unit_paid = mark.marks - cost, True
            mark.comment += f"; {cost:g} mark off, once a sheet"
        out.marks.append(mark)
    return out


# -- numbers -----------------------------------------------------------------------------------------------
def _number(variant: Variant, item: Item, text: str, own: dict[str, Value]) -> Mark:
    """Mark a number, and note the student's own answer for the questions after it."""
    units = variant.units
    unit = quantity.unit(item.quantity, units)
    value, complaint = _read(text, item, unit)
    if value is None:
        return Mark(item, text, 0.0, complaint)
    own[item.id] = Value(value, item.quantity, item.chamber)
    mark = Mark(item, text, unit_wrong=complaint != "")
    key, tolerance, half = item.size(), item.tolerance, item.half
    wrong = item.wrong if abs(value - key) > tolerance else []
    said = "right"
    if abs(value - key) > tolerance and (carried := _carried(variant, item, own)) is not None:
        size, full = carried
        if abs(value - size) <= full:
            key, tolerance, wrong = size, full, []
            said = f"right from your own earlier answer ({quantity.show(size, item.quantity, units)})"
    if abs(value - key) <= tolerance:
        mark.marks, mark.comment = item.marks, said
    else:
        mark.misconceptions = _behind(wrong, value, tolerance, item)
        mark.comment = "; ".join(f"{w.misconception}: {w.reveals}" for w in mark.misconceptions)
        if not mark.misconceptions and abs(value - key) <= half:
            mark.marks, mark.comment = HALF * item.marks, "near: half marks"
        mark.comment = mark.comment or "wrong"
    mark.comment += f"; {complaint}" if complaint else ""
    return mark


def _read(text: str, item: Item, unit: str) -> tuple[float | None, str]:
    """The number of an answer (SI), and what is wrong with its unit; none for what is no number."""
    try:
        value = quantity.parse(text, item.quantity)
    except QuantityError:
        pass
    else:
        in_sheet = _in_sheet_unit(text, item.quantity, unit)
        if (
            abs(value - item.size()) > item.half
            and in_sheet is not None
            and abs(in_sheet - item.size()) <= item.tolerance
        ):
            return in_sheet, f"wrong unit: the number is right in {unit}"
        return value, ""
    in_sheet = _in_sheet_unit(text, item.quantity, unit)
    if in_sheet is None:
        return None, f"'{text}' is no number"
    return in_sheet, f"no unit: {unit} is meant" if BARE.fullmatch(text) else f"wrong unit: {unit} is wanted"


def _in_sheet_unit(text: str, kind: str, unit: str) -> float | None:
    """The number of a text taken in the unit of the sheet."""
    found = re.match(r"[-+]?[0-9][0-9.,]*(?:[eE][-+]?\d+)?|[-+]?\.\d+", text.replace("−", "-").strip())
    try:
        return quantity.parse(f"{found[0].rstrip('.,')} {unit}".strip(), kind) if found else None
    except QuantityError:
        return None


def _carried(variant: Variant, item: Item, own: dict[str, Value]) -> tuple[float, float] | None:
    """The answer that follows from the student's own earlier ones, and its tolerance (SI); none without any."""
    sitting, question = variant.sitting, item.question
    used = [name for name in sitting.uses(question) if name in own and name != item.id]
    if question.kind != "number" or not used:
        return None
    try:
        value = sitting.answer(question, earlier={**sitting.earlier, **{n: own[n] for n in used}})
    except OilwayError:  # with that answer there is no such state
        return None
    return value.size, tolerances(value, question, sitting.worksheet)[0]


def _behind(wrong: list[Wrong], value: float, tolerance: float, item: Item) -> list[Wrong]:
    """The misconceptions that lead to this number, the closest first; each named once."""
    near = [
        w for w in wrong if isinstance(w.value, float) and abs(value - w.value) <= reach(w.value, tolerance, item)
    ]
    return sorted(near, key=lambda w: (abs(value - float(w.value)), w.misconception))


def reach(size: float, tolerance: float, item: Item) -> float:
    """How near (SI) an answer has to come to a wrong one to be explained by it: as near as the key asks for.

    The paper and a learning platform ask the same.
    """
    share = tolerance / abs(item.size()) if item.size() else 0.0
    return max(min(share, 0.1) * abs(size), tolerance)


# -- choices, orders, rubrics ------------------------------------------------------------------------------
def _choice(item: Item, text: str) -> Mark:
    chosen = _chosen(item.choices, text)
    if chosen is None:
        return Mark(item, text, 0.0, f"'{text}' is none of the choices: {', '.join(item.choices)}")
    if chosen == item.key:
        return Mark(item, text, item.marks, "right")
    behind = [w for w in item.wrong if w.value == chosen]
    said = "; ".join(f"{w.misconception}: {w.reveals}" for w in behind)
    return Mark(item, text, 0.0, said or "wrong", behind)


def _chosen(choices: tuple[str, ...], text: str) -> str | None:
    """The choice meant: its words, the beginning of them that fits only one, its number or letter."""
    plain = " ".join(text.lower().split())
    exact = [c for c in choices if c.lower() == plain]
    begun = exact or [c for c in choices if c.lower().startswith(plain)]
    if len(begun) == 1:
        return begun[0]
    place = (
        int(plain) - 1 if plain.isdigit() else ord(plain) - ord("a") if len(plain) == 1 and plain.isalpha() else -1
    )
    return choices[place] if 0 <= place < len(choices) else None


def _order(item: Item, text: str) -> Mark:
    """The numbers written into the boxes, from top to bottom: '3 1 2'; or the steps joined by '>'."""
    assert isinstance(item.key, tuple)
    given = _ordered(item, text)
    if given is None:
        return Mark(
            item,
            text,
            0.0,
            f"wanted: the numbers in the {len(item.choices)} boxes from top to bottom, '3 1 2 ...'",
        )
    places = [item.key.index(step) for step in given]
    turned = sum(a > b for k, a in enumerate(places) for b in places[k + 1 :])
    if turned == 0:
        return Mark(item, text, item.marks, "right")
    if turned == 1:
        return Mark(item, text, HALF * item.marks, "two neighbours changed over: half marks")
    first = next(k for k, place in enumerate(places) if place != k)
    return Mark(item, text, 0.0, f"wrong from step {first + 1} on: {item.key[first]}")


def _ordered(item: Item, text: str) -> list[str] | None:
    if ">" in text:
        named = [_chosen(item.choices, step.strip(" -")) for step in text.split(">")]
        found = [step for step in named if step is not None]
        return found if sorted(found) == sorted(item.choices) else None
    numbers = re.findall(r"\d+", text)
    if len(item.choices) < 10 and len(numbers) == 1:
        numbers = list(numbers[0])
    if sorted(map(int, numbers)) != list(range(1, len(item.choices) + 1)):
        return None
    return [step for _, step in sorted(zip(map(int, numbers), item.choices, strict=True))]


def _rubric(item: Item, text: str, given: float | None) -> Mark:
    if given is None:
        return Mark(item, text, 0.0, "to be marked by the instructor", open=True)
    return Mark(item, text, given, "marked by the instructor")


def key_words(item: Item, variant: Variant) -> tuple[str, str]:
    """The key of an item and how near counts, in words."""
    if item.kind == "rubric":
        return item.prompt, ""
    return answer_words(item, variant.units), tolerance_words(item, variant.units)
