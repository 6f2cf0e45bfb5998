"""The commands. Each parses, calls one function of the library, prints, and returns the exit code of the design.

0 nothing to ask; 1 questions; 2 wrong usage; 3 a plan set could not be read.
"""

from __future__ import annotations

import os
import re
import sys
from pathlib import Path
from typing import Annotated, Any

import typer
import typer.core

from notelint import __version__
from notelint.errors import BadOptions, NotelintError
from notelint.loadpath.building import Overrides


class PlainHelp(typer.core.TyperCommand):
    """A command whose help names no types of the program: an argument's own word says what it is."""

    def get_help(self, ctx: Any) -> str:
        """The help text."""
        return re.sub(r"\{(\w+)\}", r"\1", re.sub(r" <[\w\[\] ]+>", "", super().get_help(ctx)))


app = typer.Typer(
    add_completion=False,
    no_args_is_help=True,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,  # plain help: no boxes that cut lines short
)

NOTHING, QUESTIONS, USAGE, UNREAD = 0, 1, 2, 3

PlanSets = Annotated[list[Path], typer.Argument(metavar="PLANSET", help="Plan sets, PDF.")]
Write = Annotated[
    str | None,
    typer.Option(
        "--write", metavar="FORMATS", help="Files to write, joined by commas: page, letter, log, marked, csv, json, md (or none)."
    ),
]
Out = Annotated[Path, typer.Option("--out", metavar="DIR", help="Folder for the files.")]
Rules = Annotated[Path | None, typer.Option("--rules", metavar="DIR", help="Folder of your office's own rules.")]
Hardware = Annotated[Path | None, typer.Option("--hardware", metavar="CSV", help="Your hardware list, csv.")]
# what the user may say of the building: `told` holds the values there are, for these and for a facts file
Storeys = Annotated[str | None, typer.Option("--storeys", metavar="NUMBER", help="Framed storeys, 1 to 6, where the set's words mislead.")]
Wind = Annotated[str | None, typer.Option("--wind", metavar="MPH", help="Design wind speed, mph ultimate, 50 to 250.")]
Exposure = Annotated[str | None, typer.Option("--exposure", metavar="LETTER", help="Exposure category: B, C or D.")]
Roof = Annotated[str | None, typer.Option("--roof", metavar="KIND", help="trusses, rafters or roof joists.")]
Foundation = Annotated[str | None, typer.Option("--foundation", metavar="KIND", help="slab, crawl space, basement or piers.")]
Code = Annotated[str | None, typer.Option("--code", metavar="CODE", help='Governing code and edition, such as "IRC 2021".')]
Facts = Annotated[
    Path | None, typer.Option("--facts", metavar="FILE", help="A facts file; PLANSET.facts.yaml beside the PDF is found by itself.")
]
MemoryMb = Annotated[int, typer.Option("--memory-mb", metavar="MB", min=64, help="Memory that one plan set may take, in MB.")]
Minutes = Annotated[float, typer.Option("--minutes", metavar="MINUTES", min=0.01, help="Time that one plan set may take.")]
Quiet = Annotated[bool, typer.Option("--quiet", "-q", help="Print nothing but errors.")]


def _version(asked: bool) -> None:
    if asked:
        print(f"notelint {__version__}")
        raise typer.Exit


@app.callback()
def main_command(
    version: Annotated[bool, typer.Option("--version", callback=_version, is_eager=True, help="Show the version and exit.")] = False,
) -> None:
    """Questions for the designer, read from a plan set."""


@app.command("review", cls=PlainHelp)
def review_command(
    plan_sets: PlanSets,
    write: Write = None,
    out: Out = Path(),
    rules: Rules = None,
    hardware: Hardware = None,
    facts: Facts = None,
    storeys: Storeys = None,
    wind: Wind = None,
    exposure: Exposure = None,
    roof: Roof = None,
    foundation: Foundation = None,
    code: Code = None,
    memory_mb: MemoryMb = 4096,
    minutes: Minutes = 30.0,
    quiet: Quiet = False,
) -> None:
    """Read plan sets and ask what the designer should answer before the work starts."""
    from notelint.folder.single import files_of, review_alone
    from notelint.guard import Limits
    from notelint.review import Options
    from notelint.writers.terminal import print_review

    formats, limits = _formats(write, quiet), Limits(memory_mb=memory_mb, minutes=minutes)
    worst = NOTHING
    try:
        given = _given(storeys=storeys, wind=wind, exposure=exposure, roof=roof, foundation=foundation, code=code)
    except NotelintError as error:
        raise typer.Exit(_tell(error)) from error
    for plan_set in plan_sets:
        try:
            options = Options(building=_facts(plan_set, facts, given), rules=rules, hardware=hardware)
            done = review_alone(plan_set, options, files_of(formats, out, plan_set), limits=limits, quiet=quiet)
        except NotelintError as error:
            worst = max(worst, _tell(error))
            if error.exit_code == USAGE:
                break
            continue
        if not quiet:
            print_review(done.review, done.written)
        worst = max(worst, QUESTIONS if done.review.questions else NOTHING)
    raise typer.Exit(worst)


@app.command("folder", cls=PlainHelp)
def folder_command(
    folder: Annotated[Path, typer.Argument(metavar="DIR", help="A folder with plan sets, at any depth.")],
    out: Annotated[Path, typer.Option("--out", metavar="DIR", help="Folder for the summary and each set's files.")],
    write: Annotated[
        str, typer.Option("--write", metavar="FORMATS", help="Files to write for each set, as in review (or none).")
    ] = "page,log",
    rules: Rules = None,
    hardware: Hardware = None,
    workers: Annotated[
        int | None, typer.Option("--workers", metavar="NUMBER", min=1, max=256, help="Sets read at a time; else one a processor.")
    ] = None,
    memory_mb: MemoryMb = 4096,
    minutes: Minutes = 30.0,
    scheduler: Annotated[str | None, typer.Option("--scheduler", metavar="ADDRESS", help="Address of a Dask cluster's scheduler.")] = None,
    shared_folder: Annotated[bool, typer.Option("--shared-folder", help="The cluster sees DIR and OUT under the same paths.")] = False,
    quiet: Quiet = False,
) -> None:
    """Read every plan set below a folder. A run that was broken off goes on where it stopped."""
    from notelint.folder import FolderOptions, run_folder
    from notelint.folder.show import print_result, watching
    from notelint.guard import Limits

    formats = () if write.strip() == "none" else tuple(_listed(write))
    limits = Limits(memory_mb=memory_mb, minutes=minutes)
    options = FolderOptions(formats, rules, hardware, workers, limits, scheduler, shared_folder)
    try:
        with watching(quiet) as watcher:
            result = run_folder(folder, out, options, watcher=watcher)
    except NotelintError as error:
        raise typer.Exit(_tell(error)) from error
    if not quiet:
        print_result(result)
    raise typer.Exit(result.exit_code)


@app.command("hardware", cls=PlainHelp)
def hardware_command(
    plan_set: Annotated[Path, typer.Argument(metavar="PLANSET", help="A plan set, PDF.")],
    write: Annotated[
        str | None, typer.Option("--write", metavar="FORMATS", help="Files to write, joined by commas: csv, xlsx, json.")
    ] = None,
    out: Out = Path(),
    hardware: Hardware = None,
    facts: Facts = None,
) -> None:
    """The hardware list read from the set: what it is, its fasteners, how many callouts on which sheets, what lacks."""
    from notelint.folder.single import hardware_of, review_alone
    from notelint.review import Options
    from notelint.writers.hardware import print_hardware

    try:
        options = Options(building=_facts(plan_set, facts, Overrides()), hardware=hardware)
        done = review_alone(plan_set, options, hardware_of(_listed(write), out, plan_set))
    except NotelintError as error:
        raise typer.Exit(_tell(error)) from error
    print_hardware(done.review, done.written)


@app.command("recheck", cls=PlainHelp)
def recheck_command(
    old: Annotated[Path, typer.Argument(metavar="OLD", help="The earlier plan set, PDF.")],
    new: Annotated[Path, typer.Argument(metavar="NEW", help="The revised plan set, PDF.")],
    answers: Annotated[
        Path | None, typer.Option("--answers", metavar="XLSX", help="The earlier log (xlsx) with the designer's answers.")
    ] = None,
    write: Write = None,
    out: Out = Path(),
    rules: Rules = None,
    hardware: Hardware = None,
    facts: Facts = None,
    storeys: Storeys = None,
    wind: Wind = None,
    exposure: Exposure = None,
    roof: Roof = None,
    foundation: Foundation = None,
    code: Code = None,
    quiet: Quiet = False,
) -> None:
    """A revised set against the earlier one: each question answered, still open, changed, or new."""
    from notelint.folder.single import recheck_alone
    from notelint.review import Options
    from notelint.writers.terminal import print_review

    try:
        given = _given(storeys=storeys, wind=wind, exposure=exposure, roof=roof, foundation=foundation, code=code)
        earlier, options = (Options(building=_facts(one, facts, given), rules=rules, hardware=hardware) for one in (old, new))
        formats = _formats(write, quiet)
        done = recheck_alone(old, new, options, earlier=earlier, answers=answers, formats=formats, out=out, quiet=quiet)
    except NotelintError as error:
        raise typer.Exit(_tell(error)) from error
    if not quiet:
        print_review(done.review, done.written, recheck=done.recheck)
    raise typer.Exit(QUESTIONS if done.review.questions else NOTHING)


@app.command("rules", cls=PlainHelp)
def rules_command(
    name: Annotated[str | None, typer.Argument(metavar="NAME", help="One rule, in full.")] = None,
    rules: Rules = None,
    checks: Annotated[bool, typer.Option("--checks", help="The kinds of check an office's own rule may name.")] = False,
) -> None:
    """The rulebook: every rule and when it is asked; or one rule in full."""
    from notelint.writers.rulebook import print_checks, print_rule, print_rules

    try:
        if checks:
            print_checks()
        elif name is None:
            print_rules(rules)
        else:
            print_rule(name, rules)
    except NotelintError as error:
        raise typer.Exit(_tell(error)) from error


def _formats(write: str | None, quiet: bool) -> list[str]:
    """The formats asked for; a person at a terminal who asks for none gets the page and the log."""
    if write is None:
        return ["page", "log"] if sys.stdout.isatty() and not quiet else []
    return [] if write.strip() == "none" else _listed(write)


def _listed(write: str | None) -> list[str]:
    return [f.strip() for f in (write or "").split(",") if f.strip()]


def _given(*, wind: str | None, **others: str | None) -> Overrides:
    """The options about the building as values. Raises BadOptions with the option and the values there are."""
    from notelint.loadpath.told import told

    values: dict[str, str | int | float] = {}
    for name, said in {**others, "wind_mph": wind}.items():
        try:
            if said is not None:
                values[name] = told(name, said)
        except BadOptions as error:
            raise BadOptions(f"--{name.removesuffix('_mph')}: {error}") from error
    return Overrides(**values)  # type: ignore[arg-type]


def _facts(plan_set: Path, file: Path | None, given: Overrides) -> Overrides:
    """What the user says of the building: a facts file's lines, the command line's options over them."""
    from notelint.loadpath.facts_file import facts_beside, laid_over, load_facts

    found = file or facts_beside(plan_set)
    return laid_over(load_facts(found), given) if found else given


def _tell(error: NotelintError) -> int:
    from notelint.writers.words import visible

    print(f"notelint: {visible(' '.join(str(error).split()))}", file=sys.stderr)
    return error.exit_code


def main() -> None:
    """Entry point: no traceback reaches a user, a closed pipe ends quietly."""
    try:
        app()
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        sys.exit(NOTHING)
    except KeyboardInterrupt:
        sys.exit(130)
