"""How much a floor line closes as its lumber dries. USDA Wood Handbook GTR-190 Eq. 13-2; FPL-RP-489."""

from __future__ import annotations

from collections.abc import Sequence

from notelint.mechanics.worked import Amount, Layer, named, plain, total
from notelint.trade.rows import ShrinkageCoefficient
from notelint.trade.tables import minimum, shrinkage_coefficient, wood_factor


def floor_shrinkage(
    members: Sequence[Layer], from_percent: float, to_percent: float, coefficient: ShrinkageCoefficient | None = None
) -> Amount:
    """Inches by which members lying one on another get thinner as they dry: size x coefficient x points of moisture.

    USDA Wood Handbook GTR-190 Eq. 13-2. Without a coefficient the rule of 1 percent for 4 points (Western Lumber Grading Rules 1991,
    4.00) is used. Moisture above fiber saturation (28 percent, FPL-RP-489) does not count. Negative where the wood takes up moisture.
    """
    used = coefficient or average_coefficient()
    limit = minimum("fiber-saturation").value
    start, end = min(from_percent, limit), min(to_percent, limit)
    size = total(members)
    value = size * used.per_percent * (start - end)
    lines: tuple[str, ...] = (
        f"{' + '.join(named(layer) for layer in members) or 'nothing'} = {plain(size)} in across the grain",
        f"{plain(size)} in x {plain(used.per_percent, 5)} x ({plain(start)} - {plain(end)}) percent of moisture = "
        f"{plain(value)} in ({used.cite})",
    )
    if max(from_percent, to_percent) > limit:
        lines = (*lines, f"moisture above {plain(limit)} percent is not counted: wood shrinks only below it")
    return Amount(value=value, unit="in", lines=lines)


def average_coefficient() -> ShrinkageCoefficient:
    """1 percent for each 4 points of moisture. Western Lumber Grading Rules 1991, 4.00."""
    found = shrinkage_coefficient("framing lumber", "across the grain")
    if found is None:
        raise KeyError("framing lumber")
    return found


def shrinkage_from_green_percent(moisture_percent: float, *, face: str = "width") -> float:
    """Shrinkage, percent of the green size, of lumber dried to this moisture (8 to 19 percent), most species. FPL-RP-489 (1989).

    `face` is "width" or "thickness".
    """
    return wood_factor(f"green-shrinkage-{face}-start") - wood_factor(f"green-shrinkage-{face}-slope") * moisture_percent


def dried_size(size_in: float, from_percent: float, to_percent: float, *, face: str = "width") -> Amount:
    """Size in inches after drying between two moistures of 8 to 19 percent. FPL-RP-489 (1989)."""
    before, after = (shrinkage_from_green_percent(moisture, face=face) for moisture in (from_percent, to_percent))
    value = size_in * (100 - after) / (100 - before)
    line = f"{plain(size_in)} in x (100 - {plain(after, 3)}) / (100 - {plain(before, 3)}) = {plain(value, 3)} in (FPL-RP-489)"
    return Amount(value=value, unit="in", lines=(line,))
