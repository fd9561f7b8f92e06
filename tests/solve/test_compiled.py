"""Tapes in LLVM's language; what they compute is tested in test_tape.py."""

from __future__ import annotations

import casadi as ca
import numpy as np
import pytest

from oilway.solve import compiled
from oilway.solve.tape import listed

X = ca.SX.sym("x")
LISTING = listed(ca.Function("f", [X], [X**2 + 1]))
NUMBERS = np.array([[1.0, 2.0, 3.0, 4.0]])


def test_fewer_sets_than_go_side_by_side() -> None:
    pytest.importorskip("llvmlite")
    assert compiled.runner(LISTING)(NUMBERS)[0].tolist() == [[2.0, 5.0, 10.0, 17.0]]


def test_another_function_is_other_code() -> None:
    other = listed(ca.Function("f", [X], [X**2 + 2]))
    assert compiled.assembly({"tape": other}) != compiled.assembly({"tape": LISTING})


def test_several_functions_declare_once_what_they_call() -> None:
    root = listed(ca.Function("f", [X], [ca.sqrt(X)]))
    text = compiled.assembly({"one": root, "other": root}, "; more")
    assert text.count("declare ") == 1
    assert "@one(" in text
    assert "@other(" in text
    assert text.endswith("; more")
