"""The files of a class: PDFs of sheets and keys, the answers to be filled in, and the bank of questions as CSV."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Callable, Iterable, Sequence
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

from oilway import quantity
from oilway.errors import InputError, Place, Problem
from oilway.files import write_whole
from oilway.qti import qti_package
from oilway.sheets.class_data import Illustrator, key_data, sheet_data
from oilway.sheets.class_sheets import Sort, sheets_pdf
from oilway.study.entry import ANSWERS
from oilway.study.roster import read_csv
from oilway.study.worksheet_draw import Drawn, Variant
from oilway.study.worksheet_reasons import answer_words

BANK = ("student_id", "variant", "item", "kind", "question", "choices", "key", "unit", "tol", "marks")
Tick = Callable[[], None]


def write_worksheets(
    drawn: Drawn,
    output: Path,
    paper: str = "letter",
    *,
    merged: bool = False,
    qti: Path | None = None,
    tick: Tick = lambda: None,
) -> list[Path]:
    """Write sheets and keys, and return what was written; nothing is written before everything is made.

    Errors: as :func:`worksheet_files`, and :class:`InputError` for a place that cannot be written.
    """
    made = worksheet_files(drawn, output, paper, merged=merged, qti=qti, tick=tick)
    write_all(made)
    return list(made)


def worksheet_files(
    drawn: Drawn,
    output: Path,
    paper: str = "letter",
    *,
    merged: bool = False,
    qti: Path | None = None,
    tick: Tick = lambda: None,
) -> dict[Path, bytes | str]:
    """The files of sheets and keys by where they go; none where nobody has a sheet.

    ``output`` ending in .pdf: all sheets in it, all keys in a file beside it ending in -keys.pdf; else a folder
    with ``sheets`` and ``keys``, a PDF a student each, or merged ones, with answers.csv and bank.csv.  ``qti``: a
    package of all questions there, too.
    Errors: :class:`InputError` for a question that cannot be printed.
    """
    illustrator, one = Illustrator(), output.suffix.lower() == ".pdf"
    if not drawn.variants:
        return {}
    data = []
    wanted: list[tuple[Path, Sort, list[dict[str, Any]]]] = []
    for variant in drawn.variants:
        sheet, key = sheet_data(variant, illustrator), key_data(variant, illustrator)
        data.append((sheet, key))
        name = file_name(variant.student.id)
        wanted.append((output / "sheets" / f"{name}.pdf", "worksheet", [sheet]))
        wanted.append((output / "keys" / f"{name}-key.pdf", "worksheet_key", [key]))
        tick()
    if one or merged:
        place = output if one else output / "sheets.pdf"
        keys = output.with_name(f"{output.stem}-keys.pdf") if one else output / "keys.pdf"
        wanted = [
            (place, "worksheet", [sheet for sheet, _ in data]),
            (keys, "worksheet_key", [key for _, key in data]),
        ]
    made: dict[Path, bytes | str] = {**set_all(wanted, paper)}
    if not one:
        if not has_answers(output / "answers.csv"):  # what was typed in is never replaced
            made[output / "answers.csv"] = csv_text(ANSWERS, _empty_answers(drawn.variants))
        made[output / "bank.csv"] = csv_text(BANK, bank_rows(drawn.variants))
    if qti is not None:
        made[qti] = qti_package(drawn.variants, illustrator)
    return made


def has_answers(path: Path) -> bool:
    """Whether a list of answers is there with something filled in; what is no such list is somebody's, too."""
    if not path.is_file():
        return False
    try:
        rows = read_csv(path, ("answer", "marks"))
    except InputError:
        return True
    return any(row["answer"] or row["marks"] for _, row in rows)


def set_all(wanted: Sequence[tuple[Path, Sort, list[dict[str, Any]]]], paper: str) -> dict[Path, bytes]:
    """The PDF of each place, set side by side: the setter leaves Python free meanwhile."""
    with ThreadPoolExecutor(2) as pool:
        pdfs = pool.map(lambda one: sheets_pdf(one[1], one[2], paper), wanted)
        return dict(zip((place for place, _, _ in wanted), pdfs, strict=True))


def write_all(made: dict[Path, bytes | str]) -> None:
    """Write files, their folders made if need be.  Errors: :class:`InputError` where that cannot be done."""
    for folder in {path.parent for path in made}:
        try:
            folder.mkdir(parents=True, exist_ok=True)
        except OSError as err:
            raise InputError(Problem(Place(str(folder)), f"cannot be made: {str(err.strerror).lower()}")) from None
    for path, content in made.items():
        write_whole(path, content)


def file_name(student_id: str) -> str:
    """A student id as part of a file name; ids that differ stay different."""
    return re.sub(r"[^\w.-]", "_", student_id)


def csv_text(columns: Sequence[str], rows: Iterable[Sequence[object]]) -> str:
    """A CSV with a head; a text that a spreadsheet would take for a formula gets a quote before it."""
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(columns)
    for row in rows:
        writer.writerow([_harmless(cell) if isinstance(cell, str) else cell for cell in row])
    return text.getvalue()


def _harmless(cell: str) -> str:
    return f"'{cell}" if cell[:1] in ("=", "@") or re.match(r"[+-](?![\d.])", cell) else cell


def _empty_answers(variants: Sequence[Variant]) -> Iterable[Sequence[object]]:
    for variant in variants:
        for item in variant.items:
            yield variant.student.id, variant.code, item.id, "", "", ""


def bank_rows(variants: Sequence[Variant]) -> Iterable[Sequence[object]]:
    """Every item of every variant with its key, as it stands in bank.csv."""
    for variant in variants:
        for item in variant.items:
            asked = (
                item.prompt
                if item.id == item.question.id
                else f"{variant.sitting.fill(item.question.ask)} {item.prompt}"
            )
            unit = quantity.unit(item.quantity, variant.units) if item.kind == "number" else ""
            key = answer_words(item, variant.units) if item.kind != "rubric" else ""
            zero = quantity.number(0.0, item.quantity, variant.units) if item.kind == "number" else 0.0
            tol = (
                f"{quantity.number(item.tolerance, item.quantity, variant.units) - zero:.4g}"
                if item.kind == "number"
                else ""
            )
            yield (variant.student.id, variant.code, item.id, item.kind, asked, " | ".join(item.choices),
                   key.removesuffix(unit).strip() if unit else key, unit, tol, f"{item.marks:.4g}")  # fmt: skip
