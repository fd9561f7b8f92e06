"""A setting as a technician says it: "2300 psi at 18 gpm", "cracks 1900 psi, 2300 psi at 18 gpm"."""

from __future__ import annotations

import re
from dataclasses import dataclass, field

from oilway import quantity
from oilway.errors import Place, QuantityError
from oilway.model.tree import Problems, Text

CRACKED = 0.01  # share of the rated flow at which a valve counts as cracked, unless the file says otherwise
# The comma that ends the cracking pressure is not one that groups the digits of a number.
SEPARATE = re.compile(r"\s*cracks\s+(?:at\s+)?(.*?)(?:(?<!\d),|,(?!\d{3}\b))\s*(.*)$", re.IGNORECASE)
HINT = "write '2300 psi at 18 gpm', or 'cracks 1900 psi, 2300 psi at 18 gpm'"


@dataclass(frozen=True)
class Setting:
    """Full-flow pressure (Pa) at the full flow (m3/s); cracking pressure and its flow when they are given."""

    pressure: float
    flow: float
    cracking: float | None = None
    cracking_flow: float | None = None
    where: Place = field(default_factory=Place)

    @property
    def cracked_flow(self) -> float:
        """The small flow (m3/s) at which the valve counts as cracked."""
        return self.cracking_flow if self.cracking_flow is not None else CRACKED * self.flow


def read_setting(item: Text, problems: Problems, owner: str) -> Setting | None:
    """Read a setting; what is wrong is noted and ``None`` returned.

    >>> problems = Problems()
    >>> s = read_setting(Text("cracks 100 bar, 120 bar at 60 L/min", Place()), problems, "relief")
    >>> s.cracking, s.pressure, round(s.flow, 9)
    (10000000.0, 12000000.0, 0.001)
    """
    cracking = cracking_flow = None
    full = item.text
    if "," in full and (match := SEPARATE.match(full)):
        first, full = match.groups()
        pressure_text, _, flow_text = first.partition(" at ")
        cracking = _number(pressure_text, "pressure", item, problems, owner)
        cracking_flow = _number(flow_text, "flow", item, problems, owner) if flow_text else None
        if cracking is None or (flow_text and cracking_flow is None):
            return None
    full = re.sub(r"^\s*(set\s+)?(to\s+)?", "", full, flags=re.IGNORECASE)
    pressure_text, at, flow_text = full.partition(" at ")
    if not at:
        problems.add(item.where, f"{owner}: setting '{item.text}' does not say at which flow", HINT)
        return None
    pressure = _number(pressure_text, "pressure", item, problems, owner)
    flow = _number(flow_text, "flow", item, problems, owner)
    if pressure is None or flow is None:
        return None
    setting = Setting(pressure, flow, cracking, cracking_flow, item.where)
    return setting if _sensible(setting, item, problems, owner) else None


def _number(text: str, kind: str, item: Text, problems: Problems, owner: str) -> float | None:
    try:
        return quantity.parse(text, kind)
    except QuantityError as err:
        problems.add(item.where, f"{owner}: setting: {err.what}", err.hint or HINT)
        return None


def _sensible(setting: Setting, item: Text, problems: Problems, owner: str) -> bool:
    if setting.pressure <= 0 or setting.flow <= 0:
        problems.add(item.where, f"{owner}: a setting has a pressure and a flow above zero", HINT)
    elif setting.cracking is not None and not 0 < setting.cracking < setting.pressure:
        problems.add(item.where, f"{owner}: the cracking pressure lies below the full-flow pressure", HINT)
    elif not setting.cracked_flow < setting.flow:
        problems.add(item.where, f"{owner}: the cracking flow lies below the full flow", HINT)
    else:
        return True
    return False
