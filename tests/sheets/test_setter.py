"""Templates and data to pages."""

from __future__ import annotations

import re

import pytest

from oilway.errors import InputError
from oilway.sheets.setter import FOLDER, PAPERS, set_pages


def test_every_template_takes_its_paper_from_the_setter() -> None:
    templates = sorted(FOLDER.glob("*.typ"))
    assert templates
    for template in templates:
        assert "paper: sys.inputs.paper" in template.read_text(encoding="utf-8"), template.name


def test_templates_print_black_on_white() -> None:
    """Weight, frames and words carry what colour would: the sheet survives a copier."""
    for template in FOLDER.glob("*.typ"):
        colours = re.findall(
            r"\b(?:red|blue|green|yellow|orange|rgb\(|cmyk\()", template.read_text(encoding="utf-8")
        )
        assert colours == [], template.name


def test_an_unknown_paper_is_named() -> None:
    with pytest.raises(InputError, match=r"no paper 'lettr' \(did you mean 'letter'\?\)"):
        set_pages("plan.typ", {}, paper="lettr")
    assert set(PAPERS) == {"letter", "a4"}
