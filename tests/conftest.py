"""Settings for all tests: hypothesis draws the same cases every time, and no machine is too slow."""

from hypothesis import HealthCheck, settings

settings.register_profile(
    "steady",
    deadline=None,
    derandomize=True,
    max_examples=60,
    suppress_health_check=[HealthCheck.too_slow],
)
settings.load_profile("steady")
