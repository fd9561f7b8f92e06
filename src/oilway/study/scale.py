"""The dark end of the pressure scale of a machine: one number for its pictures, its page and its sliders."""

from __future__ import annotations

import math

from oilway import quantity
from oilway.model.machine import Machine
from oilway.study.controls import COMPENSATED

STEP = 500 * quantity.PSI  # the scale ends at a multiple of this
UNSAID = 3500 * quantity.PSI  # where a file names neither a setting nor a rating


def full_scale(machine: Machine) -> float:
    """The highest setting or rating (Pa) that a machine's files name, rounded up."""
    named = [m.setting.pressure for m in machine.mounted if m.setting is not None]
    for part in machine.parts.values():
        named.append(float(part.values.get("rated pressure") or 0.0))
        if part.kind in COMPENSATED:
            named.append(float(part.values["compensator setting"] or 0.0))
    highest = max(named, default=0.0)
    return STEP * math.ceil(highest / STEP - 1e-9) if highest > 0 else UNSAID
