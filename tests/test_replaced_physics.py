"""If a law were a constant, the common-practice checks would notice: which ones, law by law.

Each law is replaced where its element uses it, the machines are read anew, and the named check must then fail: by
its own assertion, or because the setting it asks for can no longer be reached.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from tests.published import test_common_practice as cp

import oilway
from oilway.errors import ImpossibleCircuit, NoSolution
from oilway.laws.springs import spring_force


def constant_jet(*_: object) -> float:
    """30 N towards shut, whatever the flow."""
    return 30.0


def no_jet(*_: object) -> float:
    return 0.0


def constant_orifice(area: object, dh: object, dp: object, *_: object) -> object:
    """The same flow at any drop (1 L/min), its sign softened within 10 mbar so that rest can be found."""
    return 1e-3 / 60 * np.tanh(dp / 1e3)


class ConstantSpring:
    """A spring pushes with its preload whatever the lift: asked a second time, it says what it said at first."""

    def __init__(self) -> None:
        self.preload: object = None

    def __call__(self, rate: object, compression: object) -> object:
        if self.preload is None:
            self.preload = spring_force(rate, compression)
            return self.preload
        preload, self.preload = self.preload, None
        return preload


def direct() -> oilway.Machine:
    return oilway.load("direct relief", cp.DIRECT)


def two_stage() -> oilway.Machine:
    return oilway.load("pilot relief", cp.TWO_STAGE)


CHECKS: dict[str, Callable[[], None]] = {
    "CP1": lambda: cp.test_cp1_direct_relief_cracks_and_reaches_full_flow(direct()),
    "CP2": lambda: cp.test_cp2_two_stage_relief(two_stage()),
    "CP4": lambda: cp.test_cp4_load_between_cracking_and_setting(direct(), two_stage()),
    "CP5": lambda: cp.test_cp5_orifice_flow_equals_pilot_flow_while_the_main_part_rests(two_stage()),
}
REPLACED = [
    ("oilway.elements.poppet_seat.flow_force", constant_jet, "CP1", AssertionError),
    ("oilway.elements.poppet_seat.flow_force", constant_jet, "CP2", AssertionError),
    ("oilway.elements.poppet_seat.flow_force", no_jet, "CP1", AssertionError),
    ("oilway.elements.poppet_seat.flow_force", no_jet, "CP2", AssertionError),
    ("oilway.elements.orifice.orifice_flow", constant_orifice, "CP2", (AssertionError, NoSolution)),
    ("oilway.elements.spring.spring_force", ConstantSpring, "CP1", ImpossibleCircuit),
    ("oilway.elements.spring.spring_force", ConstantSpring, "CP2", AssertionError),
]


@pytest.mark.parametrize(
    ("law", "constant", "check", "fails_by"),
    REPLACED,
    ids=lambda v: v if isinstance(v, str) else getattr(v, "__name__", ""),
)
def test_a_constant_in_place_of_a_law_is_noticed(
    monkeypatch: pytest.MonkeyPatch, law: str, constant: object, check: str, fails_by: type[Exception]
) -> None:
    monkeypatch.setattr(law, constant() if isinstance(constant, type) else constant)
    with pytest.raises(fails_by):
        CHECKS[check]()


@pytest.mark.parametrize("check", list(CHECKS))
def test_with_the_laws_in_place_they_hold(check: str) -> None:
    CHECKS[check]()
