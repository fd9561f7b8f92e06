"""The QTI package: the structure of the standard, every key inside, marks as on paper, the same bytes again.

Beside this it was put once through an open converter from QTI 2 to 3 and an open player of QTI 3, which showed
every item and gave the key of each full marks; the standard's schema was not at hand.
"""

from __future__ import annotations

import io
import zipfile
from collections.abc import Callable
from xml.etree import ElementTree as ET

import pytest
from tests.classroom import CLASS, SHIPPED
from tests.qti_model import faults_of_item, faults_of_package

from oilway import quantity
from oilway.qti import QTI, identifier, qti_package
from oilway.sheets.class_data import Illustrator
from oilway.study.marking import mark_sheet, reach
from oilway.study.roster import Student
from oilway.study.worksheet import read_worksheet
from oilway.study.worksheet_draw import Drawer, Variant
from oilway.study.worksheet_solve import Item

INTERACTIONS = {
    "number": "textEntryInteraction",
    "choice": "choiceInteraction",
    "order": "orderInteraction",
    "rubric": "extendedTextInteraction",
}
Files = dict[str, bytes]


@pytest.fixture(scope="module")
def variants() -> list[Variant]:
    return [Drawer(read_worksheet(path)).variant(Student("q 1")) for path in SHIPPED]


@pytest.fixture(scope="module")
def packages(variants: list[Variant]) -> list[Files]:
    return [unpacked(qti_package([v], Illustrator())) for v in variants]


def unpacked(data: bytes) -> Files:
    with zipfile.ZipFile(io.BytesIO(data)) as packed:
        return {name: packed.read(name) for name in packed.namelist()}


def q(name: str) -> str:
    return f"{{{QTI}}}{name}"


def test_every_worksheet_of_the_examples_is_a_package_of_the_standard(packages: list[Files]) -> None:
    for path, files in zip(SHIPPED, packages, strict=True):
        assert faults_of_package(files) == [], path.name


def test_a_class_is_one_package_in_metric_units_too() -> None:
    drawer = Drawer(read_worksheet(CLASS / "direct_relief.yaml"), "metric")
    files = unpacked(
        qti_package([drawer.variant(Student(name)) for name in ("a b", "a_b", "é", "ö")], Illustrator())
    )
    assert faults_of_package(files) == []


def test_identifiers_of_other_words_differ() -> None:
    names = [("a b",), ("a_b",), ("a.b",), ("é",), ("ö",), ("a", "b")]
    assert len({identifier(*words) for words in names}) == len(names)


Break = Callable[[ET.Element], object]
BREAKS: dict[str, Break] = {
    "an attribute that has to be there": lambda root: root.attrib.pop("adaptive"),
    "an attribute of its own": lambda root: root.set("colour", "red"),
    "an identifier": lambda root: root.set("identifier", "3 x"),
    "the order of its parts": lambda root: root.insert(0, found(root, "itemBody", take=True)),
    "an element": lambda root: ET.SubElement(found(root, "itemBody"), q("video")),
    "text where none may stand": lambda root: setattr(found(root, "itemBody"), "text", "x"),
    "no interaction": lambda root: found(root, "itemBody").clear(),
    "another response": lambda root: found(root, "responseDeclaration").set("identifier", "R2"),
    "its cardinality": lambda root: found(root, "responseDeclaration").set("cardinality", "ordered"),
    "its type": lambda root: found(root, "responseDeclaration").set("baseType", "identifier"),
    "a key that is no number": lambda root: setattr(found(root, "value"), "text", "many"),
    "a tolerance": lambda root: found(root, "equal").set("tolerance", "wide"),
    "a tolerance without a size": lambda root: found(root, "equal").attrib.pop("tolerance"),
    "an outcome that nothing declares": lambda root: found(root, "setOutcomeValue").set("identifier", "MARKS"),
    "an outcome of another type": lambda root: found(root, "setOutcomeValue")[0].set("baseType", "identifier"),
    "an expression too few": lambda root: found(root, "equal").remove(found(root, "correct")),
    "a variable that nothing declares": lambda root: found(root, "variable").set("identifier", "R2"),
}


def found(root: ET.Element, name: str, *, take: bool = False) -> ET.Element:
    element = next(root.iter(q(name)))
    if take:
        root.remove(element)
    return element


@pytest.mark.parametrize("what", BREAKS)
def test_the_checker_finds_what_is_broken(packages: list[Files], what: str) -> None:
    data = next(d for files in packages for n, d in files.items() if n.startswith("items/") and b"<equal" in d)
    root = ET.fromstring(data)
    assert faults_of_item(root) == []
    BREAKS[what](root)
    assert faults_of_item(root)


def test_the_checker_finds_what_is_missing_from_a_package(packages: list[Files]) -> None:
    whole = next(files for files in packages if any(name.startswith("images/") for name in files))
    for name in whole:
        if name != "imsmanifest.xml":
            assert faults_of_package({n: data for n, data in whole.items() if n != name}), name
    assert faults_of_package({**whole, "more.png": b"x"})
    item = next(name for name in whole if name.startswith("items/"))
    assert faults_of_package({**whole, item: whole[item].replace(b"</itemBody>", b"")})
    assert faults_of_package({**whole, "imsmanifest.xml": whole["imsmanifest.xml"].replace(b"v2.1", b"v9")})


def test_every_item_of_every_kind_has_its_interaction_and_key(
    variants: list[Variant], packages: list[Files]
) -> None:
    for variant, files in zip(variants, packages, strict=True):
        for item in variant.items:
            root = item_of(variant, item, files)
            assert len(list(root.iter(q(INTERACTIONS[item.kind])))) == 1
            values = [v.text for c in root.iter(q("correctResponse")) for v in c]
            if item.kind == "number":
                key = quantity.number(item.size(), item.quantity)
                assert float(values[0] or "nan") == pytest.approx(key, rel=1e-5)
                width = float(next(root.iter(q("equal"))).get("tolerance", "").split()[0])
                assert width == pytest.approx(quantity.number(item.tolerance, item.quantity), rel=1e-5)
                near = [float((e.get("tolerance") or "").split()[0]) for e in root.iter(q("equal"))][1:-1]
                wide = [reach(float(w.value), item.tolerance, item) for w in item.wrong]  # as marking asks for
                assert near == pytest.approx([quantity.number(w, item.quantity) for w in wide], rel=1e-5)
            elif item.kind in ("choice", "order"):
                choices = {c.get("identifier"): c.text for c in root.iter(q("simpleChoice"))}
                keys = item.key if isinstance(item.key, tuple) else (item.key,)
                assert [choices[v] for v in values] == list(keys)


def item_of(variant: Variant, item: Item, files: Files) -> ET.Element:
    return ET.fromstring(files[f"items/{identifier(variant.student.id, variant.code, item.id)}.xml"])


# -- marks: the processing of an item carried out ------------------------------------------------------------
def processed(root: ET.Element, response: list[str]) -> tuple[float, str]:
    """SCORE and feedback that the processing of an item gives to a response."""
    outcomes = {"SCORE": "0", "FEEDBACK": "NONE"}
    correct = [v.text or "" for v in found(root, "correctResponse")]

    def value(element: ET.Element) -> list[str]:
        name = element.tag.removeprefix(f"{{{QTI}}}")
        if name == "ordered":
            return [text for child in element for text in value(child)]
        return {"variable": response, "correct": correct}.get(name, [element.text or ""])

    for branch in found(root, "responseCondition"):
        test, *rules = branch
        a, b = map(value, test)
        near = a == b
        if test.tag == q("equal"):
            near = abs(float(a[0]) - float(b[0])) <= float(test.get("tolerance", "").split()[0])
        if near:
            outcomes |= {rule.get("identifier", ""): rule[0].text or "" for rule in rules}
            break
    shown = {f.get("identifier"): f[0].text or "" for f in root.iter(q("modalFeedback"))}
    return float(outcomes["SCORE"]), shown.get(outcomes["FEEDBACK"], "")


def test_numbers_earn_what_they_earn_on_paper(variants: list[Variant], packages: list[Files]) -> None:
    tried = 0
    for variant, files in zip(variants, packages, strict=True):
        for item in (i for i in variant.items if i.kind == "number"):
            for share in (0.0, 0.9, 1.5, 30.0):
                shown = quantity.number(item.size() + share * item.tolerance, item.quantity)
                text = f"{shown:.9g} {quantity.unit(item.quantity)}"
                mark = mark_sheet(variant, {item.id: text}).marks
                own = next(m for m in mark if m.item is item)
                score, said = processed(item_of(variant, item, files), [f"{shown:.9g}"])
                if not own.misconceptions and not said:
                    assert score == pytest.approx(own.marks, abs=1e-3), (item.id, share)
                    tried += 1
    assert tried > 50


def test_a_wrong_answer_shows_the_misconception_behind_it(variants: list[Variant], packages: list[Files]) -> None:
    for variant, files in zip(variants, packages, strict=True):
        for item in variant.items:
            for wrong in item.wrong[:1]:
                answer = (
                    f"{quantity.number(wrong.value, item.quantity):.9g}"
                    if isinstance(wrong.value, float)
                    else f"c{item.choices.index(wrong.value)}"
                )
                score, said = processed(item_of(variant, item, files), [answer])
                assert (score, said) == (0, f"{wrong.misconception}: {wrong.reveals}")


def test_an_order_with_two_neighbours_changed_over_earns_half(
    variants: list[Variant], packages: list[Files]
) -> None:
    orders = [
        (v, i, files) for v, files in zip(variants, packages, strict=True) for i in v.items if i.kind == "order"
    ]
    assert orders
    for variant, item, files in orders:
        root = item_of(variant, item, files)
        right = [v.text or "" for v in found(root, "correctResponse")]
        assert processed(root, right)[0] == item.marks
        assert processed(root, [right[1], right[0], *right[2:]])[0] == pytest.approx(item.marks / 2, rel=1e-5)
        assert processed(root, right[::-1])[0] == 0


def test_pictures_are_in_the_package(packages: list[Files]) -> None:
    assert any(name.startswith("images/") for files in packages for name in files)


def test_the_same_variant_gives_the_same_bytes() -> None:
    drawn = Drawer(read_worksheet(CLASS / "direct_relief.yaml")).variant(Student("q"))
    assert qti_package([drawn], Illustrator()) == qti_package([drawn], Illustrator())
