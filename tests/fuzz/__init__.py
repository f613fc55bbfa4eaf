"""Fuzzing of every reader; see ``__main__.py``."""
