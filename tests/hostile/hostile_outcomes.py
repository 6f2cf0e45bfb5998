"""The two outcomes that any input may have."""

from __future__ import annotations

from pathlib import Path

from notelint.errors import NotelintError, ReadingFailed
from notelint.folder.single import Done, files_of, review_alone
from notelint.guard import Limits
from notelint.review import Options

LIMITS = Limits(memory_mb=1500, minutes=0.5)


def outcome_of(file: Path, formats: tuple[str, ...] = (), options: Options | None = None) -> tuple[Done | None, str]:
    """The review or the reason; anything else fails the test."""
    out = file.parent / "out"
    try:
        done = review_alone(file, options or Options(ocr=False), files_of(formats, out, file), limits=LIMITS, quiet=True)
    except ReadingFailed as error:
        raise AssertionError(f"{error.kind}: {error}") from error
    except NotelintError as error:
        assert str(error)
        assert "Traceback" not in str(error)
        return None, str(error)
    return done, ""
