"""Plain data of worksheets and keys, as the templates take them.  What a student gets holds no key."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

from oilway import quantity
from oilway.draw.blank import blank
from oilway.draw.export_picture import exported
from oilway.draw.paint import paint
from oilway.draw.picture import Picture
from oilway.draw.pictures import Named, pick, pictures
from oilway.draw.sketch import HIGH, WIDE, axes
from oilway.errors import InputError, Problem
from oilway.model.machine import Machine
from oilway.quantity import Units
from oilway.solve.result import State
from oilway.study.prose import spoken
from oilway.study.scale import full_scale
from oilway.study.worksheet import Question, letter
from oilway.study.worksheet_draw import Variant
from oilway.study.worksheet_kinds import fault_readings
from oilway.study.worksheet_reasons import answer_words, reasons, tolerance_words
from oilway.study.worksheet_sheet import curve_of, table_sheet
from oilway.study.worksheet_solve import Item, Wrong, nil

AUTHORITY = "A teaching calculation. The maker's manual, local rules and a trained person have the last word."
OF_STATE = ("number", "gauges", "choice", "why")


@dataclass
class Illustrator:
    """Draws the pictures of a class, each laid out once for the same parts and repainted for each student."""

    _drawn: dict[tuple[str, ...], Named] = field(default_factory=dict)

    def picture(self, machine: Machine, question: Question) -> Named | None:
        """The picture that a question names, or that it has blanks in; none where it needs none."""
        name = question.texts.get("picture", "")
        if not name and question.kind != "gauges":
            return None
        key = name, *machine.parts
        if key not in self._drawn:
            try:
                self._drawn[key] = pick(pictures(machine), name)
            except InputError as err:
                problem = err.problems[0]
                raise InputError(Problem(question.where, f"{question.id}: {problem.what}", problem.hint)) from None
        return self._drawn[key]


def sheet_data(variant: Variant, illustrator: Illustrator) -> dict[str, Any]:
    """A student's sheet."""
    worksheet = variant.sitting.worksheet
    return {
        **_head(variant),
        "note": worksheet.note,
        "questions": [
            _question(variant, question, number, illustrator)
            for number, question in enumerate(worksheet.questions, 1)
        ],
        "practical": [
            {"step": c.step, "critical": c.critical, "measured": c.measured} for c in worksheet.practical
        ],
    }


def key_data(variant: Variant, illustrator: Illustrator) -> dict[str, Any]:
    """The key of a student's sheet: answers, what counts, common wrong answers, and the states behind them."""
    states: list[State] = []
    asked: list[list[Item]] = []
    questions = []
    for number, question in enumerate(variant.sitting.worksheet.questions, 1):
        items = variant.of(question)
        told = _key(variant, question, number, illustrator)
        if question.kind in OF_STATE and "first" not in question.lists:
            state = variant.sitting.state(question)
            if state not in states:
                states.append(state)
                asked.append([])
            asked[states.index(state)] += items
            told["state"] = letter(states.index(state)).upper()
        questions.append(told)
    return {
        **_head(variant),
        "drawn": [[word, text] for word, text in variant.drawn.items()],
        "questions": questions,
        "states": [
            {"name": letter(k).upper(), **reasons(state, items, variant.units)}
            for k, (state, items) in enumerate(zip(states, asked, strict=True))
        ],
    }


def _head(variant: Variant) -> dict[str, Any]:
    return {
        "title": variant.sitting.worksheet.title,
        "student": variant.student.name or variant.student.id,
        "id": variant.student.id,
        "variant": variant.code,
        "marks": _plain(sum(item.marks for item in variant.items)),
        "caution": AUTHORITY,
    }


def _plain(marks: float) -> str:
    return f"{marks:.2f}".rstrip("0").rstrip(".")


def _question(variant: Variant, question: Question, number: int, illustrator: Illustrator) -> dict[str, Any]:
    items = variant.of(question)
    told: dict[str, Any] = {
        "number": number,
        "id": question.id,
        "kind": question.kind,
        "ask": variant.sitting.fill(question.ask),
        "caution": question.texts.get("caution", ""),
        "marks": _plain(sum(item.marks for item in items)),
        "blanks": [_blank_of(item, question, variant.units) for item in items if item.kind == "number"],
        "choices": [[item.prompt if len(items) > 1 and question.kind == "sheet" else "", list(item.choices)]
                    for item in items if item.kind == "choice"],
        "steps": next((list(item.choices) for item in items if item.kind == "order"), []),
        "lines": 0 if question.kind == "sketch" else sum(item.kind == "rubric" for item in items),
        "given": _given(variant, question),
        "table": _table(variant, question),
        "picture": _blank_picture(variant, question, illustrator),
    }  # fmt: skip
    return told


def _given(variant: Variant, question: Question) -> str:
    """What a test sheet is judged by, or which two faults are left."""
    units, fill = variant.units, variant.sitting.fill
    limits = [f"{figure} {fill(spoken(text, units))}" for figure, text in question.map("limits").items()]
    said = [f"Limit: {'; '.join(limits)}."] if limits else []
    if question.kind == "next test":
        said.append(f"Left: {variant.of(question)[0].words.replace(' | ', ', or ')}.")
    if gauge := question.texts.get("gauge", ""):
        said.append(f"Gauge: within {fill(spoken(gauge, units))}.")
    return " ".join(said).replace("+-", "±")


def _blank_of(item: Item, question: Question, units: Units) -> dict[str, str]:
    name = item.id.removeprefix(f"{question.id}.") if item.id != question.id else ""
    return {"letter": name, "name": item.prompt if name else "", "unit": quantity.unit(item.quantity, units)}


def _blank_picture(variant: Variant, question: Question, illustrator: Illustrator) -> str:
    if question.kind == "sketch":
        return axes(curve_of(variant.sitting, question), variant.units)
    state = _state(variant, question)
    named = illustrator.picture(state.machine, question) if state else None
    if named is None or state is None:
        return ""
    labels = {
        f"pressure:{i.chamber}": i.id.rpartition(".")[2] for i in variant.of(question) if question.kind == "gauges"
    }
    return blank(named.picture, state, labels, variant.units)


def blank_png(variant: Variant, question: Question, illustrator: Illustrator) -> bytes:
    """The picture of a question with its blanks, as PNG; empty where it has none."""
    svg = _blank_picture(variant, question, illustrator)
    if not svg:
        return b""
    if question.kind == "sketch":
        return exported(Picture("sketch", WIDE, HIGH), svg, "png", question.ask)
    state = _state(variant, question)
    named = illustrator.picture(state.machine, question) if state else None
    return exported(named.picture, svg, "png", question.ask) if named else b""


def _painted(variant: Variant, question: Question, illustrator: Illustrator) -> str:
    """The picture of the key, hatched, so that it reads in grey too."""
    if question.kind == "sketch":
        return axes(curve_of(variant.sitting, question), variant.units, drawn=True)
    state = _state(variant, question)
    named = illustrator.picture(state.machine, question) if state else None
    if named is None or state is None:
        return ""
    return paint(named.picture, state, full_scale(state.machine), variant.units)


def _state(variant: Variant, question: Question) -> State | None:
    return variant.sitting.state(question) if question.kind in OF_STATE and "first" not in question.lists else None


def _table(variant: Variant, question: Question) -> list[list[str]]:
    """What a question shows: the rows of a test sheet, or the readings of a fault."""
    units = variant.units
    if question.kind == "sheet":
        sheet = table_sheet(variant.sitting, question)
        head = [f"{name}, {quantity.unit(kind, units)}"
                for name, kind in (("flow", "flow"), ("rising", "pressure"), ("falling", "pressure"))]  # fmt: skip
        rows = zip(sheet.flows, sheet.rising, sheet.falling, strict=True)
        return [
            head,
            *([f"{quantity.number(q, 'flow', units):.2f}", _bare(a, units), _bare(b, units)] for q, a, b in rows),
        ]
    if question.kind == "fault":
        fault = str(variant.of(question)[0].key)
        values = fault_readings(variant.sitting, question, fault)
        shown = [_place(words) for words in question.lists["show"]]
        then = variant.sitting.fill(question.texts.get("then", ""))
        columns = [quantity.show(nil(v.size, v.kind), v.kind, units) for v in values]
        return [
            ["place", "reading", *([then] if then else [])],
            *([name, *columns[k :: len(shown)]] for k, name in enumerate(shown)),
        ]
    return []


def _place(words: str) -> str:
    """Where something is read, as the trade says it: a gauge and a pressure by the place alone."""
    bare = words.removeprefix("reading of ").removeprefix("pressure of ")
    return bare.replace(".", " ").replace("@", " at ")


def _every_fault(variant: Variant, question: Question) -> list[list[str]]:
    """What is read with nothing wrong and with each fault, so that the key says what rules the others out."""
    if question.kind != "fault":
        return []
    drawn, shown = str(variant.of(question)[0].key), question.lists["show"]
    then = variant.sitting.fill(question.texts.get("then", ""))
    places = [_place(words) for words in shown] + [f"{_place(words)}, {then}" for words in shown if then]
    names = ["", *question.faults]
    readings = [fault_readings(variant.sitting, question, name) for name in names]
    columns = [[quantity.show(nil(v.size, v.kind), v.kind, variant.units) for v in values] for values in readings]
    head = [f"{name} (this one)" if name == drawn else name or "nothing wrong" for name in names]
    return [["place", *head], *([place, *row] for place, *row in zip(places, *columns, strict=True))]


def _bare(pressure: float, units: Units) -> str:
    return f"{quantity.number(pressure, 'pressure', units):.{0 if units == 'shop' else 1}f}"


def _key(variant: Variant, question: Question, number: int, illustrator: Illustrator) -> dict[str, Any]:
    units = variant.units
    left = f" {_given(variant, question)}" if question.kind == "next test" else ""
    return {
        "number": number,
        "id": question.id,
        "kind": question.kind,
        "ask": variant.sitting.fill(question.ask) + left,
        "tell": variant.sitting.fill(question.texts.get("tell", "")),
        "answers": [
            {
                "name": _named(item, question),
                "answer": answer_words(item, units) if item.kind != "rubric" else item.prompt,
                "rubric": item.kind == "rubric",
                "marks": _plain(item.marks),
                "counts": tolerance_words(item, units),
                "from": item.words if item.kind == "number" else "",
                "wrong": _wrongs(item.wrong, item, units),
            }
            for item in variant.of(question)
        ],
        "picture": _painted(variant, question, illustrator),
        "table": _every_fault(variant, question),
        "state": "",
    }


def _named(item: Item, question: Question) -> str:
    part = item.id.removeprefix(f"{question.id}.") if item.id != question.id else ""
    return f"{part} {item.prompt}" if part and item.kind != "rubric" else part


def _wrongs(wrong: Sequence[Wrong], item: Item, units: Units) -> list[list[str]]:
    return [
        [
            quantity.show(w.value, item.quantity, units) if isinstance(w.value, float) else w.value,
            w.misconception,
            w.reveals,
        ]
        for w in wrong
    ]
