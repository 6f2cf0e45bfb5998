"""What can go wrong that a person can mend. Each message is one line: file, place, way out.

NotelintError              exit code 3 unless said otherwise
├── UnreadablePlanSet      the PDF (or what was given for one) cannot be read
├── ReadingFailed          reading broke off: out of time or memory, or the reader itself failed
├── BadRules               a rule file is wrong                    (2)
├── BadHardwareList        the user's hardware list is wrong       (2)
├── BadOptions             options that cannot be followed         (2)
└── CannotWrite            an output cannot be written             (2)
"""

from __future__ import annotations


class NotelintError(Exception):
    """Base of all errors with a message for the user."""

    exit_code = 3


class UnreadablePlanSet(NotelintError):
    """A plan set that cannot be opened or read."""


class ReadingFailed(NotelintError):
    """Reading broke off; `kind` says how: time, memory, died, killed, rubbish, fault or changed."""

    def __init__(self, message: str, kind: str = "fault") -> None:
        super().__init__(message)
        self.kind = kind


class BadRules(NotelintError):
    """A rule file that cannot be used: message names file, line and reason."""

    exit_code = 2


class BadHardwareList(NotelintError):
    """A hardware list that cannot be used: message names file, line and reason."""

    exit_code = 2


class BadOptions(NotelintError):
    """Options or a facts file that cannot be followed."""

    exit_code = 2


class CannotWrite(NotelintError):
    """An output that cannot be written."""

    exit_code = 2
