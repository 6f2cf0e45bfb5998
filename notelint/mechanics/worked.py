"""What all results share: the lines of arithmetic, and how numbers are written in them."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from notelint.model import Record
from notelint.trade.inches import inches


class Worked(Record):
    """A result with the arithmetic that leads to it, one step a line, units and sources in each."""

    lines: tuple[str, ...]


class Amount(Worked):
    """One number and its unit."""

    value: float
    unit: str


class Layer(NamedTuple):
    """A member or piece of hardware that a fastener, bolt or strap passes: its name and its thickness in inches."""

    name: str
    thickness_in: float


def total(layers: Sequence[Layer]) -> float:
    """Thickness of all layers together, inches."""
    return sum(layer.thickness_in for layer in layers)


def pounds(value_lb: float) -> str:
    """A force for a line of arithmetic: "1,240 lb"."""
    return f"{value_lb:,.0f} lb"


def plain(value: float, places: int = 2) -> str:
    """A number without idle noughts: "1.6", "0.77", "12"."""
    text = f"{value:,.{places}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def named(layer: Layer) -> str:
    """A layer with its thickness: "1-1/2 in plate"."""
    return f"{inches(layer.thickness_in)} in {layer.name}"


def count_word(number: int) -> str:
    """Small numbers in words: "one", "two"; others in digits."""
    words = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")
    return words[number] if 0 <= number < len(words) else str(number)


def plural(number: int, noun: str) -> str:
    """A count with its noun: "1 thread", "9 spaces"."""
    return f"{number} {noun}" if number == 1 else f"{number} {noun}s"
