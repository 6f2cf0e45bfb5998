"""The rules: loaded from files, run over a case."""

from notelint.rulebook.case import Case
from notelint.rulebook.loader import load_rules
from notelint.rulebook.run import run_rules
from notelint.rulebook.schema import Rule

__all__ = ["Case", "Rule", "load_rules", "run_rules"]
