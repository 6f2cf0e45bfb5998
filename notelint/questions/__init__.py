"""From findings to questions a designer can be sent: wording, merging, order, keys, and what became of them in a revised set."""

from notelint.questions.recheck import compare
from notelint.questions.wording import ask

__all__ = ["ask", "compare"]
