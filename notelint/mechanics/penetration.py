"""How far a fastener reaches into the member that is to hold it, and whether its point comes out behind."""

from __future__ import annotations

from collections.abc import Sequence

from notelint.mechanics.worked import Layer, Worked, named, plain, total
from notelint.trade.inches import inches
from notelint.trade.tables import factor

_ROUNDING_IN = 1e-6


class Penetration(Worked):
    """Point penetration in inches against what is needed, and how far the point stands out behind."""

    penetration_in: float
    needed_in: float
    enough: bool
    through_in: float  # 0 where the point stays in, or where nothing is known of what stands behind


def penetration(
    length_in: float,
    diameter_in: float,
    sides: Sequence[Layer],
    *,
    holding: Layer | None = None,
    behind: Sequence[Layer] = (),
    into: str = "member",
) -> Penetration:
    """Length less the side members, against 6 diameters (NDS 2018 12.1.6.4), and against the thickness of the members behind.

    `sides` are passed before the member that holds the fastener; `holding` is that member where its thickness is known and
    `behind` are the members after it. `into` names the holding member where only its name is known. A fastener exactly as long
    as all members are thick does not come through. Inches.
    """
    reach = length_in - total(sides)
    needed = factor("penetration-minimum") * diameter_in
    enough = reach >= needed - _ROUNDING_IN
    name = holding.name if holding else into
    least = f"{plain(factor('penetration-minimum'))} x {diameter_in:.3f} in = {plain(needed)} in needed (NDS 2018 12.1.6.4)"
    lines = (_reach_line(length_in, sides, reach, name), f"{least}: {'enough' if enough else 'too little'}")
    if holding is None:
        return Penetration(penetration_in=reach, needed_in=needed, enough=enough, through_in=0.0, lines=lines)
    members = (*sides, holding, *behind)
    out = length_in - total(members)
    through = out if out > _ROUNDING_IN else 0.0
    return Penetration(
        penetration_in=reach,
        needed_in=needed,
        enough=enough,
        through_in=through,
        lines=(*lines, _through_line(length_in, members, through)),
    )


def comes_through(length_in: float, members: Sequence[Layer]) -> float:
    """How far, in inches, a fastener stands out behind all members that it passes; 0 where it does not. Plain arithmetic."""
    out = length_in - total(members)
    return out if out > _ROUNDING_IN else 0.0


def _reach_line(length_in: float, sides: Sequence[Layer], reach_in: float, name: str) -> str:
    taken = "".join(f" - {named(layer)}" for layer in sides)
    if reach_in < 0:
        return f"{inches(length_in)} in fastener{taken} = {plain(reach_in)} in: it does not reach the {name}"
    return f"{inches(length_in)} in fastener{taken} = {plain(reach_in)} in in the {name}"


def _through_line(length_in: float, members: Sequence[Layer], through_in: float) -> str:
    thick = " + ".join(named(layer) for layer in members)
    whole = f"{thick} = {plain(total(members))} in"
    if through_in:
        return f"{whole}; a {inches(length_in)} in fastener comes {plain(through_in)} in through"
    return f"{whole}; a {inches(length_in)} in fastener stays inside"
