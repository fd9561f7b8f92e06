"""Figures of runs side by side: those of a run alone, and what a change replaces stays replaced."""

from __future__ import annotations

import numpy as np
import pytest

import oilway
from oilway.study.run import read_change, run
from oilway.study.spread import spread
from oilway.study.spread_runs import known_figures

FIGURES = [
    "peak pressure:pump line",
    "least pressure:pump line",
    "top speed:hoist cylinder",
    "end position:hoist cylinder",
]


def test_every_set_has_the_figures_of_its_own_run() -> None:
    """Parts that matter here: the bore of the cylinder, declared; the change lowers the lever."""
    machine = oilway.load("examples/tipping_hoist.yaml")
    changes = [read_change(machine, "0.05 s over 0.1 s: lever=0.5")]
    told = spread(
        machine, {"hoist cylinder.bore": "5 %"}, duration=0.3, changes=changes, channels=FIGURES, number=3
    )
    bore = machine.system.parameters["hoist cylinder.bore"]
    for k, th in enumerate(told.job.sets(0, 3)):
        own = machine.with_part("hoist cylinder", {"bore": float(th[bore])})
        for tol in told.tolerances:
            part, _, key = tol.parameter.rpartition(".")
            own = own.with_part(part, {key: float(th[machine.system.parameters[tol.parameter]])})
        alone = run(own, 0.3, changes)
        pressure = alone.series["pressure in pump line"].values
        expected = [
            pressure.max(), pressure.min(), np.abs(alone.series["velocity of hoist cylinder"].values).max(),
            alone.series["position of hoist cylinder"].values[-1],
        ]  # fmt: skip
        assert [o.values[k] for o in told.outputs] == pytest.approx(expected, rel=2e-4)


def test_what_a_change_replaces_is_as_the_change_says() -> None:
    machine = oilway.load("direct relief")
    change = read_change(machine, "0.01 s: main spring.rate=30 N/mm")
    only = {t.parameter: "0 %" for t in spread(machine, number=2).tolerances} | {"main spring.rate": "10 %"}
    told = spread(machine, only, duration=0.2, changes=[change], channels=["end pressure:inlet"], number=4)
    assert np.ptp(told.outputs[0].values) < 1e-4 * told.outputs[0].nominal


def test_figures_are_known_by_the_names_of_the_machine() -> None:
    known = known_figures(oilway.load("examples/tipping_hoist.yaml"))
    assert set(FIGURES) <= set(known)
    assert "time to settle:pump line" in known
