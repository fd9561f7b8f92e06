"""Two faults at once: found where no single one explains, from a machine that has both."""

from __future__ import annotations

from typing import Any

import numpy as np

from benchmarks.find_blind import measured
from oilway.study.diagnosis import diagnose


def test_a_worn_pump_and_a_worn_spool(hoist: Any) -> None:
    bench, dictionary = hoist
    by_name = {fault.name: fault for fault in bench.faults}
    changes = by_name["lever valve: spool worn"].changes(0.6) | by_name["pump: worn"].changes(0.5)
    setups = [
        u for u, s in enumerate(bench.setups) if s.name in ("lever valve +1", "neutral", "lever valve +1, stalled")
    ]
    told = diagnose(bench, dictionary, measured(bench, changes, setups, np.random.default_rng(3)))
    assert not told.found.explained
    assert {fault.name for fault in told.pairs[0].faults} == {"lever valve: spool worn", "pump: worn"}
    assert told.explained
