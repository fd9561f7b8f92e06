"""Every line of a ledger has its law in words, and the words name what the code's own docstrings name."""

from __future__ import annotations

import ast
import re
import sys
from pathlib import Path

import pytest

import oilway
import oilway.elements
from oilway.model.catalogue import shipped_valves
from oilway.study.law_words import LAWS
from oilway.study.story import examples

FOLDER = Path(oilway.elements.__file__).parent
ADDS = {"flow": 4, "swept": 3, "force": 4, "power": 3, "torque": 4}  # method of Network -> place of the law


def words_in_source() -> set[str]:
    """The law of every term that an element adds, read from its source."""
    found = set()
    for path in FOLDER.glob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute) and node.func.attr in ADDS:
                texts = [a.value for a in node.args if isinstance(a, ast.Constant) and isinstance(a.value, str)]
                if texts and node.args[-1] is not node.args[0] and isinstance(node.args[-1], ast.Constant):
                    found.add(texts[-1])
    return found


def test_every_law_that_an_element_adds_is_told() -> None:
    words = words_in_source()
    assert {"orifice law", "momentum of the jet", "Coulomb friction", "area x velocity"} <= words, (
        "the reader works"
    )
    assert words <= set(LAWS)


@pytest.mark.parametrize("file", [*sorted(map(str, examples().glob("*.yaml"))), *shipped_valves()])
def test_every_line_of_every_machine_has_its_law(file: str) -> None:
    terms = oilway.load(file).system.terms
    assert {t.law for t in terms if t.sort in ("flow", "force", "torque", "power")} <= set(LAWS)


@pytest.mark.parametrize("word", LAWS)
def test_a_source_names_nobody_whom_the_functions_do_not_name(word: str) -> None:
    law = LAWS[word]
    assert law.form.endswith(".")
    assert law.source
    if not law.functions:
        return
    modules = [sys.modules[f.__module__] for f in law.functions]
    said = " ".join(" ".join((thing.__doc__ or "").split()) for thing in (*law.functions, *modules))
    for name in re.findall(r"\b[A-Z]\. (?:[A-Z]\. )?([A-Z][a-z]+)|\b(Merritt)\b", law.source):
        assert "".join(name) in said, (word, name)
    assert ("from memory" in law.source) <= ("from memory" in said), word
