"""The structure of a QTI 2.1 package, so far as Oilway uses it: a checker that tests can trust to find a fault.

Source, from memory: IMS Question and Test Interoperability v2.1, Assessment Test, Section and Item Information
Model (each class with its attributes and contents, in order), its XML Binding, and IMS Content Packaging v1.1.4.
The standard's schema files are in no package that we could install, so the tables below stand in for them.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator, Mapping
from xml.etree import ElementTree as ET

from oilway.qti import CP, ITEM_TYPE, QTI, SCHEMAS, XSI

NCNAME, FLOAT, INTEGER, BOOLEAN = r"[A-Za-z_][\w.-]*", r"-?\d+(\.\d+)?(e[-+]?\d+)?", r"\d+", "true|false"
BASE, CARDINALITY = "identifier|float|string", "single|multiple|ordered|record"
INLINE = "(img|textEntryInteraction)*"
EXPRESSION = "(variable|correct|baseValue|match|equal|ordered)"
RULES = "(responseCondition|setOutcomeValue)*"
# Contents of each element as an expression over the names of its children; "" for text alone.
CONTENTS = {
    "assessmentItem": "responseDeclaration* outcomeDeclaration* itemBody? responseProcessing? modalFeedback*",
    "responseDeclaration": "correctResponse?",
    "correctResponse": "value+",
    "outcomeDeclaration": "defaultValue?",
    "defaultValue": "value+",
    "value": "",
    "itemBody": "(p|table|choiceInteraction|orderInteraction|extendedTextInteraction)*",
    "p": INLINE,
    "table": "tbody+",
    "tbody": "tr+",
    "tr": "(th|td)+",
    "th": INLINE,
    "td": INLINE,
    "img": "",
    "textEntryInteraction": "",
    "extendedTextInteraction": "prompt?",
    "choiceInteraction": "prompt? simpleChoice+",
    "orderInteraction": "prompt? simpleChoice+",
    "prompt": INLINE,
    "simpleChoice": INLINE,
    "responseProcessing": RULES,
    "responseCondition": "responseIf responseElseIf* responseElse?",
    "responseIf": f"{EXPRESSION} {RULES}",
    "responseElseIf": f"{EXPRESSION} {RULES}",
    "setOutcomeValue": EXPRESSION,
    "match": f"{EXPRESSION} {EXPRESSION}",
    "equal": f"{EXPRESSION} {EXPRESSION}",
    "ordered": f"{EXPRESSION}*",
    "variable": "",
    "correct": "",
    "baseValue": "",
    "modalFeedback": "(p|table)*",
}
TEXT = {"p", "th", "td", "prompt", "simpleChoice", "value", "baseValue"}  # may hold text of their own
NAMED = {"responseIdentifier": NCNAME}
# Attributes: a name with '?' may be left out.
ATTRIBUTES: dict[str, dict[str, str]] = {
    "assessmentItem": {"identifier": NCNAME, "title": ".+", "adaptive": BOOLEAN, "timeDependent": BOOLEAN,
                       f"{{{XSI}}}schemaLocation?": f"{QTI} {SCHEMAS[QTI]}"},
    "responseDeclaration": {"identifier": NCNAME, "cardinality": CARDINALITY, "baseType": BASE},
    "outcomeDeclaration": {"identifier": NCNAME, "cardinality": CARDINALITY, "baseType": BASE,
                           "normalMaximum?": FLOAT},
    "img": {"src": r"[^\s\\:]+", "alt": ".+"},
    "textEntryInteraction": {**NAMED, "expectedLength?": INTEGER},
    "extendedTextInteraction": {**NAMED, "expectedLines?": INTEGER},
    "choiceInteraction": {**NAMED, "shuffle": BOOLEAN, "maxChoices": INTEGER},
    "orderInteraction": {**NAMED, "shuffle": BOOLEAN},
    "simpleChoice": {"identifier": NCNAME},
    "setOutcomeValue": {"identifier": NCNAME},
    "equal": {"toleranceMode": "exact|absolute|relative", "tolerance?": f"{FLOAT}( {FLOAT})?"},
    "variable": {"identifier": NCNAME},
    "correct": {"identifier": NCNAME},
    "baseValue": {"baseType": BASE},
    "modalFeedback": {"outcomeIdentifier": NCNAME, "identifier": NCNAME, "showHide": "show|hide"},
}  # fmt: skip
INTERACTIONS = {  # cardinality and base type of the response that each takes
    "textEntryInteraction": ("single", "float|string"),
    "extendedTextInteraction": ("single", "string"),
    "choiceInteraction": ("single", "identifier"),
    "orderInteraction": ("ordered", "identifier"),
}
VALUES = {"identifier": NCNAME, "float": FLOAT, "string": ".*"}


def local(element: ET.Element, namespace: str = QTI) -> str:
    """Name of an element; with its namespace where that is another."""
    return element.tag.removeprefix(f"{{{namespace}}}")


def faults_of_package(files: Mapping[str, bytes]) -> list[str]:
    """Everything that is wrong with a package."""
    try:
        roots = {name: ET.fromstring(data) for name, data in files.items() if name.endswith(".xml")}
    except ET.ParseError as err:
        return [f"not well-formed: {err}"]
    found = list(_manifest(roots.pop("imsmanifest.xml"), files))
    for name, root in roots.items():
        found += [f"{name}: {fault}" for fault in faults_of_item(root)]
        for image in root.iter(f"{{{QTI}}}img"):
            source = _beside(name, image.get("src", ""))
            if not files.get(source, b"").startswith(b"\x89PNG"):
                found.append(f"{name}: no picture {source}")
    names = Counter(root.get("identifier") for root in roots.values())
    return [*found, *(f"two items {name}" for name, count in names.items() if count > 1)]


def _beside(name: str, href: str) -> str:
    """A path inside the package, as an item at ``name`` writes it."""
    folders = name.split("/")[:-1]
    for step in href.split("/"):
        if step == "..":
            folders.pop()
        else:
            folders.append(step)
    return "/".join(folders)


def _manifest(root: ET.Element, files: Mapping[str, bytes]) -> Iterator[str]:
    if root.tag != f"{{{CP}}}manifest" or [local(c, CP) for c in root] != [
        "metadata",
        "organizations",
        "resources",
    ]:
        yield "the manifest is not metadata, organizations, resources"
        return
    said = [(local(c, CP), c.text) for c in root[0]]
    if said != [("schema", "QTIv2.1 Package"), ("schemaversion", "1.0.0")]:
        yield f"the manifest says {said}"
    names = [root.get("identifier", "")]
    listed = set()
    for resource in root[2]:
        names.append(resource.get("identifier", ""))
        hrefs = [file.get("href", "") for file in resource if local(file, CP) == "file"]
        listed.update(hrefs)
        href = resource.get("href", "")
        if resource.get("type") != ITEM_TYPE or href not in hrefs or not hrefs:
            yield f"resource {names[-1]}: its href is no file of it"
            continue
        try:
            item = ET.fromstring(files.get(href, b""))
        except ET.ParseError:
            continue  # told as missing below
        if item.get("identifier") != names[-1]:
            yield f"resource {names[-1]}: the item calls itself {item.get('identifier')}"
        pictures = {_beside(href, image.get("src", "")) for image in item.iter(f"{{{QTI}}}img")}
        if set(hrefs) != {href} | pictures:
            yield f"resource {names[-1]}: its files are not the item and its pictures"
    yield from (f"identifier {n!r}" for n, count in Counter(names).items() if count > 1 or not _fits(NCNAME, n))
    yield from (f"not in the package: {name}" for name in sorted(listed - set(files)))
    yield from (f"not in the manifest: {name}" for name in sorted(set(files) - listed - {"imsmanifest.xml"}))


def faults_of_item(root: ET.Element) -> list[str]:
    """Everything that is wrong with an item."""
    found = [fault for element in root.iter() for fault in _element(element)]
    if local(root) != "assessmentItem":
        found.append(f"{root.tag} is no item")
    return found or [*_responses(root), *_outcomes(root)]


def _element(element: ET.Element) -> Iterator[str]:
    name = local(element)
    if name not in CONTENTS:
        yield f"<{name}> is not known"
        return
    model = re.sub(r"(\w+)", r"(?:\1 )", CONTENTS[name]).replace(") ", ")").replace(" (", "(")
    children = "".join(f"{local(child)} " for child in element)
    if not re.fullmatch(model, children):
        yield f"<{name}> holds {children or 'nothing'}"
    texts = [element.text, *(child.tail for child in element)]
    if name not in TEXT and any(text and text.strip() for text in texts):
        yield f"<{name}> holds text"
    wanted = ATTRIBUTES.get(name, {})
    for key, pattern in wanted.items():
        value = element.get(key.removesuffix("?"))
        if value is None:
            if not key.endswith("?"):
                yield f"<{name}> has no {key}"
        elif not _fits(pattern, value):
            yield f"<{name}> {key}: {value!r}"
    yield from (f"<{name}> takes no {key}" for key in set(element.keys()) - {k.removesuffix("?") for k in wanted})


def _fits(pattern: str, text: str) -> bool:
    return re.fullmatch(pattern, text, re.ASCII) is not None


def _named(root: ET.Element, tag: str, key: str = "identifier") -> list[str]:
    return [element.get(key, "") for element in root.iter(f"{{{QTI}}}{tag}")]


def _responses(root: ET.Element) -> Iterator[str]:
    """Each declared response is asked for once, in the way it was declared, and its key is one of the choices."""
    declared = {e.get("identifier", ""): e for e in root.iter(f"{{{QTI}}}responseDeclaration")}
    asked = [e for e in root.iter() if local(e) in INTERACTIONS]
    if sorted(declared) != sorted(e.get("responseIdentifier", "") for e in asked):
        yield "responses are not those that interactions ask for"
        return
    for interaction in asked:
        declaration = declared[interaction.get("responseIdentifier", "")]
        cardinality, base = INTERACTIONS[local(interaction)]
        kind = declaration.get("baseType", "")
        if declaration.get("cardinality") != cardinality or not _fits(base, kind):
            yield f"<{local(interaction)}> does not take such a response"
        choices = _named(interaction, "simpleChoice")
        yield from (f"two choices {name}" for name, count in Counter(choices).items() if count > 1)
        values = [v.text or "" for v in declaration.iter(f"{{{QTI}}}value")]
        if cardinality == "single" and len(values) > 1:
            yield "more than one value of a single response"
        if cardinality == "ordered" and sorted(values) != sorted(choices):
            yield "the right order is not one of all choices"
        used = [
            v.text or "" for v in root.iter(f"{{{QTI}}}baseValue") if v.get("baseType") == kind == "identifier"
        ]
        for value in values if not choices else [*values, *(u for u in used if u.startswith("c"))]:
            if not _fits(VALUES[kind], value) or (choices and value not in choices):
                yield f"the value {value!r} cannot be answered"


def _outcomes(root: ET.Element) -> Iterator[str]:
    """What is set, looked at or shown has been declared, and a value is of the declared type."""
    declared = {e.get("identifier", ""): e for e in root.iter() if local(e).endswith("Declaration")}
    for element in root.iter(f"{{{QTI}}}setOutcomeValue"):
        target = declared.get(element.get("identifier", ""))
        if target is None or local(target) != "outcomeDeclaration":
            yield f"{element.get('identifier')} is set, and declared nowhere"
        elif element[0].get("baseType", target.get("baseType")) != target.get("baseType"):
            yield f"{element.get('identifier')} is set to another type"
    for value in root.iter(f"{{{QTI}}}baseValue"):
        if not _fits(VALUES[value.get("baseType", "")], value.text or ""):
            yield f"{value.text!r} is no {value.get('baseType')}"
    looked = {*_named(root, "variable"), *_named(root, "correct")}
    yield from (f"{name} is looked at, and declared nowhere" for name in looked - set(declared))
    for equal in root.iter(f"{{{QTI}}}equal"):
        if equal.get("toleranceMode") != "exact" and not equal.get("tolerance"):
            yield "a tolerance without its size"
    shown = _named(root, "modalFeedback")
    if len(set(shown)) < len(shown):
        yield "two feedbacks of one name"
    yield from (f"{n}: feedback of no outcome" for n in _named(root, "modalFeedback", "outcomeIdentifier")
                if n not in declared)  # fmt: skip
