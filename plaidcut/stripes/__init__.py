"""The stripe bands of both thread systems: found, measured, coloured."""
