"""Lateral value of one nail or bolt in single shear. NDS 2018 chapter 12."""

from __future__ import annotations

import math
from typing import NamedTuple

from notelint.mechanics.worked import Worked, plain, pounds
from notelint.mechanics.yielding import Bearing, YieldModes, reduction_term, wood_bearing_psi, yield_modes
from notelint.trade.inches import inches
from notelint.trade.tables import factor, gauge_thickness, nail_bending_yield


class SideMember(NamedTuple):
    """What the fastener goes through first: wood by its specific gravity, or steel by its bearing strength in psi."""

    thickness_in: float
    gravity: float | None = None
    steel_psi: float | None = None


class Lateral(Worked):
    """Lateral value of one fastener, pounds; `value_lb` is None where the clause allows none."""

    value_lb: float | None
    reference_lb: float  # Z before penetration, duration and toe-nail factors
    mode: str
    penetration_factor: float


def wood_side(thickness_in: float, gravity: float) -> SideMember:
    """A side member of wood."""
    return SideMember(thickness_in, gravity=gravity)


def steel_side(thickness_in: float) -> SideMember:
    """A side plate of steel: sheet steel bearing under 1/4 in, plate from there. NDS 2018 Tables 12P and 12B, footnote 2."""
    name = "steel-bearing-sheet" if thickness_in < factor("small-dowel-limit") else "steel-bearing-plate"
    return SideMember(thickness_in, steel_psi=factor(name))


def gauge_side(gauge: int) -> SideMember | None:
    """A side plate of sheet steel, as thick as NDS 2018 Table 12P counts its gauge; None for a gauge not in that table."""
    found = gauge_thickness(gauge)
    return steel_side(found.nds_in) if found and found.nds_in is not None else None


def nail_lateral(
    diameter_in: float, length_in: float, gravity: float, side: SideMember, *, duration: float = 1.0, toe_nail: bool = False
) -> Lateral | None:
    """Lateral value of a nail through `side` into wood of specific gravity `gravity`, single shear, dry.

    Z by the yield equations as tabulated (penetration of 10 diameters), times penetration / 10 D where it is less (6 D at least:
    12.1.6.4), times the duration of load (Table 2.3.2), times 0.83 for toe-nails (12.5.4). None where no table gives the nail's
    bending yield strength.
    """
    band = nail_bending_yield(diameter_in)
    if band is None:
        return None
    side, held = _toe_nailed(length_in, side) if toe_nail else (side, length_in - side.thickness_in)
    main = Bearing(_tabulated_length(diameter_in), wood_bearing_psi(gravity, diameter_in))
    modes = yield_modes(diameter_in, main, _bearing(side, diameter_in), band.yield_psi)
    share = _penetration_factor(held, diameter_in)
    toe = factor("toe-nail-lateral") if toe_nail else 1.0
    lines = (
        f"bearing of the main member, G = {plain(gravity)}: {main.strength_psi:,.0f} psi (NDS 2018 Table 12.3.3)",
        f"bending yield of a {diameter_in:.3f} in nail: {band.yield_psi:,.0f} psi ({band.cite})",
        _modes_line(modes, f"divided by {plain(reduction_term(diameter_in))}"),
        *_factor_lines(modes.least, held, diameter_in, share, duration, toe),
    )
    value = modes.least * share * duration * toe if share else None
    return Lateral(value_lb=value, reference_lb=modes.least, mode=modes.governing, penetration_factor=share, lines=lines)


def bolt_lateral(
    diameter_in: float, main: Bearing, side: SideMember, *, main_angle_deg: float = 0.0, side_angle_deg: float = 0.0, duration: float = 1.0
) -> Lateral:
    """Lateral value of a bolt in single shear; the main member may be wood or concrete (its bearing is given). NDS 2018 12.3.1.

    Angles are of the load to the grain, degrees. Geometry and group factors are not applied.
    """
    angle = max(main_angle_deg, side_angle_deg)
    modes = yield_modes(diameter_in, main, _bearing(side, diameter_in, side_angle_deg), factor("bolt-bending-yield"), angle)
    value = modes.least * duration
    bends = f"the bolt bends at {factor('bolt-bending-yield'):,.0f} psi (NDS 2018 Table I1)"
    lines = (
        f"main member: {main.strength_psi:,.0f} psi over {inches(main.length_in)} in; {bends}",
        _modes_line(modes, "divided by the reduction terms of Table 12.3.1B"),
        f"{pounds(modes.least)} x {plain(duration)} (duration of load, Table 2.3.2) = {pounds(value)} for each bolt",
    )
    return Lateral(value_lb=value, reference_lb=modes.least, mode=modes.governing, penetration_factor=1.0, lines=lines)


def concrete_bearing(embedment_in: float) -> Bearing:
    """Concrete as the main member of a sill bolt. NDS 2018 Table 12E."""
    return Bearing(embedment_in, factor("concrete-bearing"))


def _bearing(side: SideMember, diameter_in: float, angle_deg: float = 0.0) -> Bearing:
    if side.thickness_in <= 0:
        raise ValueError(f"a side member is thicker than {side.thickness_in} in")
    if side.steel_psi is not None:
        return Bearing(side.thickness_in, side.steel_psi)
    if side.gravity is None:
        raise ValueError("a side member needs a specific gravity or a steel bearing strength")
    return Bearing(side.thickness_in, wood_bearing_psi(side.gravity, diameter_in, angle_deg))


def _tabulated_length(diameter_in: float) -> float:
    """Bearing length in the main member that the printed tables assume: 10 D less half the tip of 2 D (12.3.5.3)."""
    return (factor("penetration-full") - factor("nail-tip") / 2) * diameter_in


def _toe_nailed(length_in: float, side: SideMember) -> tuple[SideMember, float]:
    """Side member and penetration of a toe-nail: started at a third of its length, at 30 degrees. NDS 2018 12.1.6.3, 12.3.10.2."""
    third = length_in / factor("toe-nail-start")
    held = length_in * math.cos(math.radians(factor("toe-nail-angle"))) - third
    return side._replace(thickness_in=min(side.thickness_in, third)), held


def _penetration_factor(held_in: float, diameter_in: float) -> float:
    """1 from 10 diameters, in proportion down to 6, nothing below. NDS 2018 12.1.6.4 and Table 12N, footnote 3."""
    if held_in < factor("penetration-minimum") * diameter_in - 1e-9:
        return 0.0
    return min(1.0, held_in / (factor("penetration-full") * diameter_in))


def _modes_line(modes: YieldModes, reduced: str) -> str:
    each = ", ".join(f"{name} {value:,.0f}" for name, value in modes._asdict().items())
    return f"yield modes in lb (NDS 2018 Table 12.3.1A), {reduced}: {each}; the least is {modes.governing}, {pounds(modes.least)}"


def _factor_lines(least_lb: float, held_in: float, diameter_in: float, share: float, duration: float, toe: float) -> tuple[str, ...]:
    reach = f"penetration {plain(held_in)} in is {plain(held_in / diameter_in, 1)} diameters"
    if not share:
        return (f"{reach}, under the {plain(factor('penetration-minimum'))} that NDS 2018 12.1.6.4 asks for: no value",)
    parts = [pounds(least_lb)]
    if share < 1:
        parts.append(f"{plain(share)} (penetration / 10 D)")
    if toe != 1:
        parts.append(f"{plain(toe)} (toe-nail, 12.5.4)")
    parts.append(f"{plain(duration)} (duration of load, Table 2.3.2)")
    return (reach, f"{' x '.join(parts)} = {pounds(least_lb * share * toe * duration)} for each nail")
