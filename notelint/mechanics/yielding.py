"""The yield equations of a dowel in single shear: NDS 2018 Table 12.3.1A, divided by the reduction terms of Table 12.3.1B."""

from __future__ import annotations

import math
from typing import NamedTuple

from notelint.trade.tables import factor


class Bearing(NamedTuple):
    """One member of the joint: its length of bearing in inches and its dowel bearing strength in psi."""

    length_in: float
    strength_psi: float


class YieldModes(NamedTuple):
    """Value of each yield mode in pounds, reduction term applied; the least is the reference value Z."""

    Im: float
    Is: float
    II: float
    IIIm: float
    IIIs: float
    IV: float

    @property
    def least(self) -> float:
        """Z, pounds."""
        return min(self)

    @property
    def governing(self) -> str:
        """Name of the mode that gives Z."""
        return self._fields[self.index(self.least)]


class _Factors(NamedTuple):
    k1: float
    k2: float
    k3: float


class _Reduction(NamedTuple):
    I: float  # noqa: E741 - the mode's own name
    II: float
    III_IV: float


def wood_bearing_psi(gravity: float, diameter_in: float, angle_deg: float = 0.0) -> float:
    """Dowel bearing strength of wood, psi, rounded as printed. NDS 2018 Table 12.3.3, 12.3.4 between the grain's two directions."""
    step = factor("dowel-bearing-rounding")
    if diameter_in < factor("small-dowel-limit"):
        strength = factor("dowel-bearing-small-coefficient") * float(gravity ** factor("dowel-bearing-small-exponent"))
        return round(strength / step) * step
    along = round(factor("dowel-bearing-parallel-coefficient") * gravity / step) * step
    raw = factor("dowel-bearing-across-coefficient") * float(gravity ** factor("dowel-bearing-across-exponent")) / math.sqrt(diameter_in)
    across = round(raw / step) * step
    sine, cosine = math.sin(math.radians(angle_deg)), math.cos(math.radians(angle_deg))
    return along * across / (along * sine * sine + across * cosine * cosine)


def yield_modes(diameter_in: float, main: Bearing, side: Bearing, bending_psi: float, angle_deg: float = 0.0) -> YieldModes:
    """The six modes of a dowel through a side member into a main member, pounds. NDS 2018 Tables 12.3.1A and 12.3.1B.

    `angle_deg` is the greatest angle of load to grain (0 to 90); it counts for dowels of 1/4 in and more.
    """
    d, ratio = diameter_in, main.strength_psi / side.strength_psi
    k, r = _factors(d, main, side, bending_psi), _reduction(d, angle_deg)
    three = d * main.strength_psi / r.III_IV
    return YieldModes(
        Im=d * main.length_in * main.strength_psi / r.I,
        Is=d * side.length_in * side.strength_psi / r.I,
        II=k.k1 * d * side.length_in * side.strength_psi / r.II,
        IIIm=k.k2 * main.length_in * three / (1 + 2 * ratio),
        IIIs=k.k3 * side.length_in * three / (2 + ratio),
        IV=d**2 / r.III_IV * math.sqrt(2 * main.strength_psi * bending_psi / (3 * (1 + ratio))),
    )


def reduction_term(diameter_in: float) -> float:
    """The one reduction term of a dowel under 1/4 in. NDS 2018 Table 12.3.1B."""
    if diameter_in <= factor("reduction-thin-limit"):
        return factor("reduction-thin")
    return factor("reduction-slope") * diameter_in + factor("reduction-offset")


def _reduction(diameter_in: float, angle_deg: float) -> _Reduction:
    if diameter_in < factor("small-dowel-limit"):
        term = reduction_term(diameter_in)
        return _Reduction(term, term, term)
    turn = 1 + factor("reduction-angle") * angle_deg / 90
    return _Reduction(factor("reduction-I") * turn, factor("reduction-II") * turn, factor("reduction-III-IV") * turn)


def _factors(d: float, main: Bearing, side: Bearing, bending_psi: float) -> _Factors:
    """k1, k2, k3 of NDS 2018 Table 12.3.1A."""
    re, rt = main.strength_psi / side.strength_psi, main.length_in / side.length_in
    root = math.sqrt(re + 2 * re**2 * (1 + rt + rt**2) + rt**2 * re**3)
    bend = 2 * bending_psi * d**2 / (3 * main.strength_psi)
    return _Factors(
        k1=(root - re * (1 + rt)) / (1 + re),
        k2=-1 + math.sqrt(2 * (1 + re) + bend * (1 + 2 * re) / main.length_in**2),
        k3=-1 + math.sqrt(2 * (1 + re) / re + bend * (2 + re) / side.length_in**2),
    )
