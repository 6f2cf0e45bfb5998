"""From findings to questions a designer can be sent: wording, merging, order, keys."""

from notelint.questions.wording import ask

__all__ = ["ask"]
