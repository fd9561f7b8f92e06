"""Questions as an IMS QTI 2.1 content package: numbers with tolerance, choices, orders, pictures; each key in it.

Source of the structure, from memory: IMS Question and Test Interoperability v2.1, Assessment Test, Section and
Item Information Model (items, interactions, response processing, expressions), and its Integration Guide on
content packages.
"""

from __future__ import annotations

import hashlib
import io
import re
import zipfile
from collections.abc import Sequence
from dataclasses import dataclass, field
from xml.etree import ElementTree as ET

from oilway import quantity
from oilway.sheets.class_data import Illustrator, blank_png, sheet_data
from oilway.study.marking import HALF, reach
from oilway.study.worksheet import Question
from oilway.study.worksheet_draw import Variant
from oilway.study.worksheet_solve import Item

QTI = "http://www.imsglobal.org/xsd/imsqti_v2p1"
CP = "http://www.imsglobal.org/xsd/imscp_v1p1"
ITEM_TYPE = "imsqti_item_xmlv2p1"
XSI = "http://www.w3.org/2001/XMLSchema-instance"
# Where the standard keeps its schemas: for whoever checks a package; nothing is fetched.
SCHEMAS = {
    QTI: "http://www.imsglobal.org/xsd/qti/qtiv2p1/imsqti_v2p1.xsd",
    CP: "http://www.imsglobal.org/xsd/qti/qtiv2p1/qtiv2p1_imscpv1p2_v1p0.xsd",
}
EPOCH = (1980, 1, 1, 0, 0, 0)  # the same package gives the same bytes
CASES = {"number": ("single", "float"), "choice": ("single", "identifier"), "order": ("ordered", "identifier"),
         "rubric": ("single", "string")}  # fmt: skip


@dataclass
class _Package:
    """The files of a package by name, and what the manifest says of each item."""

    files: dict[str, bytes] = field(default_factory=dict)
    resources: list[tuple[str, str, list[str]]] = field(default_factory=list)


def qti_package(variants: Sequence[Variant], illustrator: Illustrator) -> bytes:
    """A zip of one item file for each item of each variant, their pictures, and the manifest."""
    package = _Package()
    for variant in variants:
        data = sheet_data(variant, illustrator)
        for question, told in zip(variant.sitting.worksheet.questions, data["questions"], strict=True):
            picture = _picture(package, variant, question, illustrator)
            for item in variant.of(question):
                _add(package, variant, item, told, picture)
    package.files["imsmanifest.xml"] = _manifest(package, variants)
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as packed:
        for name in sorted(package.files):
            packed.writestr(zipfile.ZipInfo(name, EPOCH), package.files[name])
    return out.getvalue()


def identifier(*words: str) -> str:
    """An identifier as the standard takes it: begins with a letter, no blanks; other words give another one.

    >>> identifier("B-101", "pump_gauge"), identifier("B-101", "pump gauge")
    ('i-B-101-pump_gauge', 'i-B-101-pump_gauge.3dd2')
    """
    return "i-" + "-".join(map(_word, words))


def _word(text: str) -> str:
    """A word without what an identifier does not take; a mark keeps it apart from one that looks the same."""
    plain = re.sub(r"[^A-Za-z0-9_-]", "_", text)
    return plain if plain == text else f"{plain}.{hashlib.sha256(text.encode()).hexdigest()[:4]}"


def _picture(package: _Package, variant: Variant, question: Question, illustrator: Illustrator) -> str:
    """The name of the picture of a question in the package; pictures that are alike are kept once."""
    png = blank_png(variant, question, illustrator)
    if not png:
        return ""
    name = f"images/{hashlib.sha256(png).hexdigest()[:16]}.png"
    package.files[name] = png
    return name


def _add(package: _Package, variant: Variant, item: Item, told: dict[str, object], picture: str) -> None:
    name = identifier(variant.student.id, variant.code, item.id)
    path = f"items/{name}.xml"
    package.files[path] = _xml(_item(name, variant, item, told, picture))
    package.resources.append((name, path, [picture] if picture else []))


def _xml(root: ET.Element) -> bytes:
    return f'<?xml version="1.0" encoding="UTF-8"?>\n{ET.tostring(root, encoding="unicode")}\n'.encode()


def _item(name: str, variant: Variant, item: Item, told: dict[str, object], picture: str) -> ET.Element:
    root = ET.Element("assessmentItem", {
        **_head(QTI), "identifier": name, "title": f"{variant.sitting.worksheet.title}: {item.id}",
        "adaptive": "false", "timeDependent": "false",
    })  # fmt: skip
    cardinality, base = CASES[item.kind]
    response = ET.SubElement(
        root, "responseDeclaration", identifier="RESPONSE", cardinality=cardinality, baseType=base
    )
    if item.kind != "rubric":
        correct = ET.SubElement(response, "correctResponse")
        for value in _correct(item, variant):
            ET.SubElement(correct, "value").text = value
    _outcome(root, "SCORE", "float", "0").set("normalMaximum", f"{item.marks:.6g}")
    if item.wrong:
        _outcome(root, "FEEDBACK", "identifier", "NONE")
    _body(root, variant, item, told, picture)
    if item.kind != "rubric":
        _processing(root, item, variant)
    for k, wrong in enumerate(item.wrong):
        shown = ET.SubElement(
            root, "modalFeedback", outcomeIdentifier="FEEDBACK", identifier=f"M{k}", showHide="show"
        )
        ET.SubElement(shown, "p").text = f"{wrong.misconception}: {wrong.reveals}"
    return root


def _head(namespace: str) -> dict[str, str]:
    """What a file says of the standard that it follows."""
    return {"xmlns": namespace, "xmlns:xsi": XSI, "xsi:schemaLocation": f"{namespace} {SCHEMAS[namespace]}"}


def _outcome(root: ET.Element, name: str, base: str, default: str) -> ET.Element:
    outcome = ET.SubElement(root, "outcomeDeclaration", identifier=name, cardinality="single", baseType=base)
    ET.SubElement(ET.SubElement(outcome, "defaultValue"), "value").text = default
    return outcome


def _shown(value: float, item: Item, variant: Variant) -> str:
    return f"{quantity.number(value, item.quantity, variant.units):.6g}"


def _width(size: float, item: Item, variant: Variant) -> str:
    """A distance (SI) from a number in the unit of the sheet."""
    zero = quantity.number(0.0, item.quantity, variant.units)
    return f"{quantity.number(size, item.quantity, variant.units) - zero:.6g}"


def _correct(item: Item, variant: Variant) -> list[str]:
    if isinstance(item.key, float):
        return [_shown(item.key, item, variant)]
    names = item.key if isinstance(item.key, tuple) else (item.key,)
    return [f"c{item.choices.index(name)}" for name in names]


def _body(root: ET.Element, variant: Variant, item: Item, told: dict[str, object], picture: str) -> None:
    body = ET.SubElement(root, "itemBody")
    ET.SubElement(body, "p").text = str(told["ask"])
    for said in (told["given"], told["caution"]):
        if said:
            ET.SubElement(body, "p").text = str(said)
    rows = told["table"]
    if isinstance(rows, list) and rows:
        table = ET.SubElement(ET.SubElement(body, "table"), "tbody")
        for k, row in enumerate(rows):
            line = ET.SubElement(table, "tr")
            for cell in row:
                ET.SubElement(line, "td" if k else "th").text = str(cell)
    if picture:
        paragraph = ET.SubElement(body, "p")
        ET.SubElement(paragraph, "img", src=f"../{picture}", alt=f"Picture to {item.question.id}")
    if item.kind == "number":
        letter = item.id.rpartition(".")[2] if item.id != item.question.id else ""
        line = ET.SubElement(body, "p")
        line.text = f"{letter} {item.prompt}: " if letter else "Answer: "
        entry = ET.SubElement(line, "textEntryInteraction", responseIdentifier="RESPONSE", expectedLength="12")
        entry.tail = f" {quantity.unit(item.quantity, variant.units)}"
    elif item.kind == "rubric":
        ET.SubElement(body, "extendedTextInteraction", responseIdentifier="RESPONSE", expectedLines="4")
    else:
        _choices(body, item)


def _choices(body: ET.Element, item: Item) -> None:
    if item.kind == "order":
        asked = ET.SubElement(body, "orderInteraction", responseIdentifier="RESPONSE", shuffle="false")
    else:
        asked = ET.SubElement(
            body, "choiceInteraction", responseIdentifier="RESPONSE", shuffle="false", maxChoices="1"
        )
    if item.id != item.question.id:
        ET.SubElement(asked, "prompt").text = item.prompt
    for k, choice in enumerate(item.choices):
        ET.SubElement(asked, "simpleChoice", identifier=f"c{k}").text = choice


def _processing(root: ET.Element, item: Item, variant: Variant) -> None:
    """Full marks for the key, half within the wider tolerance, and the misconception behind a wrong answer."""
    condition = ET.SubElement(ET.SubElement(root, "responseProcessing"), "responseCondition")
    right = ET.SubElement(condition, "responseIf")
    if item.kind == "number":
        _near(right, variant, item, None, item.tolerance)
    else:
        ET.SubElement(_match(right), "correct", identifier="RESPONSE")
    _set(right, "SCORE", "float", f"{item.marks:.6g}")
    for k, wrong in enumerate(item.wrong):
        branch = ET.SubElement(condition, "responseElseIf")
        if isinstance(wrong.value, float):
            _near(branch, variant, item, wrong.value, reach(wrong.value, item.tolerance, item))
        else:
            _choice(_match(branch), item, wrong.value)
        _set(branch, "FEEDBACK", "identifier", f"M{k}")
    _half(condition, item, variant)


def _half(condition: ET.Element, item: Item, variant: Variant) -> None:
    """Half marks as on paper: a number within the wider tolerance, an order with two neighbours changed over."""
    half = f"{HALF * item.marks:.6g}"
    if item.kind == "number":
        branch = ET.SubElement(condition, "responseElseIf")
        _near(branch, variant, item, None, item.half)
        _set(branch, "SCORE", "float", half)
    elif isinstance(item.key, tuple):
        for k in range(len(item.key) - 1):
            branch = ET.SubElement(condition, "responseElseIf")
            steps = [*item.key[:k], item.key[k + 1], item.key[k], *item.key[k + 2 :]]
            row = ET.SubElement(_match(branch), "ordered")
            for step in steps:
                _choice(row, item, step)
            _set(branch, "SCORE", "float", half)


def _match(parent: ET.Element) -> ET.Element:
    """The answer is the same as what is put into this element next."""
    both = ET.SubElement(parent, "match")
    ET.SubElement(both, "variable", identifier="RESPONSE")
    return both


def _choice(parent: ET.Element, item: Item, choice: str) -> None:
    ET.SubElement(parent, "baseValue", baseType="identifier").text = f"c{item.choices.index(choice)}"


def _near(parent: ET.Element, variant: Variant, item: Item, value: float | None, size: float) -> None:
    """The answer equals the key, or another value, within a distance (SI)."""
    width = _width(size, item, variant)
    equal = ET.SubElement(parent, "equal", toleranceMode="absolute", tolerance=f"{width} {width}")
    ET.SubElement(equal, "variable", identifier="RESPONSE")
    if value is None:
        ET.SubElement(equal, "correct", identifier="RESPONSE")
    else:
        ET.SubElement(equal, "baseValue", baseType="float").text = _shown(value, item, variant)


def _set(parent: ET.Element, name: str, base: str, value: str) -> None:
    outcome = ET.SubElement(parent, "setOutcomeValue", identifier=name)
    ET.SubElement(outcome, "baseValue", baseType=base).text = value


def _manifest(package: _Package, variants: Sequence[Variant]) -> bytes:
    title = variants[0].sitting.worksheet.id if variants else "empty"
    root = ET.Element("manifest", {**_head(CP), "identifier": identifier("package", title)})
    metadata = ET.SubElement(root, "metadata")
    ET.SubElement(metadata, "schema").text = "QTIv2.1 Package"
    ET.SubElement(metadata, "schemaversion").text = "1.0.0"
    ET.SubElement(root, "organizations")
    resources = ET.SubElement(root, "resources")
    for name, path, pictures in package.resources:
        resource = ET.SubElement(resources, "resource", identifier=name, type=ITEM_TYPE, href=path)
        for file in (path, *pictures):
            ET.SubElement(resource, "file", href=file)
    return _xml(root)
