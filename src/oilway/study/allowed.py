"""How far parts may differ from what is written: declared by the user, or by common practice from a data file."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

from oilway import quantity
from oilway.errors import InputError, Place, Problem, QuantityError
from oilway.model.machine import OIL_TEMPERATURE, Machine
from oilway.model.tree import Block, Text, read_file

COMMON = Path(__file__).with_name("allowed.yaml")
PRACTICE, DECLARED = "common practice", "declared"


@dataclass(frozen=True)
class Tolerance:
    """A parameter lies between ``value`` - ``reach`` and ``value`` + ``reach`` (SI), and who says so."""

    parameter: str
    kind: str
    value: float
    reach: float
    source: str


def tolerances(
    machine: Machine, texts: Mapping[str, str] | None = None, where: str = "--tolerance"
) -> list[Tolerance]:
    """Those of common practice for the parts of a machine, and the ``texts`` ('part.key' to '10 %' or '0.05 mm').

    A text for a part replaces that of common practice; '0 %' leaves a part as it is.  Errors:
    :class:`InputError` with every text that cannot be used.
    """
    found = {t.parameter: t for t in _practice(machine)}
    problems: list[Problem] = []
    for word, text in (texts or {}).items():
        try:
            declared = _declared(machine, word, text)
            found[declared.parameter] = declared
        except QuantityError as err:
            problems.append(Problem(Place(where), f"{word}: {err.what}", err.hint))
        except InputError as err:
            problems.extend(err.problems)
    if problems:
        raise InputError(problems)
    return [t for t in found.values() if t.reach > 0]


def _practice(machine: Machine) -> list[Tolerance]:
    out = []
    for name, part in sorted(machine.parts.items()):
        for key, share in _common().get(part.kind, {}).items():
            column = machine.system.parameters.get(f"{name}.{key}")
            if column is not None:
                value = float(machine.theta()[column])
                kind = machine.resolve(f"{name}.{key}")[1]
                out.append(Tolerance(f"{name}.{key}", kind, value, share * abs(value), PRACTICE))
    return out


def _declared(machine: Machine, word: str, text: str) -> Tolerance:
    parameter, kind = machine.resolve(word, Place("--tolerance"))
    if parameter == OIL_TEMPERATURE:
        what = "the oil is no part that is made; its temperature is one for all"
        raise InputError(Problem(Place("--tolerance"), what, "give it with --at 'oil temperature=...'"))
    value = float(machine.theta()[machine.system.parameters[parameter]])
    plain = text.strip().removeprefix("+-").strip()
    share = plain.endswith("%")
    reach = quantity.parse(plain, "ratio") * abs(value) if share else quantity.parse(plain, kind)
    if reach < 0:
        raise QuantityError(f"'{text}' is below zero", "a tolerance counts either way: write '10 %'")
    if share and reach >= abs(value) > 0:
        raise QuantityError(f"'{text}' would leave nothing of it", "write less than 100 %")
    return Tolerance(parameter, kind, value, reach, DECLARED)


@lru_cache(maxsize=1)
def _common() -> dict[str, dict[str, float]]:
    kinds = read_file(COMMON).items["tolerances"]
    assert isinstance(kinds, Block)
    out: dict[str, dict[str, float]] = {}
    for kind, block in kinds.items.items():
        assert isinstance(block, Block)
        texts = {key: item.text for key, item in block.items.items() if isinstance(item, Text)}
        out[kind] = {key: quantity.parse(text, "ratio") for key, text in texts.items()}
    return out
