"""Months of one player at a glance: visits in one air, what changed and why, and at which pace."""
