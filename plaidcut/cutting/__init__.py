"""From bands to strips: cuts, counts and what each cut makes of a stripe."""
