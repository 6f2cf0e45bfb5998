"""The commands. Each parses, calls one function of the library, prints, and returns the exit code of the design.

0 nothing to ask; 1 questions; 2 wrong usage; 3 a plan set could not be read.
"""

from __future__ import annotations

import os
import sys
from pathlib import Path
from typing import Annotated

import typer

from notelint.errors import NotelintError
from notelint.loadpath.building import Overrides

app = typer.Typer(
    add_completion=False, no_args_is_help=True, pretty_exceptions_enable=False, help="Questions for the designer from a plan set."
)

NOTHING, QUESTIONS, USAGE, UNREAD = 0, 1, 2, 3


@app.command("review")
def review_command(
    plan_sets: Annotated[list[Path], typer.Argument(metavar="PLANSET...", help="Plan sets, PDF.")],
    write: Annotated[str, typer.Option("--write", help="Files to write: page,letter,log,marked,csv,json,md")] = "",
    out: Annotated[Path, typer.Option("--out", help="Folder for the files.")] = Path(),
    rules: Annotated[Path | None, typer.Option("--rules", help="Folder of your office's own rules.")] = None,
    hardware: Annotated[Path | None, typer.Option("--hardware", help="Your hardware list, csv.")] = None,
    storeys: Annotated[int | None, typer.Option(min=1, max=6, help="Framed storeys, where the set's words mislead.")] = None,
    wind: Annotated[float | None, typer.Option(min=50, max=250, help="Design wind speed, mph ultimate.")] = None,
    exposure: Annotated[str | None, typer.Option(help="Exposure category, B, C or D.")] = None,
    roof: Annotated[str | None, typer.Option(help="trusses, rafters, roof joists")] = None,
    foundation: Annotated[str | None, typer.Option(help="slab, crawl space, basement, piers")] = None,
    code: Annotated[str | None, typer.Option(help='Governing code, such as "IRC 2021".')] = None,
) -> None:
    """Read plan sets and ask what the designer should answer before the work starts."""
    from notelint.review import Options, review
    from notelint.writers import write as write_files
    from notelint.writers.terminal import print_review

    options = Options(building=Overrides(storeys, roof, foundation, wind, exposure, code), rules=rules, hardware=hardware)
    formats = [f.strip() for f in write.split(",") if f.strip()]
    worst = NOTHING
    for plan_set in plan_sets:
        try:
            done = review(plan_set, options)
            written = write_files(done, formats, out, plan_set=plan_set) if formats else ()
        except NotelintError as error:
            print(f"notelint: {error}", file=sys.stderr)
            worst = max(worst, error.exit_code)
            if error.exit_code == USAGE:
                break
            continue
        print_review(done, written)
        worst = max(worst, QUESTIONS if done.questions else NOTHING)
    raise typer.Exit(worst)


def main() -> None:
    """Entry point: no traceback reaches a user, a closed pipe ends quietly."""
    try:
        app()
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        sys.exit(NOTHING)
