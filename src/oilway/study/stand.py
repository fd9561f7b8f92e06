"""A readings file as it is filled in at the stand: what it asks for next, one reading at a time.

Nothing is judged here: :func:`oilway.study.prove` reads the same file at every step.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, replace

from oilway import quantity
from oilway.errors import InputError, QuantityError
from oilway.model.edit import lines_of
from oilway.model.tree import Block, Problems, Text, block_of, read_text
from oilway.quantity import Units
from oilway.study.forms import FORMS, LOGGED, STEP, Form
from oilway.study.instruments import SAME, read_instruments
from oilway.study.readings import FACTS, SECTIONS
from oilway.study.rows import COLUMNS, KNOWN, Table, between_cells, read_table
from oilway.study.stand_sweep import places, still_to_read

ABOUT, TEST, GAUGES, WHEN, LIMITS = "The sheet", "The test", "Instruments", "Conditions", "Limits"
REPEATS = 3  # of a pressure typed on its own
WRITE_LIMIT = "'2300 psi +- 50 psi', 'at most 150 psi', or 'A to B'; empty where the maker has none"


@dataclass(frozen=True)
class Prompt:
    """One thing to type.

    ``path`` says where it goes: keys of the file; of a table its row and column, of readings typed on their own
    which of them.  ``value`` is what stands there, without its ``unit``.
    """

    path: tuple[str, ...]
    group: str
    label: str
    sort: str = "text"  # text, number or choice
    kind: str = ""  # of quantity
    unit: str = ""
    hint: str = ""
    needed: bool = False
    choices: tuple[str, ...] = ()
    value: str = ""
    cautions: tuple[str, ...] = ()


class Draft:
    """A readings file with what it has so far, however little.  Errors: :class:`InputError` for text that is no
    YAML mapping."""

    def __init__(self, text: str, name: str) -> None:
        self.text, self.name = text, name
        self.tree = read_text(text, name)
        self.form: Form | None = FORMS.get(self.at("test"))
        nowhere = Problems()
        block = block_of(self.tree, "instruments", nowhere, "readings")
        self.instruments = read_instruments(block, KNOWN, nowhere)
        given = (
            {}
            if self.form is None
            else {k: (self.at(k) or g.default or "", g) for k, g in self.form.given.items()}
        )
        self.given = {k: v for k, (said, g) in given.items() if (v := _number(said, g.kind)) is not None}

    def at(self, *path: str) -> str:
        """The text at a path; empty where there is none."""
        node: object = self.tree
        for key in path:
            node = node.items.get(key) if isinstance(node, Block) else None
        return node.text if isinstance(node, Text) else ""

    def has(self, *path: str) -> bool:
        """Whether there is anything at a path."""
        node: object = self.tree
        for key in path:
            node = node.items.get(key) if isinstance(node, Block) else None
        return node is not None

    def lines(self, section: str) -> list[str]:
        """The lines of the table of a section, its header first."""
        return lines_of(self.text, (section, "rows"), self.name)

    def table(self, section: str) -> Table | None:
        """The rows typed so far; ``None`` where there are none that can be read."""
        try:
            return read_table("\n".join(self.lines(section)), self.name, 1)
        except InputError:
            return None

    def columns(self, section: str) -> dict[str, str]:
        """Columns of the table of a section, each with its unit: of its header, or of the instruments entered."""
        head = next(filter(is_row, self.lines(section)), "")
        if head:
            between = between_cells(head)
            width = head.count(between) + 1 if between else len(re.findall(r"[)\]]", head))
            return read_table(f"{head}\n{(between or ' ').join(['nan'] * width)}", self.name, 1).units
        assert self.form is not None
        more = [c for c in self.form.optional if c in self.instruments and c not in LOGGED]
        return {column: self.unit(column) for column in (*self.form.columns, *more)}

    def unit(self, column: str, units: Units = "shop") -> str:
        """The unit that the dial of a column has; that of the answer while no instrument is entered."""
        kind = KNOWN[column][0]
        written = self.instruments[column].written if column in self.instruments else ""
        unit = re.sub(r".*[0-9.]\s*", "", written)
        return unit if _number(f"1 {unit}", kind) is not None else quantity.unit(kind, units)


def prompts(draft: Draft, units: Units = "shop") -> list[Prompt]:
    """Everything that may be typed, in the order of the work.

    What is ``needed`` and empty comes next; the rest may be passed over.
    """
    return list(_all(draft, units))


def _all(draft: Draft, units: Units) -> Iterator[Prompt]:
    form = draft.form
    yield _text(draft, ("readings",), ABOUT, "What is tested", needed=True, hint="Tipping hoist, main relief")
    yield replace(_text(draft, ("test",), ABOUT, "Which test", needed=True), sort="choice", choices=tuple(FORMS))
    if form is None:
        return
    for fact in FACTS:
        yield _text(draft, (fact,), ABOUT, fact)
    for key, given in form.given.items():
        hint = given.meaning + (f"; {given.default} unless entered" if given.default else "")
        yield _amount(draft, (key,), TEST, key, given.kind, units, needed=given.default is None, hint=hint)
    yield from _instruments(draft, form)
    yield from _conditions(draft, form, units)
    any_limit = any(draft.at("limits", figure) for figure in form.figures)
    hint = "the maker's manual, with its page; nothing is judged without limits"
    yield _text(draft, ("limits", "source"), LIMITS, "Where the limits stand", needed=any_limit, hint=hint)
    for figure in form.figures:
        if form.name == "step" or figure not in STEP:
            yield _text(draft, ("limits", figure), LIMITS, f"Limit of {figure}", hint=WRITE_LIMIT)
    begun = [name for name in SECTIONS if draft.has(name)] or [SECTIONS[0]]
    for name in SECTIONS:
        yield from _section(draft, form, name, units, wanted=name in begun)


def _instruments(draft: Draft, form: Form) -> Iterator[Prompt]:
    needed = list(dict.fromkeys([*form.columns, *(v.column for v in form.values.values() if v.needed)]))
    may = [*form.optional, *(v.column for v in form.values.values()), *(("temp",) if form.warm else ())]
    for column in dict.fromkeys([*needed, *may]):
        if column == "t":
            continue
        kind, meaning = KNOWN[column]
        here, wanted = ("instruments", column), column in needed
        twin = next((c for c in needed if c != column and KNOWN[c][0] == kind), None) if wanted else None
        said = draft.at(*here)
        if said.startswith(SAME) or (twin and not draft.has(*here) and needed.index(column) > 0):
            hint = "a gauge moved from port to port: its class drops out of the difference; empty: one of its own"
            choices = tuple(dict.fromkeys([said or f"{SAME}{twin}", f"{SAME}{twin}"]))
            yield Prompt(here, GAUGES, f"{column}: {meaning}", "choice", hint=hint, choices=choices, value=said)
        if said.startswith(SAME):
            continue
        fitted = draft.has(*here)
        example = f"0 to {quantity.KINDS[kind].example}; empty: none there"
        yield _text(draft, (*here, "range"), GAUGES, f"{column}: {meaning}. Range", needed=wanted, hint=example)
        if fitted:
            yield from _class(draft, here, kind)


def _class(draft: Draft, here: tuple[str, ...], kind: str) -> Iterator[Prompt]:
    column, unit = here[-1], draft.unit(here[-1])
    hint = f"'1.6 % of span', '0.5 % of reading', 'grade A', 'measurement class B', '+-2 {unit}'"
    yield _text(draft, (*here, "class"), GAUGES, f"{column}: accuracy class", needed=True, hint=hint)
    assumed = {
        "reads to": "the smallest step you read",
        "hysteresis": "the most it reads apart, rising and falling",
    }
    for key, meaning in assumed.items():
        yield _text(draft, (*here, key), GAUGES, f"{column}: {key}", hint=f"{meaning}, '10 {unit}'")
    for key in ("id", "calibrated"):
        yield _text(draft, (*here, key), GAUGES, f"{column}: {key}")


def _conditions(draft: Draft, form: Form, units: Units) -> Iterator[Prompt]:
    typed = not any(draft.has(name, "file") or draft.has(name, "step") for name in SECTIONS)  # a logger may say it

    def windowed(window: str, key: str, kind: str, *, needed: bool) -> Iterator[Prompt]:
        hint = "the maker's: 'A to B', each with its unit"
        yield _text(draft, ("conditions", window), WHEN, window, needed=needed, hint=hint)
        wanted = typed and (needed or bool(draft.at("conditions", window)))
        yield _amount(draft, ("conditions", key), WHEN, key, kind, units, needed=wanted)

    if form.warm:
        yield from windowed("temperature window", "oil temperature", "temperature", needed=True)
    yield from windowed("speed window", "engine speed", "rotation", needed=False)
    if form.columns:
        path, hint = ("conditions", "settling time"), "how long each reading stood before it was written down"
        yield _amount(draft, path, WHEN, path[1], "time", units, needed=typed, hint=hint)
    for item in form.stated:
        plain = _text(draft, ("conditions", item.key), WHEN, item.key, needed=True, hint=item.why)
        yield replace(plain, sort="choice", choices=("yes", "no"))
    for key in ("cleanliness target", "cleanliness"):
        yield _text(draft, ("conditions", key), WHEN, key, hint="a code such as 18/16/13")


def _section(draft: Draft, form: Form, name: str, units: Units, *, wanted: bool) -> Iterator[Prompt]:
    """The readings of a section; its cautions stand at the first of them."""
    cautions = form.cautions
    for prompt in _readings(draft, form, name, units, wanted=wanted):
        yield replace(prompt, cautions=cautions)
        cautions = ()


def _readings(draft: Draft, form: Form, name: str, units: Units, *, wanted: bool) -> Iterator[Prompt]:
    group = name.capitalize()
    if name == "as left":
        yield _text(draft, (name, "adjustment"), group, "What was adjusted", hint="a quarter turn in")
        turned = _text(draft, (name, "finished"), group, "The last turn was made on pressure that was")
        yield replace(turned, sort="choice", choices=("rising", "falling"))
    if form.columns and not draft.has(name, "file"):
        yield from _rows(draft, form, name, units, needed=wanted)
    for key, value in form.values.items():
        found = split_list(draft.at(name, key))
        most = max(REPEATS if value.kind == "pressure" else 1, len(found))
        for k in range(most):
            number, unit = _parted(found[k] if k < len(found) else "", value.kind)
            yield Prompt(
                (name, key, str(k)), group, key if k == 0 else f"{key}, reading {k + 1}", "number", value.kind,
                unit or draft.unit(value.column, units), f"on {value.column}", wanted and value.needed and k == 0,
                value=number,
            )  # fmt: skip


def _rows(draft: Draft, form: Form, name: str, units: Units, *, needed: bool) -> Iterator[Prompt]:
    columns, table = draft.columns(name), draft.table(name)
    order = sorted(columns, key=lambda column: column != form.swept)
    read = [] if table is None else [float(v) for v in table.columns[form.swept]]
    for k in range(len(read)):
        for column in order:
            assert table is not None
            value = quantity.convert(float(table.columns[column][k]), COLUMNS[column][0], columns[column])
            said = "" if value != value else f"{value:.6g}"
            yield _cell(name, k, column, columns[column], said, f"row {k + 1}", needed=needed)
    seen = [v for v in read if v == v]
    ahead = still_to_read(places(form, draft.given), seen, both_ways=form.both_ways)
    kind = COLUMNS[form.swept][0]
    for k, (place, up) in enumerate([*ahead, (None, True)], len(read)):
        way = "another row" if place is None else f"{form.swept} near {quantity.show(place, kind, units)}"
        way += "" if place is None else f", on the way {'up' if up else 'down'}"
        for column in order:
            hint = f"row {k + 1}: {way}" if column == form.swept else f"row {k + 1}"
            yield _cell(name, k, column, columns[column], "", hint, needed=needed and place is not None)


def _cell(name: str, k: int, column: str, unit: str, value: str, hint: str, *, needed: bool) -> Prompt:
    kind, meaning = COLUMNS[column]
    path = (name, "rows", str(k), column)
    return Prompt(
        path, name.capitalize(), f"{column}, {meaning}", "number", kind, unit, hint, needed, value=value
    )  # fmt: skip


def _text(
    draft: Draft, path: tuple[str, ...], group: str, label: str, *, needed: bool = False, hint: str = ""
) -> Prompt:
    label = label[:1].upper() + label[1:]
    return Prompt(path, group, label, hint=hint, needed=needed, value=draft.at(*path))


def _amount(
    draft: Draft,
    path: tuple[str, ...],
    group: str,
    label: str,
    kind: str,
    units: Units,
    *,
    needed: bool = False,
    hint: str = "",
) -> Prompt:
    plain = _text(draft, path, group, label, needed=needed, hint=hint)
    number, unit = _parted(plain.value, kind)
    return replace(plain, sort="number", kind=kind, unit=unit or quantity.unit(kind, units), value=number)


def is_row(line: str) -> bool:
    """Whether a line of a table is its header or a row, no note."""
    return bool(line.strip()) and not line.lstrip().startswith("#")


def split_list(text: str) -> list[str]:
    """Readings typed on their own, "2290 psi, 2285 psi", one by one."""
    return [each.strip() for each in re.split(r",\s+", text) if each.strip()]


def _parted(text: str, kind: str) -> tuple[str, str]:
    """Number and unit of a text that is a quantity; else the text as it stands."""
    match = re.fullmatch(r"([-+]?[0-9.]+)\s*(\D.*)", text)
    return (match[1], match[2]) if match and _number(text, kind) is not None else (text, "")


def _number(text: str, kind: str) -> float | None:
    try:
        return quantity.parse(text, kind) if text else None
    except QuantityError:
        return None
