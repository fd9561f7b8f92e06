"""Amounts in the prose of a class: ``{18 gpm}`` in a text is shown in the units of the sheet it stands on.

The texts of worksheets and courses (notes, questions, steps, cautions) speak of amounts that no student draws.
In braces they follow the sheet: as typed where that is its unit, else to four digits in its own.
"""

from __future__ import annotations

import math
import re
from collections.abc import Collection

from oilway import quantity
from oilway.errors import Place
from oilway.model.tree import Problems
from oilway.quantity import Units
from oilway.study.worksheet_ranges import kind_of

WORD = re.compile(r"\{([^{}]*)\}")
DIGITS = 4  # nearer than a verdict may hang on a hair (0.2 %)


def spoken(text: str, units: Units) -> str:
    """A text with every amount in braces in the units of a sheet; other words in braces stay.

    >>> spoken("{18 gpm} at {2300 psi}", "metric"), spoken("{18 gpm}, {below}", "shop")
    ('68.14 L/min at 158.6 bar', '18 gpm, {below}')
    """
    return WORD.sub(lambda found: _shown(found[1], units) or found[0], text)


def _shown(word: str, units: Units) -> str:
    """An amount in the units of a sheet, or nothing for what is none."""
    kind = kind_of(word)
    if kind is None:
        return ""
    size = quantity.parse(word, kind)
    unit, places = quantity.KINDS[kind].display(units)
    typed = re.sub(r"^[-+0-9.,/ ]*", "", word).strip()
    a, b = ([quantity.parse(f"{n} {own}".strip(), kind) for n in (0, 1)] for own in (typed, unit))
    if a == b:
        return word.strip()
    shown = abs(quantity.number(size, kind, units))
    before = math.floor(math.log10(shown)) + 1 if shown > 0 else DIGITS
    return quantity.show(size, kind, units, max(0, min(DIGITS - before, places + quantity.KINDS[kind].finer)))


def check_words(text: str, known: Collection[str], where: Place, owner: str, problems: Problems) -> None:
    """Note every word in braces that is neither an amount nor one of the known words."""
    for word in WORD.findall(text):
        if word not in known and kind_of(word) is None:
            problems.unknown_word(where, owner, "drawn number, nor amount with its unit,", word, known)


def plain(text: str) -> str:
    """A text without braces round its amounts: as typed.

    >>> plain("{2300 psi} +- {50 psi}")
    '2300 psi +- 50 psi'
    """
    return WORD.sub(lambda found: found[1] if kind_of(found[1]) else found[0], text)
