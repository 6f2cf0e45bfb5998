"""Running the rules over a case. A rule whose check fails is named and the run goes on."""

from __future__ import annotations

import logging
from collections.abc import Sequence
from contextlib import suppress

from notelint.abreast import of_each
from notelint.model import Finding
from notelint.rulebook.case import Case
from notelint.rulebook.checks import check_for
from notelint.rulebook.schema import Rule

_MANY = 300  # requirements from which a second process is worth its start
_log = logging.getLogger(__name__)


def run_rules(rules: Sequence[Rule], case: Case, *, beside: bool = False) -> tuple[tuple[Finding, ...], tuple[str, ...]]:
    """All findings in the order of the rules, and one line for each rule that could not run; with `beside` in two processes at most."""
    beside = beside and len(case.reading.requirements) >= _MANY
    if beside:
        with suppress(Exception):  # the rules that need what fails will name it
            case.prepare()
    ran = of_each(lambda i: _run(rules[i], case), len(rules), beside=beside)
    return tuple(f for found, _ in ran for f in found), tuple(line for _, line in ran if line)


def _run(rule: Rule, case: Case) -> tuple[list[Finding], str | None]:
    """What one rule finds, or why it could not run."""
    parameters = {k: v for k, v in rule.check.items() if k != "kind"}
    try:
        found = check_for(rule.check["kind"], parameters)(case)
    except Exception as error:  # a mistake in one check must not cost the other questions; it is reported, never hidden
        _log.debug("rule %s failed", rule.name, exc_info=True)
        return [], f"rule {rule.name} could not run ({type(error).__name__}: {str(error)[:120]})"
    return [f.model_copy(update={"rule": rule.name}) for f in found], None
