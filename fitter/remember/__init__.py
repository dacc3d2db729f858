"""From what was read, ranked and hit to records of a history, and back to files that can be read again."""
