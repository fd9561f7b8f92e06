"""A worksheet file: questions on a valve or a machine, with ranges from which each student's numbers are drawn.

::

    format: 1
    worksheet: Direct relief, week 2
    file: direct relief                  # a shipped valve, or a valve or machine file beside this one
    vary:                                # drawn for each student, in whole steps
      setting: 2000 psi to 2500 psi, step 50 psi
      load: 1200 psi to 1600 psi, step 50 psi
    change: {setting: "cracks 1800 psi, {setting} at 18 gpm"}     # of the file, before it is read
    questions:
      - id: inlet
        kind: number
        ask: The load makes {load}. What does a gauge at the inlet read?
        set: {load pressure: "{load}"}   # the operating point
        answer: pressure of inlet        # words for what is read off the solved state

``{word}`` is a drawn number or, in ``set`` and ``answer``, the answer of an earlier question; in prose an amount
in braces, ``{18 gpm}``, is shown in the units of the sheet.  A question that names a ``file`` of its own is asked
about that one, to which the ``change`` of the worksheet does not apply; one that names a ``fault`` ("main relief:
pilot seat worn, 60 %") about a machine that has it.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path

from oilway import quantity
from oilway.errors import Place, QuantityError
from oilway.model.catalogue import find_valve, shipped_valves
from oilway.model.tree import (
    Block,
    Problems,
    Series,
    Text,
    block_of,
    check_format,
    check_keys,
    closest,
    read_file,
    text_of,
)
from oilway.quantity import Units
from oilway.study.prose import WORD, check_words, spoken
from oilway.study.worksheet_ranges import Range, read_range

KEYS = (
    "format", "worksheet", "id", "note", "file", "tolerance", "half within", "vary", "change", "questions",
    "practical",
)  # fmt: skip
# What each kind takes beside what every question takes.
COMMON = ("id", "kind", "ask", "marks", "file", "set", "fault", "change", "tell", "picture", "regime", "caution")
KINDS: dict[str, tuple[str, ...]] = {
    "number": ("answer", "tolerance", "within", "was"),
    "gauges": ("fill", "tolerance", "within"),
    "choice": ("answer", "compare", "first", "rubric"),
    "why": ("answer", "compare", "first", "rubric"),
    "order": ("steps", "first"),
    "sketch": ("valve", "rubric", "tank pressure"),
    "sheet": ("valve", "flows", "reads to", "figures", "limits", "gauge", "tolerance"),
    "fault": ("faults", "show", "again", "then"),
    "next test": ("faults", "show", "gauge"),
}
NEEDS: dict[str, tuple[str, ...]] = {
    "number": ("answer",), "gauges": ("fill",), "choice": (), "why": ("rubric",), "order": (),
    "sketch": ("rubric",), "sheet": ("flows", "figures"), "fault": ("faults", "show"),
    "next test": ("faults", "show"),
}  # fmt: skip
SAID = ("tell", "caution", "steps", "then")  # of what a question takes beside ``ask``: prose
TOLERANCE, HALF = 0.03, 0.10  # full and half marks, shares of the key (trade practice: 2-5 %, and 10 %)
PRACTICAL_KEYS = ("step", "marks", "critical", "measured", "limit")


@dataclass(frozen=True)
class Rubric:
    """One thing that good reasoning says, and its marks."""

    text: str
    marks: float


@dataclass(frozen=True)
class Check:
    """One line of the practical: ``critical`` fails the whole; ``measured`` is a reading, ``limit`` as typed."""

    step: str
    marks: float
    critical: bool
    measured: str = ""
    limit: str = ""

    def said_in(self, units: Units) -> Check:
        """The line with its amounts in the units of a sheet; the limit, which is computed with, stays as typed."""
        return replace(self, step=spoken(self.step, units), measured=spoken(self.measured, units))


@dataclass(frozen=True)
class Question:
    """One question as it stands in the file.

    ``texts``, ``lists`` and ``maps`` hold what its kind takes, by key; ``faults`` the changes of each fault;
    ``target`` a file of its own, where it is not asked about the worksheet's.
    """

    id: str
    kind: str
    ask: str
    marks: float
    where: Place
    texts: Mapping[str, str] = field(default_factory=dict)
    lists: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    maps: Mapping[str, Mapping[str, str]] = field(default_factory=dict)
    rubric: tuple[Rubric, ...] = ()
    faults: Mapping[str, Mapping[str, str]] = field(default_factory=dict)
    target: Path | None = None

    def map(self, key: str) -> Mapping[str, str]:
        """The texts under a key by word; empty where the file has none."""
        return self.maps.get(key, {})

    def said_in(self, units: Units) -> Question:
        """The question with the amounts of its prose in the units of a sheet."""
        texts = {key: spoken(text, units) if key in SAID else text for key, text in self.texts.items()}
        lists = {k: tuple(spoken(t, units) for t in v) if k in SAID else v for k, v in self.lists.items()}
        rubric = tuple(replace(r, text=spoken(r.text, units)) for r in self.rubric)
        return replace(self, ask=spoken(self.ask, units), texts=texts, lists=lists, rubric=rubric)


@dataclass(frozen=True)
class Worksheet:
    """A worksheet: ``target`` the file asked about, ``tolerance`` and ``half`` shares for full and half marks."""

    title: str
    id: str
    note: str
    path: Path
    target: Path
    tolerance: float
    half: float
    ranges: Mapping[str, Range]
    change: Mapping[str, str]
    questions: tuple[Question, ...]
    practical: tuple[Check, ...] = ()

    def said_in(self, units: Units) -> Worksheet:
        """The worksheet with the amounts of its prose in the units of a sheet; what is computed stays as typed."""
        title, note = (spoken(text, units) for text in (self.title, self.note))
        practical = tuple(check.said_in(units) for check in self.practical)
        questions = tuple(question.said_in(units) for question in self.questions)
        return replace(self, title=title, note=note, questions=questions, practical=practical)


def read_worksheet(path: Path) -> Worksheet:
    """Read a worksheet file; what it asks about is solved later, student by student.

    Errors: :class:`InputError` with file, line and every problem found.
    """
    tree, problems = read_file(path), Problems()
    check_format(tree, problems)
    check_keys(tree, KEYS, problems, "worksheet")
    said = {key: text_of(tree, key, problems, "worksheet") for key in ("worksheet", "file")}
    extra = {key: text_of(tree, key, problems, "worksheet", "") for key in ("id", "note")}
    shares = _share(tree, "tolerance", TOLERANCE, problems), _share(tree, "half within", HALF, problems)
    vary = block_of(tree, "vary", problems, "worksheet")
    ranges = {
        word: read_range(word, text_of(vary, word, problems, "vary"), vary.place(word), problems)
        for word in vary.items
    }
    questions = _questions(tree, path, problems)
    change = _texts(block_of(tree, "change", problems, "worksheet"), problems)
    _check_words(questions, change, ranges, tree, problems)
    for key, text in (("worksheet", said["worksheet"]), ("note", extra["note"])):
        check_words(text, (), tree.place(key), key, problems)
    target = find_target(path, said["file"], tree.place("file"), problems)
    practical = _practical(tree, problems)
    problems.stop_if_any()
    known = {word: span for word, span in ranges.items() if span is not None}
    return Worksheet(said["worksheet"], extra["id"] or said["worksheet"], extra["note"], path, target, *shares,
                     known, change, questions, practical)  # fmt: skip


def find_target(path: Path, about: str, where: Place, problems: Problems) -> Path:
    """The valve or machine file that a worksheet speaks of: beside it, or a shipped valve."""
    beside = path.parent / about
    target = beside if beside.is_file() else find_valve(about, path.parent)
    if target is None and about:
        hint = closest(about, [*(p.name for p in path.parent.glob("*.yaml")), *shipped_valves()])
        problems.add(where, f"worksheet: there is no file '{about}' here, and no shipped valve", hint)
    return target or beside


def _share(tree: Block, key: str, default: float, problems: Problems) -> float:
    text = text_of(tree, key, problems, "worksheet", "")
    try:
        share = quantity.parse(text, "ratio") if text else default
    except QuantityError as err:
        problems.add(tree.place(key), f"{key}: {err.what}", "write '3 %'")
        return default
    if not 0 < share < 1:
        problems.add(tree.place(key), f"{key}: a share between 0 % and 100 % is wanted", "write '3 %'")
    return share


def _texts(block: Block, problems: Problems) -> dict[str, str]:
    return {word: text_of(block, word, problems, word) for word in block.items}


def _questions(tree: Block, path: Path, problems: Problems) -> tuple[Question, ...]:
    listed = tree.items.get("questions")
    if not isinstance(listed, Series) or not listed.items:
        problems.add(
            tree.place("questions"), "worksheet: it has no questions", "add 'questions:' with '- id: ...'"
        )
        return ()
    found: list[Question] = []
    for number, item in enumerate(listed.items, 1):
        if not isinstance(item, Block):
            problems.add(item.where, f"question {number}: takes keys of its own: id, kind, ask ...")
            continue
        question = _question(item, number, path, problems)
        if question.id in (q.id for q in found):
            problems.add(item.place("id"), f"there are two questions '{question.id}'", "give each its own id")
        found.append(question)
    return tuple(found)


def _question(block: Block, number: int, path: Path, problems: Problems) -> Question:
    owner = f"question {number}"
    name = text_of(block, "id", problems, owner, f"q{number}")
    kind, ask = text_of(block, "kind", problems, owner, "number"), text_of(block, "ask", problems, owner)
    if not re.fullmatch(r"[A-Za-z][\w -]*", name):
        problems.add(block.place("id"), f"{owner}: '{name}' is no id", "letters, digits, '-' and spaces")
    if kind not in KINDS:
        problems.unknown_word(block.place("kind"), owner, "kind of question", kind, KINDS)
        return Question(name, "number", ask, 1.0, block.where)
    check_keys(block, (*COMMON, *KINDS[kind]), problems, f"{owner} ({kind})")
    for key in NEEDS[kind]:
        if key not in block.items:
            problems.add(block.where, f"{owner}: a question of kind '{kind}' needs '{key}'")
    texts: dict[str, str] = {}
    lists: dict[str, tuple[str, ...]] = {}
    maps: dict[str, Mapping[str, str]] = {}
    for key, value in block.items.items():
        if isinstance(value, Text):
            texts[key] = value.text
        elif key not in ("rubric", "faults"):
            if isinstance(value, Series):
                lists[key] = tuple(i.text for i in value.items if isinstance(i, Text))
            else:
                maps[key] = _texts(value, problems)
    faults = block_of(block, "faults", problems, owner)
    changes = {word: _fault(faults, word, problems) for word in faults.items}
    _check_kind(kind, lists, texts, changes, block, owner, problems)
    marks = _marks(texts.get("marks"), block.place("marks"), owner, problems, 2.0)
    target = find_target(path, texts["file"], block.place("file"), problems) if "file" in texts else None
    rubric = _rubric(block, owner, problems)
    return Question(name, kind, ask, marks, block.where, texts, lists, maps, rubric, changes, target)


def _fault(faults: Block, word: str, problems: Problems) -> dict[str, str]:
    """What a fault changes: texts by 'part.key', or a known fault under the empty word."""
    value = faults.items[word]
    if isinstance(value, Text):
        return {"": value.text}
    return _texts(block_of(faults, word, problems, "faults"), problems)


def _check_kind(
    kind: str, lists: Mapping[str, tuple[str, ...]], texts: Mapping[str, str],
    faults: Mapping[str, Mapping[str, str]], block: Block, owner: str, problems: Problems,
) -> None:  # fmt: skip
    ways = [key for key in ("answer", "compare", "first", "steps") if key in (*lists, *texts)]
    if kind in ("choice", "why", "order") and len(ways) != 1:
        wanted = "'steps' or 'first'" if kind == "order" else "'answer', 'compare' or 'first'"
        problems.add(block.where, f"{owner}: a question of kind '{kind}' takes one of {wanted}")
    for key, least in (("compare", 2), ("first", 2), ("steps", 3), ("fill", 1)):
        if key in lists and len(lists[key]) < least:
            problems.add(block.place(key), f"{owner}: '{key}' takes a list of {least} or more")
    if kind in ("fault", "next test") and len(faults) < 2:
        problems.add(block.place("faults"), f"{owner}: at least two faults to choose from")
    again = block.items.get("again")
    if (isinstance(again, Block) and bool(again.items)) != ("then" in texts):
        what = f"{owner}: 'again' sets what 'then' names, so they go together"
        problems.add(block.where, what, "then: vent capped, and again: {lever: 0}")


def _marks(text: str | None, where: Place, owner: str, problems: Problems, default: float) -> float:
    if text is None:
        return default
    try:
        marks = quantity.parse(text, "number")
    except QuantityError as err:
        problems.add(where, f"{owner}: marks: {err.what}")
        return default
    if not 0 < marks <= 100:
        problems.add(where, f"{owner}: marks lie between 0 and 100")
    return marks


def _rubric(block: Block, owner: str, problems: Problems) -> tuple[Rubric, ...]:
    listed = block.items.get("rubric")
    if listed is None:
        return ()
    if not isinstance(listed, Block):
        problems.add(block.place("rubric"), f"{owner}: 'rubric' takes lines 'what is said: marks'")
        return ()
    return tuple(
        Rubric(said, _marks(text_of(listed, said, problems, owner), listed.place(said), owner, problems, 1.0))
        for said in listed.items
    )


def _practical(tree: Block, problems: Problems) -> tuple[Check, ...]:
    listed, found = tree.items.get("practical"), []
    for item in listed.items if isinstance(listed, Series) else []:
        if not isinstance(item, Block):
            problems.add(item.where, "practical: each line takes keys of its own: step, marks, critical")
            continue
        check_keys(item, PRACTICAL_KEYS, problems, "practical")
        said = {
            key: text_of(item, key, problems, "practical", None if key == "step" else "") for key in PRACTICAL_KEYS
        }
        if said["critical"] not in ("", "yes", "no"):
            problems.unknown_word(item.place("critical"), "practical", "answer", said["critical"], ("yes", "no"))
        for key in ("step", "measured", "limit"):
            check_words(said[key], (), item.place(key), "practical", problems)
        marks = _marks(said["marks"] or None, item.place("marks"), "practical", problems, 1.0)
        found.append(Check(said["step"], marks, said["critical"] == "yes", said["measured"], said["limit"]))
    return tuple(found)


def _check_words(
    questions: tuple[Question, ...], change: Mapping[str, str], ranges: Mapping[str, object],
    tree: Block, problems: Problems,
) -> None:  # fmt: skip
    """Every ``{word}`` is a drawn one or, where a number is computed from it, an earlier question."""
    for text in change.values():
        for word in WORD.findall(text):
            if word not in ranges:
                problems.unknown_word(tree.place("change"), "change", "drawn number", word, ranges)
    earlier: list[str] = []
    for question in questions:
        if question.id in ranges:
            problems.add(question.where, f"'{question.id}' is a drawn number too", "give the question another id")
        drawn_ones = [question.ask, *(question.texts.get(key, "") for key in ("tell", "then", "gauge"))]
        drawn_ones += [*(r.text for r in question.rubric), *question.map("limits").values()]
        for text in drawn_ones:
            check_words(text, ranges, question.where, question.id, problems)
        for text in (question.texts.get("caution", ""), *question.lists.get("steps", ())):
            check_words(text, (), question.where, question.id, problems)
        own = [*question.map("change").values(), *question.map("was").values()]
        computed = [*question.map("set").values(), *question.map("again").values()]
        computed.append(question.texts.get("answer", ""))
        for texts, known in ((own, [*ranges]), (computed, [*ranges, *earlier])):
            for word in (w for text in texts for w in WORD.findall(text) if w not in known):
                problems.unknown_word(question.where, question.id, "drawn number or earlier question", word, known)
        if question.kind == "number":
            earlier.append(question.id)
        elif question.kind == "gauges":
            earlier += [f"{question.id}.{letter(k)}" for k in range(len(question.lists.get("fill", ())))]


def letter(k: int) -> str:
    """a, b, c ... for the blanks of one question.

    >>> letter(0), letter(25), letter(26)
    ('a', 'z', 'a1')
    """
    return chr(ord("a") + k % 26) + (str(k // 26) if k >= 26 else "")
