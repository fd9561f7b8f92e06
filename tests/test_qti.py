"""The QTI package: well-formed, in the order of the standard's item, every key inside, the same bytes again.

Checked by hand against the standard's text from memory, and put once through an open converter from QTI 2 to 3,
which took every item; the standard's schema was not at hand.
"""

from __future__ import annotations

import io
import zipfile
from xml.etree import ElementTree as ET

import pytest
from tests.classroom import CLASS, SHIPPED

from oilway import quantity
from oilway.qti import CP, QTI, identifier, qti_package
from oilway.sheets.class_data import Illustrator
from oilway.study.roster import Student
from oilway.study.worksheet import read_worksheet
from oilway.study.worksheet_draw import Drawer, Variant

ORDER = ("responseDeclaration", "outcomeDeclaration", "itemBody", "responseProcessing", "modalFeedback")
INTERACTIONS = {
    "number": "textEntryInteraction",
    "choice": "choiceInteraction",
    "order": "orderInteraction",
    "rubric": "extendedTextInteraction",
}


@pytest.fixture(scope="module")
def variants() -> list[Variant]:
    return [Drawer(read_worksheet(path)).variant(Student("q 1")) for path in SHIPPED]


@pytest.fixture(scope="module")
def packages(variants: list[Variant]) -> list[dict[str, bytes]]:
    return [unpacked(qti_package([v], Illustrator())) for v in variants]


def unpacked(data: bytes) -> dict[str, bytes]:
    with zipfile.ZipFile(io.BytesIO(data)) as packed:
        return {name: packed.read(name) for name in packed.namelist()}


def q(name: str) -> str:
    return f"{{{QTI}}}{name}"


def test_each_item_stands_in_the_order_of_the_standard(packages: list[dict[str, bytes]]) -> None:
    for files in packages:
        for name, data in files.items():
            if name.startswith("items/"):
                root = ET.fromstring(data)
                assert root.tag == q("assessmentItem")
                assert {"identifier", "title", "adaptive", "timeDependent"} <= set(root.attrib)
                places = [ORDER.index(child.tag.removeprefix(f"{{{QTI}}}")) for child in root]
                assert places == sorted(places)
                declared = {e.get("identifier") for e in root.iter(q("outcomeDeclaration"))}
                assert {e.get("identifier") for e in root.iter(q("setOutcomeValue"))} <= declared


def test_the_manifest_lists_every_file_once(packages: list[dict[str, bytes]]) -> None:
    for files in packages:
        root = ET.fromstring(files["imsmanifest.xml"])
        named = {e.get("href") for e in root.iter(f"{{{CP}}}file")}
        assert named == set(files) - {"imsmanifest.xml"}
        names = [e.get("identifier") for e in root.iter(f"{{{CP}}}resource")]
        assert len(set(names)) == len(names)


def test_every_item_of_every_kind_has_its_interaction_and_key(
    variants: list[Variant], packages: list[dict[str, bytes]]
) -> None:
    for found, files in zip(variants, packages, strict=True):
        for item in found.items:
            root = ET.fromstring(files[f"items/{identifier(found.student.id, found.code, item.id)}.xml"])
            assert len(list(root.iter(q(INTERACTIONS[item.kind])))) == 1
            values = [v.text for c in root.iter(q("correctResponse")) for v in c]
            if item.kind == "number":
                key = quantity.number(item.size(), item.quantity)
                assert float(values[0] or "nan") == pytest.approx(key, rel=1e-5)
                width = float(next(root.iter(q("equal"))).get("tolerance", "").split()[0])
                assert width == pytest.approx(quantity.number(item.tolerance, item.quantity), rel=1e-5)
            elif item.kind in ("choice", "order"):
                choices = {c.get("identifier"): c.text for c in root.iter(q("simpleChoice"))}
                keys = item.key if isinstance(item.key, tuple) else (item.key,)
                assert [choices[v] for v in values] == list(keys)


def test_pictures_are_in_the_package(packages: list[dict[str, bytes]]) -> None:
    for files in packages:
        for name, data in files.items():
            if name.startswith("items/"):
                for image in ET.fromstring(data).iter(q("img")):
                    assert files[str(image.get("src")).removeprefix("../")].startswith(b"\x89PNG")
                    assert image.get("alt")
    assert any(name.startswith("images/") for files in packages for name in files)


def test_the_same_variant_gives_the_same_bytes() -> None:
    found = Drawer(read_worksheet(CLASS / "direct_relief.yaml")).variant(Student("q"))
    assert qti_package([found], Illustrator()) == qti_package([found], Illustrator())
