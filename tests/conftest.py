"""Settings for all tests: hypothesis draws the same cases every time, and a first compile is no failure."""

from hypothesis import settings

settings.register_profile("steady", deadline=None, derandomize=True, max_examples=60)
settings.load_profile("steady")
