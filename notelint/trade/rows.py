"""The rows of the published tables in shared/tables, and their strict reader.

Every row says where its figures come from: source, edition, section, whether they were seen there (`verified`), and a note
that begins with "from memory" or "partly seen" where they were not.
"""

from __future__ import annotations

import csv
import functools
from pathlib import Path
from typing import TypeVar, cast

from pydantic import Field, ValidationError

from notelint.errors import NotelintError
from notelint.model import Record
from notelint.trade import data_dir


class Row(Record):
    """What every row of every table carries."""

    source: str = Field(min_length=1)
    edition: str = Field(min_length=1)
    section: str = Field(min_length=1)
    verified: bool
    note: str | None = None

    @property
    def cite(self) -> str:
        """The source as a person would name it: "NDS 2018, Appendix L, Table L4"."""
        parts = (f"{self.source} {self.edition}" if self.edition != "-" else self.source, self.section)
        return ", ".join(part for part in parts if part != "-")


class NailSize(Row):
    """A nail by penny size and type: overall length, shank and head diameter in inches."""

    penny: str
    type: str
    length_in: float
    diameter_in: float
    head_in: float | None = None


class ShortNail(Row):
    """A connector nail: the shank of its penny size, cut short."""

    penny: str
    length_in: float
    diameter_in: float


class DeformedNail(Row):
    """A ring or screw shank nail; its penny size, if it has one, does not fix its diameter."""

    name: str
    penny: str | None = None
    length_in: float
    diameter_in: float
    head_in: float | None = None


class WoodScrew(Row):
    """A wood screw by number: shank and thread root diameter in inches."""

    number: int
    diameter_in: float
    root_diameter_in: float


class GaugeRow(Row):
    """Thickness of one gauge by one of the standards that give the same number different steel."""

    gauge: int
    standard: str
    thickness_in: float


class LumberSize(Row):
    """Dressed size of a nominal one, dry or green."""

    nominal: str
    state: str
    thickness_in: float
    width_in: float


class Panel(Row):
    """A panel's performance category and the thickness it stands for."""

    category: str
    thickness_in: float


class NutOrWasher(Row):
    """Height (thickness) and width of a nut or washer for a bolt diameter."""

    kind: str
    bolt_in: float
    height_in: float
    height_min_in: float | None = None
    height_max_in: float | None = None
    width_in: float | None = None


class Thread(Row):
    """Threads per inch of a bolt diameter."""

    bolt_in: float
    threads_per_in: int


class Uplift(Row):
    """Uplift at one end of a rafter or truss, pounds, allowable stress design."""

    exposure: str
    spacing_in: float
    span_ft: float
    wind_mph: float
    pitch: str
    uplift_lb: float


class SpecificGravity(Row):
    """Specific gravity assigned to a species combination."""

    species: str
    short: str
    specific_gravity: float


class GreenShrinkage(Row):
    """Shrinkage from green to oven-dry, percent."""

    species: str
    radial_percent: float
    tangential_percent: float
    volumetric_percent: float


class ShrinkageCoefficient(Row):
    """Change of size for one percent of moisture, as a fraction of the size."""

    species: str
    direction: str
    per_percent: float


class Factor(Row):
    """One number of the design specification."""

    name: str
    value: float
    unit: str


class BendingYield(Row):
    """Bending yield strength of nails of a band of diameters."""

    over_in: float
    to_in: float
    yield_psi: float


class CodeValue(Row):
    """A limit set by a code or by practice: `bound` says which side of `value` is asked for."""

    name: str
    bound: str
    value: float
    unit: str
    what: str


class Fastening(Row):
    """One way of fastening one joint by the code's schedule: a number of nails, or their spacing in inches."""

    connection: str
    what: str
    method: str
    penny: str | None = None
    type: str | None = None
    diameter_in: float | None = None
    length_in: float | None = None
    count: int | None = None
    spacing_in: float | None = None


class Allowance(Row):
    """Something that a code lets stand in place of one of its limits."""

    limit: str
    allows: str


class TreatedWood(Row):
    """What fasteners and connectors in preservative-treated wood are to be made of."""

    item: str
    accepted: str


AnyRow = TypeVar("AnyRow", bound=Row)


def read_rows(path: Path, model: type[AnyRow]) -> tuple[AnyRow, ...]:
    """All rows of the table at `path`.

    Raises NotelintError naming file, line and reason where a column is unknown or lacks, or a value does not fit.
    """
    try:
        with path.open(encoding="utf-8", newline="") as handle:
            reader = csv.DictReader(handle, strict=True)
            _check_columns(path, reader.fieldnames or (), model)
            return tuple(_row(path, reader.line_num, cells, model) for cells in reader)
    except (OSError, UnicodeDecodeError, csv.Error) as error:
        raise NotelintError(f"{path}: this table cannot be read ({error}); restore it from the package") from error


def table(name: str, model: type[AnyRow]) -> tuple[AnyRow, ...]:
    """All rows of shared/tables/NAME.csv, read once."""
    return cast("tuple[AnyRow, ...]", _table(name, model))


@functools.cache
def _table(name: str, model: type[Row]) -> tuple[Row, ...]:
    return read_rows(data_dir() / "tables" / f"{name}.csv", model)


def _check_columns(path: Path, columns: object, model: type[Row]) -> None:
    given, wanted = list(columns) if isinstance(columns, list) else [], set(model.model_fields)
    if len(given) != len(set(given)) or set(given) != wanted:
        odd = sorted(set(given) ^ wanted) or given
        raise NotelintError(f"{path}:1: columns do not fit, look at {', '.join(map(str, odd))}; wanted {', '.join(model.model_fields)}")


def _row(path: Path, line: int, cells: dict[str, str | None], model: type[AnyRow]) -> AnyRow:
    if None in cells or None in cells.values():
        raise NotelintError(f"{path}:{line}: wanted {len(model.model_fields)} cells")
    try:
        return model.model_validate({name: value or None for name, value in cells.items()})
    except ValidationError as error:
        first = error.errors()[0]
        raise NotelintError(f"{path}:{line}: {'.'.join(map(str, first['loc']))}: {first['msg']}") from error
