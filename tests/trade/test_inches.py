"""Inches as a builder writes them."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from notelint.trade.inches import inches, size


@pytest.mark.parametrize(
    "value, text",
    [
        (3.5, "3-1/2"),
        (0.4375, "7/16"),
        (1.0, "1"),
        (0.148, "0.148"),
        (19.2, "19.2"),
        (0.0, "0"),
        (-1.5, "-1-1/2"),
        (14.0, "14"),
        (0.0625, "1/16"),
    ],
)
def test_length_in_inches(value: float, text: str) -> None:
    assert inches(value) == text


def test_nail_size() -> None:
    assert (size(0.148, 3.0), size(None, 1.5), size(0.162, None)) == ("0.148 in x 3 in", "1-1/2 in", "0.162 in")


@given(st.integers(0, 96 * 16))
def test_sixteenths_read_back(sixteenths: int) -> None:
    whole, _, fraction = inches(sixteenths / 16).rpartition("-")
    parts = (fraction or whole).split("/")
    value = int(whole or 0) + (int(parts[0]) / int(parts[1]) if len(parts) == 2 else int(parts[0]))
    assert value == sixteenths / 16
