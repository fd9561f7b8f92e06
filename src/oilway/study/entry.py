"""A student's paper typed in: what is asked for, what was meant by the keys pressed, and what marking says of it.

Nothing is marked here: every verdict is the mark of :mod:`oilway.study.marking`, sorted into a word.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Any, Literal

from oilway import quantity
from oilway.errors import InputError, Place, Problem, QuantityError
from oilway.study.mark_class import NO, YES, Answers, Signed
from oilway.study.marking import BLANK, Mark, key_words
from oilway.study.prose import plain, spoken
from oilway.study.readings import parse_limit
from oilway.study.worksheet import Check, letter
from oilway.study.worksheet_draw import Variant
from oilway.study.worksheet_solve import Item

Group = Literal["answers", "reasoning", "practical"]
ANSWERS = ("student_id", "variant", "item", "answer", "unit", "marks")
OVERRIDES = ("student_id", "item", "marks", "reason")
PRACTICAL = ("student_id", "step", "done", "value")
SIZE_AND_UNIT = re.compile(r"(?P<size>[-+−]?(?:[0-9][0-9.,/ ]*(?:[eE][-+]?[0-9]+)?|\.[0-9]+))(?P<unit>[^0-9]*.*)")


@dataclass(frozen=True)
class Field:
    """One thing to be typed in.

    ``name`` is 'item/ID', 'done/NUMBER' or 'value/NUMBER' (of a step of the practical, from 1); ``ask`` the
    question and its ``number`` on paper, ``label`` what of it; ``unit`` is printed behind the blank; ``choices``
    as the sheet lists them; ``limit`` of what is measured, in words.
    """

    name: str
    group: Group
    sort: str
    label: str
    ask: str = ""
    number: int = 0
    quantity: str = ""
    unit: str = ""
    choices: tuple[str, ...] = ()
    most: float = 0.0
    item: Item | None = None
    check: Check | None = None
    limit: str = ""


def fields(variant: Variant) -> list[Field]:
    """What a student's sheet asks for, in the order of the paper: answers, reasoning, then the practical."""
    found = [_of_item(item, variant) for item in variant.items]
    for number, check in enumerate(variant.sitting.worksheet.practical, 1):
        limit = spoken(check.limit, variant.units).replace("+-", "±")
        found.append(
            Field(f"done/{number}", "practical", "done", check.step, most=check.marks, check=check, limit=limit)
        )
        if check.measured:
            kind = _kind_of(plain(check.limit))
            unit = quantity.unit(kind, variant.units) if kind else ""
            found.append(Field(f"value/{number}", "practical", "value", check.measured, check.step, 0, kind, unit,
                               check=check, limit=limit))  # fmt: skip
    return found


def _of_item(item: Item, variant: Variant) -> Field:
    ask = variant.sitting.fill(item.question.ask)
    group: Group = "reasoning" if item.kind == "rubric" else "answers"
    unit = quantity.unit(item.quantity, variant.units) if item.kind == "number" else ""
    part = item.id.removeprefix(f"{item.question.id}.") if group == "answers" else item.id
    label = item.prompt if part == item.id else f"{part} {item.prompt}"
    number = 1 + [q.id for q in variant.sitting.worksheet.questions].index(item.question.id)
    return Field(f"item/{item.id}", group, item.kind, item.id if label == ask else label, ask, number,
                 item.quantity, unit, item.choices, item.marks, item)  # fmt: skip


def _kind_of(limit: str) -> str:
    """The kind of quantity that a limit is of; empty for none."""
    for kind in quantity.KINDS:
        try:
            parse_limit("", limit, kind)
        except QuantityError:
            continue
        return kind
    return ""


# -- what was meant ----------------------------------------------------------------------------------------
def cells(field: Field, typed: str) -> dict[str, str]:
    """The cells of its row that hold an answer as typed; an empty text takes it out, '-' is left blank.

    A number without a unit has the printed one; a unit may be begun only ('3000p', '207b').  A letter or digit is
    a place in the list of choices, digits in a row are the boxes of an order.  What a student wrote is kept even
    where it makes no sense: marking says so.
    Errors: :class:`InputError` for what the instructor alone can mistype: marks, yes or no, a place in a list.
    """
    text = " ".join(typed.split())
    if field.sort == "rubric":
        return {"marks": _marks(field, text)}
    if field.sort == "done":
        return {"done": _yes_or_no(field, text)}
    if field.sort == "value":
        return {"value": " ".join(_number(field, text))}
    if text in ("", BLANK):
        return {"answer": text, "unit": ""}
    if field.sort == "number":
        size, unit = _number(field, text)
        return {"answer": size, "unit": unit}
    return {"answer": _boxes(text) if field.sort == "order" else _choice(field, text), "unit": ""}


def _number(field: Field, text: str) -> tuple[str, str]:
    found = SIZE_AND_UNIT.fullmatch(text)
    if found is None:
        return text, ""
    size, unit = found["size"].strip(), found["unit"].strip()
    return size, whole_unit(unit, field.quantity) if unit else field.unit


def whole_unit(begun: str, kind: str) -> str:
    """The unit meant by its beginning, of the two that sheets are printed in; what is a unit already stays.

    >>> whole_unit("p", "pressure"), whole_unit("b", "pressure"), whole_unit("kPa", "pressure")
    ('psi', 'bar', 'kPa')
    """
    if kind not in quantity.KINDS:
        return begun
    try:
        quantity.convert(1.0, kind, begun)
    except QuantityError:
        printed = {quantity.unit(kind, units) for units in ("shop", "metric")}
        meant = [unit for unit in printed if unit.lower().startswith(begun.lower())]
        return meant[0] if len(meant) == 1 else begun
    return begun


def _choice(field: Field, text: str) -> str:
    if len(text) > 1:
        return text
    place = int(text) - 1 if text.isdecimal() else ord(text.lower()) - ord("a")
    if not 0 <= place < len(field.choices):
        last = len(field.choices)
        raise _mistyped(f"'{text}' is none of the choices", f"a to {letter(last - 1)}, or 1 to {last}")
    return field.choices[place]


def _boxes(text: str) -> str:
    return " ".join(text) if text.isdecimal() else text


def _marks(field: Field, text: str) -> str:
    if text == "":
        return ""
    try:
        marks = 0.0 if text == BLANK else quantity.parse(text, "number")
    except QuantityError as err:
        raise _mistyped(err.what, f"marks from 0 to {field.most:g}") from None
    if not 0 <= marks <= field.most:
        raise _mistyped(f"{marks:g} marks, of {field.most:g} that there are", f"from 0 to {field.most:g}")
    return f"{marks:g}"


def _yes_or_no(field: Field, text: str) -> str:
    said = text.lower()
    if said in ("", *YES, *NO):
        return "" if not said else "yes" if said in YES else "no"
    raise _mistyped(f"'{text}' is neither yes nor no", "y or n")


def override_cells(item: Item, marks: str, reason: str) -> dict[str, str]:
    """The cells of an override.  Errors: :class:`InputError` for marks that cannot be, or without a reason."""
    field = Field("", "answers", "rubric", "", most=item.marks)
    if not reason.strip():
        raise _mistyped("an override needs its reason", "say it in a few words: both are kept")
    return {"marks": _marks(field, marks.strip()) or "0", "reason": " ".join(reason.split())}


def _mistyped(what: str, hint: str) -> InputError:
    return InputError(Problem(Place("typed"), what, hint))


# -- what is there -----------------------------------------------------------------------------------------
def value_of(field: Field, handed: Answers | None, signed: list[Signed] | None) -> str:
    """What has been entered, as it would be typed; empty where nothing has."""
    if field.check is not None:
        own = _signature(field, signed)
        if own is None or field.sort == "value":
            return own.value.removesuffix(f" {field.unit}") if own else ""
        return ("yes" if own.done else "no") if own.said else ""
    assert field.item is not None
    if handed is None:
        return ""
    if field.sort == "rubric":
        marks = handed.marks.get(field.item.id)
        return "" if marks is None else f"{marks:g}"
    text = handed.texts.get(field.item.id, "")
    return text.removesuffix(f" {field.unit}") if field.unit else text  # it is printed behind the blank


def _signature(field: Field, signed: list[Signed] | None) -> Signed | None:
    """What was signed of the step of a field."""
    return signed[int(field.name.partition("/")[2]) - 1] if signed else None


def entered(handed: Answers | None, signed: list[Signed] | None) -> dict[str, int]:
    """How many answers, marks for reasoning and steps of the practical of a student have been entered."""
    texts = handed.texts if handed else {}
    return {
        "answers": sum(bool(text) for text in texts.values()),
        "reasoning": len(handed.marks) if handed else 0,
        "practical": sum(s.said for s in signed or []),
    }


# -- what marking says -------------------------------------------------------------------------------------
def mark_told(mark: Mark, variant: Variant) -> dict[str, Any]:
    """A mark as data: its word, marks, key, what counts, and the comment that the student will read."""
    key, counts = key_words(mark.item, variant)
    return {
        "verdict": verdict(mark),
        "marks": mark.marks,
        "computed": mark.computed,
        "said": mark.comment,
        "names": [wrong.misconception for wrong in mark.misconceptions],
        "key": "" if mark.item.kind == "rubric" else key,
        "counts": counts,
    }


def verdict(mark: Mark) -> str:
    """A mark in a word or two."""
    if mark.computed is not None:
        return "set by you"
    if mark.open:
        return "to be marked"
    if mark.item.kind == "rubric":
        return "marked"
    if not mark.answer:
        return "left blank"
    if mark.unit_wrong:
        return "unit"
    if mark.marks >= mark.item.marks:
        return "right"
    if mark.marks > 0:
        return "half marks"
    return "misconception" if mark.misconceptions else "wrong"


def signed_told(field: Field, signed: list[Signed] | None) -> dict[str, Any]:
    """A step of the practical as data."""
    own = _signature(field, signed)
    check = field.check
    assert check is not None
    told: dict[str, Any] = {"verdict": "", "marks": 0.0, "said": "", "key": field.limit}
    if own is None or not (own.said or field.sort == "value"):
        return told
    told["marks"] = check.marks if own.passed else 0.0
    if field.sort == "value":
        within = {True: "within its limit", False: "outside its limit", None: ""}[own.within]
        return told | {"verdict": within if own.value else ""}
    missed = "CRITICAL: fails the whole" if check.critical else "not passed"
    return told | {"verdict": "passed" if own.passed else missed}
