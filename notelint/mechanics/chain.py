"""Uplift as it goes down the building: what each tie has to carry, and whether it can. IRC R602.3.5 for the credit of walls."""

from __future__ import annotations

from notelint.mechanics.conversions import pounds_per_foot
from notelint.mechanics.worked import Amount, Worked, plain, pounds
from notelint.trade.inches import inches
from notelint.trade.tables import minimum


class LinkCheck(Worked):
    """What a tie can carry against what comes to it, pounds at each tie."""

    capacity_lb: float
    demand_lb: float
    enough: bool
    short_by_lb: float


def tie_demand(demand_lb: float, member_spacing_in: float, tie_spacing_in: float) -> Amount:
    """Pounds at each tie, where each member brings `demand_lb` and ties stand at another spacing, inches. Plain arithmetic.

    620 lb at 24 in is 1,240 lb at each tie where every second member is tied (48 in).
    """
    if member_spacing_in <= 0 or tie_spacing_in <= 0:
        raise ValueError("spacings are above zero")
    value = demand_lb * tie_spacing_in / member_spacing_in
    if tie_spacing_in == member_spacing_in:
        line = f"{pounds(demand_lb)} at each member, a tie at each"
    else:
        line = f"{pounds(demand_lb)} x {inches(tie_spacing_in)} in / {inches(member_spacing_in)} in = {pounds(value)} at each tie"
    return Amount(value=value, unit="lb", lines=(line,))


def link_check(
    capacity_lb: float, demand_lb: float, *, tie_spacing_in: float | None = None, member_spacing_in: float | None = None
) -> LinkCheck:
    """A tie's capacity against the demand, scaled where members and ties stand at different stated spacings, inches."""
    if tie_spacing_in and member_spacing_in:
        need = tie_demand(demand_lb, member_spacing_in, tie_spacing_in)
    else:
        need = Amount(value=demand_lb, unit="lb", lines=(f"{pounds(demand_lb)} at each tie",))
    short = max(0.0, need.value - capacity_lb)
    verdict = f"{pounds(short)} short" if short else "enough"
    line = f"capacity {pounds(capacity_lb)} against {pounds(need.value)}: {verdict}"
    return LinkCheck(capacity_lb=capacity_lb, demand_lb=need.value, enough=not short, short_by_lb=short, lines=(*need.lines, line))


def fasteners_capacity(count: int, each_lb: float, what: str = "nails") -> Amount:
    """Pounds that a number of equal fasteners carry together. Plain arithmetic; group and edge effects are not counted."""
    value = count * each_lb
    return Amount(value=value, unit="lb", lines=(f"{count} {what} x {pounds(each_lb)} = {pounds(value)}",))


def wall_uplift(uplift_lb: float, spacing_in: float, walls_above: int = 0) -> Amount:
    """Net uplift, pounds a foot, at a wall top below so many full walls. IRC R602.3.5 item 1.2: 60 plf off for each.

    `uplift_lb` comes from each rafter or truss at `spacing_in` inches. Never below 0.
    """
    start = pounds_per_foot(uplift_lb, spacing_in)
    credit = minimum("wall-uplift-credit")
    value = max(0.0, start.value - walls_above * credit.value)
    if not walls_above:
        return start
    less = f"{walls_above} x {plain(credit.value)} plf for full walls above"
    line = f"{plain(start.value, 1)} plf - {less} = {plain(value, 1)} plf ({credit.cite})"
    return Amount(value=value, unit="plf", lines=(*start.lines, line))


def needs_connectors(uplift_plf: float) -> bool:
    """Whether net uplift at a wall top is more than nails of the fastening schedule may carry: over 100 plf. IRC R602.3.5 item 1.2."""
    return uplift_plf > minimum("wall-uplift-without-connector").value
