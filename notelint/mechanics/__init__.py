"""Arithmetic that a person can check: each function names its clause and returns its value with the lines that lead to it."""
