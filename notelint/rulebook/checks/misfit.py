"""placeholder"""

from __future__ import annotations

from notelint.rulebook.case import Case


def foreign_passages(case: Case) -> frozenset[str]:
    return frozenset()
