"""End cushions of a cylinder: over the last part of the stroke the oil has to leave through a needle.

A plunger on the piston enters the port and shuts it, so that the oil of the ring round it is left with one needle;
its drop stands on that ring and slows the piston.  On the way back a check valve lets oil in freely, so there is
no drop then.  Law: :func:`oilway.laws.restrictions.orifice_drop` with its own coefficients, needle area / share
for passage; the share to which the port is shut goes from 0 to 1 over the taper, eased at both ends
(:func:`oilway.laws.areas.eased`), so that a cushion begins without a step (our own form; real plungers have
tapers or slots).  Left out: what leaks round the plunger, and what a cushion's pressure adds to the leak of the
piston seal.  Its oil is counted, and gives way, with that at the port.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from oilway.elements.network import SX, Network
from oilway.elements.record import Record, amount
from oilway.laws.areas import circle_area, eased
from oilway.laws.restrictions import orifice_drop

if TYPE_CHECKING:
    from oilway.elements.cylinder import Cylinder

PLUNGER = "diameter of the plunger that shuts its port; left out:"


def _records(end: str, stop: str, thick: str) -> tuple[Record, ...]:
    way = f"last part of the stroke before the {stop} stop; left out: no cushion"
    return (
        amount(f"{end} cushion length", "length", way, None, "1 mm", "1 m"),
        amount(
            f"{end} cushion orifice", "length", "bore of the needle its oil leaves by", None, "0.1 mm", "50 mm"
        ),
        amount(f"{end} cushion plunger", "length", f"{PLUNGER} {thick}", None, "1 mm", "1 m"),
    )


CUSHIONS: tuple[Record, ...] = (
    *_records("cap", "inner", "thin, the whole face counts"),
    *_records("rod", "outer", "as thick as the rod"),
    amount("cushion taper", "length", "way over which a plunger shuts its port", "3 mm", "0.1 mm", "100 mm"),
)


def cushion_complaints(cylinder: Cylinder) -> list[tuple[str, str]]:
    """Length and needle belong together, the taper lies within, the plunger between rod and bore."""
    out = []
    for end, least in (("cap", 0.0), ("rod", cylinder.number("rod diameter") or 0.0)):
        length, needle, plunger = (
            cylinder.number(f"{end} cushion {word}") for word in ("length", "orifice", "plunger")
        )
        if length is None:
            alone = [word for word, value in (("orifice", needle), ("plunger", plunger)) if value is not None]
            out += [(f"{end} cushion {w}", f"{end} cushion {w} wants a {end} cushion length") for w in alone]
            continue
        if needle is None:
            out.append((f"{end} cushion length", f"{end} cushion length wants a {end} cushion orifice"))
        if length > (cylinder.number("stroke") or 0.0):
            out.append((f"{end} cushion length", f"{end} cushion length is longer than the stroke"))
        if length < (cylinder.number("cushion taper") or 0.0):
            out.append(("cushion taper", f"cushion taper is longer than the {end} cushion length"))
        if plunger is not None and not least <= plunger < (cylinder.number("bore") or 0.0):
            out.append((f"{end} cushion plunger", f"{end} cushion plunger does not lie between rod and bore"))
    return out


def cushion(net: Network, cylinder: Cylinder, end: str, left: SX, driven: SX, rho: SX) -> SX:
    """Pressure drop (Pa) of oil ``driven`` (m3/s, not negative) out of an end that is ``left`` (m) away."""
    needle = net.value(cylinder, f"{end} cushion orifice")
    depth = net.value(cylinder, f"{end} cushion length") - left
    share = eased(depth / net.value(cylinder, "cushion taper"))
    return orifice_drop(needle, share * driven / circle_area(needle), rho, net.oil["mu"])
