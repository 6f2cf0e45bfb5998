"""The kinds of check a rule file may name. Each kind is a model of its parameters and a pure function of a case."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from functools import cache
from typing import Any

from pydantic import BaseModel

from notelint.model import Finding
from notelint.rulebook.case import Case

Kinds = dict[str, tuple[type[BaseModel], Callable[[Any, Case], Iterable[Finding]]]]


@cache
def kinds() -> Kinds:
    """Every kind of check by name, with the model of its parameters and its function."""
    from notelint.rulebook.checks import cut_plates, fasteners, general, joints, marks, penetration, placing, stacking, values, wording

    found: Kinds = {}
    for module in (general, joints, fasteners, penetration, cut_plates, stacking, placing, marks, values, wording):
        for name, pair in module.KINDS.items():
            if name in found:
                raise ValueError(f"two checks are named {name}")
            found[name] = pair
    return found


def check_parameters(kind: object) -> type[BaseModel] | None:
    """The model of a check's parameters; None where no check is of that kind."""
    pair = kinds().get(kind) if isinstance(kind, str) else None
    return pair[0] if pair else None


def check_for(kind: str, parameters: dict[str, Any]) -> Callable[[Case], list[Finding]]:
    """The check of this kind with its parameters filled in."""
    model, function = kinds()[kind]
    filled = model.model_validate(parameters)
    return lambda case: list(function(filled, case))
