"""Numbers in, numbers out: SI and radians, batches first. Knows numpy and numba alone."""
