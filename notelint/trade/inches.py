"""Inches as a builder writes them."""

from __future__ import annotations

from fractions import Fraction

_SIXTEENTHS = 16


def inches(value_in: float) -> str:
    """A length in inches for a line of arithmetic: "3-1/2", "7/16", "0.148", "19.2".

    Sixteenths are written as fractions; anything else as a decimal of at most three places.
    """
    if value_in < 0:
        return f"-{inches(-value_in)}"
    parts = Fraction(value_in).limit_denominator(1000) * _SIXTEENTHS
    if parts.denominator != 1 or abs(float(parts) / _SIXTEENTHS - value_in) > 1e-9:
        return f"{value_in:.3f}".rstrip("0").rstrip(".")
    whole, rest = divmod(Fraction(int(parts), _SIXTEENTHS), 1)
    if not rest:
        return str(whole)
    return f"{whole}-{rest}" if whole else str(rest)


def decimal(value_in: float, places: int = 2) -> str:
    """A length in inches as a decimal without idle noughts: "10.78", "0.5"."""
    text = f"{value_in:.{places}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def size(diameter_in: float | None, length_in: float | None) -> str:
    """A nail's size: "0.148 in x 3 in", or the one of the two that is given."""
    parts = ((f"{diameter_in:.3f} in" if diameter_in is not None else None), (f"{inches(length_in)} in" if length_in is not None else None))
    return " x ".join(part for part in parts if part) or "no size"
