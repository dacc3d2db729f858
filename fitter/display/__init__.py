"""What people read, said once: sentences, words for clubs and changes, tables, the one serialiser."""
