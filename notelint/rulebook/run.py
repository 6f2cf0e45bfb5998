"""Running the rules over a case. A rule whose check fails is named and the run goes on."""

from __future__ import annotations

import logging
from collections.abc import Sequence

from notelint.model import Finding
from notelint.rulebook.case import Case
from notelint.rulebook.checks import check_for
from notelint.rulebook.schema import Rule

_log = logging.getLogger(__name__)


def run_rules(rules: Sequence[Rule], case: Case) -> tuple[tuple[Finding, ...], tuple[str, ...]]:
    """All findings in the order of the rules, and one line for each rule that could not run."""
    findings: list[Finding] = []
    failed: list[str] = []
    for rule in rules:
        parameters = {k: v for k, v in rule.check.items() if k != "kind"}
        try:
            found = check_for(rule.check["kind"], parameters)(case)
        except Exception as error:  # a mistake in one check must not cost the other questions; it is reported, never hidden
            _log.debug("rule %s failed", rule.name, exc_info=True)
            failed.append(f"rule {rule.name} could not run ({type(error).__name__}: {str(error)[:120]})")
            continue
        findings += [f.model_copy(update={"rule": rule.name}) for f in found]
    return tuple(findings), tuple(failed)
