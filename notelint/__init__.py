"""Reads a plan set and writes the questions a builder should ask about its load path."""

__version__ = "0.1.0"
