"""Many sessions at once: a roster, a pool of workers, files that are whole or not there."""
