"""From passages to structured requirements: quantities, trade terms, clauses, requirements, marks, facts."""

from notelint.language.hardware import HardwareEntry, HardwareList, load_hardware_list, with_hardware
from notelint.language.read import PassageReading, read_language, read_passage

__all__ = ["HardwareEntry", "HardwareList", "PassageReading", "load_hardware_list", "read_language", "read_passage", "with_hardware"]
