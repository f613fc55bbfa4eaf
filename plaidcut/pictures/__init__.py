"""Drawings of what was found, one to a file."""
