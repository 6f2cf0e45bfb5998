"""Writes the README's table of rules anew from the rule files.

    python -m notelint.writers.readme [--check] [README.md]

`--check` writes nothing and exits 1 where the table is not up to date.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence
from pathlib import Path

from notelint.errors import CannotWrite, NotelintError
from notelint.writers.rulebook import rules_table

START, END = "<!-- rules:", "<!-- end of rules -->"


def with_table(text: str, table: str) -> str:
    """The README's text with the table between its two markers. Raises CannotWrite where they are not there, in that order."""
    start = text.find(START)
    line_end = text.find("\n", start)
    end = text.find(END, max(line_end, 0))
    if start < 0 or line_end < 0 or end < 0:
        raise CannotWrite(f"the markers {START} ... --> and {END} do not both stand in the file, in that order, each on its own line")
    return f"{text[: line_end + 1]}{table}\n{text[end:]}"


def main(arguments: Sequence[str] | None = None) -> int:
    """Read the arguments and write."""
    parser = argparse.ArgumentParser(prog="python -m notelint.writers.readme", description="the README's table of rules")
    parser.add_argument("file", nargs="?", type=Path, default=Path(__file__).resolve().parents[2] / "README.md")
    parser.add_argument("--check", action="store_true", help="write nothing; exit 1 where the table is not up to date")
    options = parser.parse_args(arguments)
    try:
        old = options.file.read_text(encoding="utf-8")
        new = with_table(old, rules_table())
        if not options.check and new != old:
            options.file.write_text(new, encoding="utf-8")
    except OSError as error:
        sys.stderr.write(f"{options.file}: {error.strerror}\n")
        return CannotWrite.exit_code
    except NotelintError as error:
        sys.stderr.write(f"{options.file}: {error}\n")
        return error.exit_code
    if options.check and new != old:
        sys.stderr.write(f"{options.file}: the table of rules is not up to date; run python -m notelint.writers.readme\n")
        return 1
    return 0


if __name__ == "__main__":
    sys.exit(main())
