"""How big things are: the card, a rectangle, a ruler or points, as one scale."""
