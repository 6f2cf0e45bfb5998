"""The rulebook on a terminal and as the README's table."""

from __future__ import annotations

from pathlib import Path

from rich.console import RenderableType
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from notelint.errors import BadRules
from notelint.model import STAGES
from notelint.rulebook import Rule, load_rules
from notelint.rulebook.checks import kinds
from notelint.writers.terminal import Trimmed, make_console


def print_rules(office: Path | None = None) -> None:
    """Every rule: name, stage, what it asks about."""
    console = make_console()
    table = Table(box=None, pad_edge=False, padding=(0, 2, 0, 0))
    for head in ("rule", "family", "before", "why"):
        table.add_column(head)
    for rule in load_rules(office):
        table.add_row(Text(rule.name), Text(rule.family), Text(rule.ask_before), Text(_first_sentence(rule.why)))
    console.print(Trimmed(table))


def print_rule(name: str, office: Path | None = None) -> None:
    """One rule in full. Raises BadRules where none has that name."""
    rule = next((r for r in load_rules(office) if r.name == name), None)
    if rule is None:
        raise BadRules(f"no rule is named {name!r}; `notelint rules` lists them")
    console = make_console()
    said = {
        "Question": " ".join(rule.question.split()),
        "Why": " ".join(rule.why.split()),
        "Sources": "; ".join(rule.source_lines()),
        "Check": ", ".join(f"{k} {v}" for k, v in rule.check.items()),
    }
    parts = [Text.assemble((rule.name, "bold"), f"  {rule.family}, ask before {rule.ask_before}")]
    parts += [Text.assemble((f"\n{head}: ", "bold"), body) for head, body in said.items()]
    for head, examples in (("Asks", rule.examples.asks), ("Stays silent", rule.examples.silent)):
        parts += [Text(f"\n{head}", "bold"), *(Text(f"  {e.name}: {e.because}") for e in examples)]
    console.print(Trimmed(*parts))


def print_checks() -> None:
    """The kinds of check a rule may name: those with parameters, which an office's rule fills in; then the others by name."""
    console = make_console()
    known = sorted(kinds().items())
    parts: list[RenderableType] = [Text("For an office's own rules, with their parameters", "bold")]
    for kind, (model, _) in known:
        if model.model_fields:
            parts += [Text(), Text.assemble((kind, "bold"), f": {', '.join(model.model_fields)}")]
            parts += [Padding(Text(" ".join(model.__doc__.split())), (0, 0, 0, 4), expand=False)] if model.__doc__ else []
    fixed = ", ".join(kind for kind, (model, _) in known if not model.model_fields)
    console.print(Trimmed(*parts, Text(), Text.assemble(("Without parameters, each the check of one built-in rule", "bold"), f": {fixed}")))


def rules_table() -> str:
    """The rulebook as a table for the README, by family and stage."""
    rules = sorted(load_rules(), key=lambda r: (r.family, STAGES.index(r.ask_before), r.name))
    lines = ["| rule | family | ask before | why |", "| --- | --- | --- | --- |"]
    lines += [f"| `{r.name}` | {r.family} | {r.ask_before} | {_first_sentence(r.why)} |" for r in rules]
    return "\n".join(lines)


def _first_sentence(text: str) -> str:
    return " ".join(text.split()).split(". ")[0].rstrip(".") + "."


__all__ = ["Rule", "print_checks", "print_rule", "print_rules", "rules_table"]
