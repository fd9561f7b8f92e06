"""Stability of a state of rest: eigenvalues of the same residual in its motion form, linearised."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from oilway.elements.network import FRICTION
from oilway.model.system import System, Vector

NEGLIGIBLE = 1e-3  # 1/s: growth slower than this over a class is oil creeping to rest, not an instability
SHARE = 0.2  # unknowns with at least this share of a mode are named


@dataclass(frozen=True)
class Mode:
    """One way the machine answers a nudge.

    ``growth`` 1/s (negative: dies away), ``frequency`` Hz (0: no swing), ``damping`` ratio (1 and above: no
    swing; below 0: grows), ``who`` the unknowns that take part most.
    """

    growth: float
    frequency: float
    damping: float
    who: tuple[str, ...]

    @property
    def settling(self) -> float:
        """Time (s) to fall to about 2 per cent, infinite for a mode that does not die away."""
        return 4.0 / -self.growth if self.growth < 0 else float("inf")


@dataclass(frozen=True)
class Stability:
    """All modes, least damped first by growth; friction of the dry kind is left out (the cautious side)."""

    modes: tuple[Mode, ...]

    @property
    def stable(self) -> bool:
        """True when every nudge dies away."""
        return all(mode.growth <= NEGLIGIBLE for mode in self.modes)

    @property
    def worst(self) -> Mode | None:
        """The swinging mode with the least damping ratio, or the slowest mode when none swings."""
        swinging = [mode for mode in self.modes if mode.frequency > 0]
        if swinging:
            return min(swinging, key=lambda mode: mode.damping)
        return max(self.modes, key=lambda mode: mode.growth, default=None)


def stability(system: System, z: Vector, th: Vector) -> Stability:
    """Modes about a state of rest z (n,) at parameters th (m,).

    Each balance is storage x d(unknown)/dt = residual; a moving part has mass x d(speed)/dt = force and
    d(lift)/dt = speed.  Source: linearisation of an ordinary differential equation, any text on vibration.
    """
    th = th.copy()
    th[system.parameters[FRICTION]] = 0.0
    a, names = _state_matrix(system, z, th)
    values, vectors = np.linalg.eig(a)
    order = np.argsort(-values.real)
    modes = []
    for k in order:
        if values[k].imag < 0:
            continue  # the other half of a pair
        modes.append(_mode(complex(values[k]), np.abs(vectors[:, k]), names))
    return Stability(tuple(modes))


def _state_matrix(system: System, z: Vector, th: Vector) -> tuple[Vector, list[str]]:
    """Matrix of d(state)/dt = A state, states scaled so that a mode's shares can be compared."""
    n, k = system.size, len(system.moving)
    jacobian, storage = system.motion_jacobian(z, th), system.storage(z, th)
    drives = [i for i, u in enumerate(system.unknowns) if u.kind == "drive"]
    a = np.zeros((n + k, n + k))
    for i in range(n):
        if i not in drives:
            a[i] = jacobian[i] / storage[i]
    for j, i in enumerate(drives):
        a[i, n + j] = 1.0
        a[n + j] = jacobian[i] / storage[i]
    # A lift of 0.1 mm, a pressure of 10 bar and a speed of 0.1 m/s weigh the same in a mode.
    weight = np.concatenate([system.scale * 0.1, np.full(k, 0.1)])
    names = [u.name for u in system.unknowns] + [f"speed of {name}" for name in system.moving]
    return a * weight / weight[:, None], names


def _mode(value: complex, shares: Vector, names: list[str]) -> Mode:
    size = abs(value)
    damping = -value.real / size if size > 0 else 1.0
    ranked = np.argsort(-shares)
    who = tuple(names[i] for i in ranked[:3] if shares[i] >= SHARE * shares[ranked[0]])
    swings = abs(value.imag) > 1e-9 * size
    return Mode(value.real, abs(value.imag) / (2 * np.pi) if swings else 0.0, damping, who)
