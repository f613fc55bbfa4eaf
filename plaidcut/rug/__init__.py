"""What a rug needs, and whether the cloth covers it."""
