"""An accumulator: oil pressed against a charge of gas."""

from __future__ import annotations

from typing import ClassVar

from oilway.elements.base import Element, limit_rating
from oilway.elements.network import IN_GAS, Network, Node
from oilway.elements.record import RATED, Port, amount
from oilway.laws.gas import gas_volume, gas_work

# How exactly a given charge is held at rest: 1 L/s through it moves its pressure by 1 kPa, far below a needle.
STEEPNESS = 1e6  # Pa s/m3


class Accumulator(Element):
    """A gas-charged accumulator (bladder, diaphragm or piston): it takes oil above its precharge, none below.

    Gas and oil are at one pressure.  At rest it neither gives nor takes, unless ``charge`` says at which
    pressure it is caught: then it gives or takes whatever flow holds that pressure, as a cylinder caught at a
    stroke has a speed.  In motion it is the softest part of its chamber: dV/dp = V / (n p) of the gas.
    Law: :func:`oilway.laws.gas.gas_volume`.
    """

    kind = "accumulator"
    ports = (Port("at", "chamber it stands on"),)
    records = (
        amount(
            "size", "volume", "volume of its shell, filled by gas when empty of oil", low="1 cm3", high="1000 L"
        ),
        amount("precharge", "pressure", "gas pressure with no oil in it", low="1 psi", high="10000 psi"),
        amount(
            "polytropic exponent",
            "number",
            "1.0 for gas pressed slowly, 1.4 quickly",
            "1.4",
            "1",
            "2",
            source="gas law, standard",
        ),
        amount("charge", "pressure", "pressure it is caught at; left out: it floats", None, "1 psi", "14500 psi"),
        RATED,
    )
    axes: ClassVar[dict[str, str]] = {"accumulator charge": "charge"}

    def complaints(self) -> list[tuple[str, str]]:
        """Charged with oil means above the precharge."""
        charge = self.number("charge")
        if charge is not None and charge < (self.number("precharge") or 0.0):
            return [("charge", "charge lies below the precharge, where it holds no oil")]
        return []

    def equations(self, net: Network) -> None:
        """Add the oil stored, which grows with pressure, and at a given charge the flow."""
        node = net.node(self, "at")
        ambient = net.oil["p_ambient"]
        size, precharge = net.value(self, "size"), net.value(self, "precharge") + ambient
        gas = (size, precharge, node.p + ambient, net.value(self, "polytropic exponent"))
        oil = size - gas_volume(*gas)
        net.add_volume(node.name, oil)
        net.hold(IN_GAS, gas_work(*gas) - ambient * oil)
        net.reading(self, "volume", oil)
        limit_rating(self, net, node.name)
        if net.value(self, "charge") is not None:
            self._deliver(net, node)

    def _deliver(self, net: Network, node: Node) -> None:
        """Hold the given charge at rest; in motion the gas does, and this term is gone."""
        charge = net.value(self, "charge")
        taken = (1 - net.motion) * (node.p - charge) / STEEPNESS
        net.swept(self, node, taken, "held charge")
        net.power(self, "work on the gas", taken * node.p, "pressure x flow")
        what = "charged below its precharge, where it holds no oil"
        net.limit(self, what, charge - net.value(self, "precharge"), "pressure", low=0.0, impossible=True)
