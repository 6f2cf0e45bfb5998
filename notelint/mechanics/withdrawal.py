"""Withdrawal from side grain: nails, wood screws and lag screws. NDS 2018 12.2."""

from __future__ import annotations

from notelint.mechanics.worked import Amount, plain, pounds
from notelint.trade.tables import factor


def nail_withdrawal(gravity: float, diameter_in: float, penetration_in: float, *, duration: float = 1.0, toe_nail: bool = False) -> Amount:
    """Pounds that a plain-shank nail holds: 1380 G^2.5 D for each inch. NDS 2018 Eq. 12.2-3; toe-nails times 0.67 (12.5.4)."""
    per_inch = factor("withdrawal-nail-coefficient") * float(gravity ** factor("withdrawal-nail-exponent")) * diameter_in
    toe = factor("toe-nail-withdrawal") if toe_nail else 1.0
    sums = f"{plain(factor('withdrawal-nail-coefficient'))} x {plain(gravity)}^2.5 x {diameter_in:.3f}"
    first = f"{sums} = {plain(per_inch)} lb/in (NDS 2018 Eq. 12.2-3)"
    return _held(first, per_inch, penetration_in, duration, toe)


def screw_withdrawal(gravity: float, diameter_in: float, thread_in: float, *, duration: float = 1.0) -> Amount:
    """Pounds that a cut-thread wood screw holds: 2850 G^2 D for each inch of thread. NDS 2018 Eq. 12.2-2."""
    per_inch = factor("withdrawal-screw-coefficient") * float(gravity ** factor("withdrawal-screw-exponent")) * diameter_in
    sums = f"{plain(factor('withdrawal-screw-coefficient'))} x {plain(gravity)}^2 x {diameter_in:.3f}"
    first = f"{sums} = {plain(per_inch)} lb/in (NDS 2018 Eq. 12.2-2)"
    return _held(first, per_inch, thread_in, duration, 1.0)


def lag_withdrawal(gravity: float, diameter_in: float, thread_in: float, *, duration: float = 1.0) -> Amount:
    """Pounds that a lag screw holds: 1800 G^1.5 D^0.75 for each inch of thread, tip not counted. NDS 2018 Eq. 12.2-1."""
    shank = diameter_in ** factor("withdrawal-lag-diameter-exponent")
    per_inch = factor("withdrawal-lag-coefficient") * gravity ** factor("withdrawal-lag-exponent") * shank
    sums = f"{plain(factor('withdrawal-lag-coefficient'))} x {plain(gravity)}^1.5 x {plain(diameter_in, 3)}^0.75"
    first = f"{sums} = {plain(per_inch)} lb/in (NDS 2018 Eq. 12.2-1)"
    return _held(first, per_inch, thread_in, duration, 1.0)


def _held(first: str, per_inch: float, depth_in: float, duration: float, toe: float) -> Amount:
    held = max(depth_in, 0.0)
    value = per_inch * held * duration * toe
    parts = [f"{plain(per_inch)} lb/in", f"{plain(held, 3)} in"]
    if toe != 1:
        parts.append(f"{plain(toe)} (toe-nail, 12.5.4)")
    parts.append(f"{plain(duration)} (duration of load, Table 2.3.2)")
    return Amount(value=value, unit="lb", lines=(first, f"{' x '.join(parts)} = {pounds(value)}"))
