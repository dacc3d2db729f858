"""Months of visits: what changed, what it is made of, and when a distance is reached."""
