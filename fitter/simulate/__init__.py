"""One strike, one flight, and what a unit more of a cause does."""
