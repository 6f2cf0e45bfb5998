"""Small plan sets in words for the load path's tests."""

from __future__ import annotations

from notelint.language import read_language
from notelint.loadpath import Overrides, infer_building, trace
from notelint.model import Building, LoadPath, Reading
from notelint.rulebook.miniset import lay_out_example
from notelint.rulebook.schema import Example


def read(*notes: object, sheets: dict[str, list[object]] | None = None, **building: object) -> tuple[Reading, Building, LoadPath]:
    """Reads notes of one sheet (or whole sheets) and traces their load path."""
    example = Example.model_validate({"name": "small", "because": "test", "sheets": sheets or {"S-1": list(notes)}})
    layout = lay_out_example(example)
    reading = read_language(layout)
    found = infer_building(layout, reading, Overrides(**building))  # type: ignore[arg-type]
    return reading, found, trace(layout, reading, found)


def states(path: LoadPath) -> dict[tuple[str, int], str]:
    """State by joint and storey."""
    return {(j.joint, j.storey): j.state for j in path.joints}
