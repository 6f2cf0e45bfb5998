"""Runs rules' own examples and says what is wrong.

    python -m notelint.rulebook [NAME | FILE | FOLDER]...

NAME is a rule that comes with notelint, FILE one rule file, FOLDER an office's folder of rules (its office.yaml is checked too). Without
any, all rules that come with notelint are run. Exits 0 where every example comes out as its file says, 1 where one does not, 2 where a
file is wrong.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterator, Sequence
from difflib import get_close_matches
from pathlib import Path

from notelint.errors import BadRules, NotelintError
from notelint.rulebook.examples import try_rule
from notelint.rulebook.loader import load_built_in, load_folder, load_rule, load_rules
from notelint.rulebook.schema import Rule

LEAST_ASKS, LEAST_SILENT = 2, 3  # of the rules that come with notelint; an office's rule needs one of each


def rules_named(name: str) -> tuple[Rule, ...]:
    """The rules meant by a word of the command line: a folder's, a file's, or the built-in one of that name. Raises BadRules."""
    path = Path(name)
    if path.is_dir():
        load_rules(path)  # the folder as a whole: its settings, and no name of a built-in rule
        return load_folder(path)
    if path.is_file():
        return (load_rule(path),)
    known = {rule.name: rule for rule in load_built_in()}
    if name not in known:
        near = get_close_matches(name, known, 1)
        hint = f"; did you mean {near[0]!r}?" if near else "; `notelint rules` lists them"
        raise BadRules(f"{name}: neither a folder, a rule file nor the name of a rule{hint}")
    return (known[name],)


def troubles(rule: Rule) -> Iterator[str]:
    """What is wrong with a rule's examples, a line each; nothing where all is well."""
    office = rule.family == "office"
    asks, silent = len(rule.examples.asks), len(rule.examples.silent)
    least = (1, 1) if office else (LEAST_ASKS, LEAST_SILENT)
    if asks < least[0] or silent < least[1]:
        yield f"has {asks} examples that ask and {silent} that stay silent; {least[0]} and {least[1]} are the least"
    names = [e.name for e in (*rule.examples.asks, *rule.examples.silent)]
    yield from (f"two examples are named {name!r}" for name in sorted({n for n in names if names.count(n) > 1}))
    for outcome in try_rule(rule):
        if outcome.trouble:
            yield f"{outcome.side}, {outcome.example!r}: {outcome.trouble}"


def main(arguments: Sequence[str] | None = None) -> int:
    """Read the arguments, run, print."""
    parser = argparse.ArgumentParser(prog="python -m notelint.rulebook", description="run rules' own examples")
    parser.add_argument("names", nargs="*", metavar="NAME", help="a rule's name, a rule file, or a folder of rules")
    options = parser.parse_args(arguments)
    try:
        rules = [r for name in options.names for r in rules_named(name)] if options.names else list(load_built_in())
    except NotelintError as error:
        sys.stderr.write(f"{error}\n")
        return error.exit_code
    wrong = 0
    for rule in rules:
        found = list(troubles(rule))
        wrong += bool(found)
        count = len(rule.examples.asks) + len(rule.examples.silent)
        sys.stdout.write(f"{rule.name}: {count} examples, {'as its file says' if not found else 'not as its file says:'}\n")
        sys.stdout.writelines(f"    {line}\n" for line in found)
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
