"""Measured cloths kept: one SQLite file, opened, written, searched, mended, carried away."""
