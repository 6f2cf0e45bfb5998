"""The small file beside a plan set that overrules what was read: NAME.facts.yaml with lines such as `storeys: 2`."""

from __future__ import annotations

import os
from dataclasses import fields, replace
from pathlib import Path

import yaml

from notelint.errors import BadOptions
from notelint.loadpath.building import Overrides
from notelint.loadpath.told import told

MOST_BYTES = 10_000


def facts_beside(plan_set: Path) -> Path | None:
    """The facts file of a plan set, where one stands beside it."""
    file = plan_set.with_name(f"{plan_set.stem}.facts.yaml")
    return file if os.path.isfile(file) else None  # noqa: PTH113 - unlike Path.is_file it takes a name that is too long


def load_facts(file: Path) -> Overrides:
    """The facts of a file. Raises BadOptions with file, line and reason."""
    try:
        if file.stat().st_size > MOST_BYTES:
            raise BadOptions(f"{file}: larger than {MOST_BYTES} bytes; a facts file holds six short lines at most")
        text = file.read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError) as error:
        raise BadOptions(f"{file}: cannot be read as UTF-8 text ({type(error).__name__})") from error
    values: dict[str, object] = {}
    names = [f.name for f in fields(Overrides)]
    for number, line in enumerate(text.splitlines(), 1):
        bare = line.split("#", 1)[0].strip()
        if not bare:
            continue
        name, colon, said = bare.partition(":")
        name = name.strip()
        if not colon or name not in names:
            raise BadOptions(f"{file}:{number}: {bare[:60]!r} is not one of {', '.join(names)}, written as `name: value`")
        values[name] = _value(file, number, name, said.strip())
    return Overrides(**values)  # type: ignore[arg-type]


def _value(file: Path, number: int, name: str, said: str) -> object:
    try:
        return told(name, yaml.safe_load(said) if len(said) < 100 else said)
    except yaml.YAMLError as error:
        raise BadOptions(f"{file}:{number}: {name}: {said[:40]!r} is no plain value") from error
    except BadOptions as error:
        raise BadOptions(f"{file}:{number}: {name}: {error}") from error


def laid_over(below: Overrides, above: Overrides) -> Overrides:
    """Options of the command line over those of the file."""
    given = {name: value for name, value in vars(above).items() if value is not None}
    return replace(below, **given)
