"""The JSON Schema: current, true of every shipped file, and able to refuse."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator
from ruamel.yaml import YAML

from oilway import quantity
from oilway.model.catalogue import kinds, shipped_valves
from oilway.model.schema import schema
from oilway.model.tree import Block, Series, Text, read_file, read_text

ROOT = Path(__file__).parents[2]
FILES = [*shipped_valves().values(), *sorted((ROOT / "examples").glob("*.yaml"))]
HOIST = (ROOT / "examples" / "tipping_hoist.yaml").read_text(encoding="utf-8")
DIRECT = shipped_valves()["direct relief"].read_text(encoding="utf-8")


@pytest.fixture(scope="module")
def validator() -> Draft202012Validator:
    return Draft202012Validator(schema())


def plain(item: Text | Block | Series) -> Any:
    """A tree as the reader sees it: everything is text."""
    if isinstance(item, Text):
        return item.text
    if isinstance(item, Series):
        return [plain(entry) for entry in item.items]
    return {key: plain(value) for key, value in item.items.items()}


def test_the_schema_is_one() -> None:
    Draft202012Validator.check_schema(schema())


def test_the_published_file_is_current() -> None:
    published = json.loads((ROOT / "docs" / "oilway.schema.json").read_text(encoding="utf-8"))
    assert published == schema(), "run: oilway schema -o docs/oilway.schema.json"


@pytest.mark.parametrize("path", FILES, ids=lambda p: p.stem)
def test_every_shipped_file_is_valid_as_text(validator, path: Path) -> None:
    assert [e.message for e in validator.iter_errors(plain(read_file(path)))] == []


@pytest.mark.parametrize("path", FILES, ids=lambda p: p.stem)
def test_every_shipped_file_is_valid_as_an_editor_reads_it(validator, path: Path) -> None:
    data = YAML(typ="safe", pure=True).load(path.read_text(encoding="utf-8"))
    assert [e.message for e in validator.iter_errors(data)] == []


@pytest.mark.parametrize("kind", kinds())
def test_every_kind_of_part_has_its_keys(kind: str) -> None:
    element, own = kinds()[kind], schema()["$defs"][f"part {kind}"]
    keys = {"kind", "note", *(p.name for p in element.ports), *(r.name for r in element.records)}
    assert set(own["properties"]) == keys
    assert own["additionalProperties"] is False
    for record in element.records:
        assert own["properties"][record.name]["description"].startswith(record.meaning)


@pytest.mark.parametrize("kind", quantity.KINDS)
def test_every_unit_of_a_kind_is_let_in_and_no_other(kind: str) -> None:
    pattern = Draft202012Validator(schema()["$defs"][f"quantity {kind}"])
    for name, other in quantity.KINDS.items():
        for unit in other.units:
            for text in (
                f"12.5 {unit}".strip(),
                f"1 1/2 {unit}".strip(),
                f"-3{unit.upper()}",
                f"1,500 {unit.replace('2', '²')}",
            ):
                try:
                    quantity.parse(text, kind)
                except quantity.QuantityError:
                    assert not pattern.is_valid(text), (name, text)
                else:
                    assert pattern.is_valid(text), (name, text)


@pytest.mark.parametrize("text", ["1.5.2 mm", "mm", "", "5 mm 3", "1,50 mm", "1/2/3 in", "five mm", "5 mm,"])
def test_what_is_no_number_with_its_unit_is_refused(text: str) -> None:
    assert not Draft202012Validator(schema()["$defs"]["quantity length"]).is_valid(text)


SLIPS = [
    (HOIST, "format: 1", "format: 2"),
    (HOIST, "format: 1\n", ""),
    (HOIST, "machine:", "machin:"),
    (HOIST, "  grade:", "  grad:"),
    (HOIST, "temperature: 120 F", "temperature: 120 psi"),
    (HOIST, "kind: fixed pump", "kind: fixd pump"),
    (HOIST, "    inlet: tank\n", ""),
    (HOIST, "displacement: 36 cc/rev", "displacement: 36 cc"),
    (HOIST, "displacement: 36 cc/rev", "displacement: 36"),
    (HOIST, "displacement:", "displacment:"),
    (HOIST, "rated pressure: 3600 psi", "rated pressure: 3600 gpm"),
    (HOIST, "setting: 2300 psi at 18 gpm", "setting: 2300 psi"),
    (HOIST, "load check: fitted", "load check: fited"),
    (HOIST, "    A: cap line\n", ""),
    (HOIST, "    B: rod line\n", "    B: rod line\n    C: rod line\n"),
    (HOIST, "  tank: {", "  ta.nk: {"),
    (HOIST, "  lever: 1", "  levr: 1"),
    (HOIST, "  lever: 1", "  lever: 2 mm"),
    (HOIST, "  lever: 1", "  lever: [1]"),
    (DIRECT, "ports:\n", "port:\n"),
    (DIRECT, "role: inlet", "role: inlt"),
    (DIRECT, "pushes: open", "pushes: opn"),
    (DIRECT, "half angle: 45 deg", "half angle: 45 mm"),
    (DIRECT, "default: internal\n", "defalt: internal\n"),
    (DIRECT, "- when: {poppet: seated}", "- wen: {poppet: seated}"),
    (DIRECT, "- when: {poppet: seated}", "- when: {poppet: shut}"),
    (DIRECT, "adjuster:", "ajuster:"),
]


@pytest.mark.parametrize(
    ("text", "old", "new"), SLIPS, ids=[f"{old.strip()} -> {new.strip()}" for _, old, new in SLIPS]
)
def test_a_typical_slip_is_refused(validator, text: str, old: str, new: str) -> None:
    assert old in text
    spoiled = plain(read_text(text.replace(old, new, 1)))
    assert not validator.is_valid(spoiled)


def test_a_choice_asks_for_the_port_it_adds(validator) -> None:
    external = HOIST.replace("    P: pump line\n", "    drain: external\n    P: pump line\n", 1)
    assert not validator.is_valid(plain(read_text(external)))
    assert validator.is_valid(
        plain(read_text(external.replace("drain: external", "drain: external\n    Y: tank")))
    )


def test_a_number_without_quotes_is_held_to_its_range(validator) -> None:
    data = plain(read_text(HOIST))
    for value, valid in ((1, True), (-0.5, True), (2, False)):
        data["operating point"] = {"lever": value}
        assert validator.is_valid(data) == valid


def test_a_valve_of_ones_own_may_have_any_ports(validator) -> None:
    own = HOIST.replace("valve: pilot relief", "valve: mine.yaml").replace(
        "    P: pump line\n    T: return line\n    setting", "    IN: pump line\n    setting", 1
    )
    assert validator.is_valid(plain(read_text(own)))
