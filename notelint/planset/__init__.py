"""Opening a plan set safely; words and boxes; title blocks; sheets without text."""

from __future__ import annotations

from notelint.planset.document import crop
from notelint.planset.sheets import PlanSet, read_plan_set

__all__ = ["PlanSet", "crop", "read_plan_set"]
