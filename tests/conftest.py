"""Settings for all tests: hypothesis draws the same cases every time, and no machine is too slow."""

from collections.abc import Iterator

import pytest
from hypothesis import HealthCheck, settings

from tests import rankings

settings.register_profile(
    "steady",
    deadline=None,
    derandomize=True,
    max_examples=60,
    suppress_health_check=[HealthCheck.too_slow],
)
settings.load_profile("steady")


@pytest.fixture(autouse=True, scope="session")
def _own_state_folder(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """Locks, saved benches and the shop's memory of tests do not lie among the user's."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("XDG_STATE_HOME", str(tmp_path_factory.mktemp("state")))
        patch.setenv("XDG_DATA_HOME", str(tmp_path_factory.mktemp("data")))
        yield


@pytest.fixture
def remembered(monkeypatch: pytest.MonkeyPatch) -> None:
    """Compute rankings of the same question once, the command line's and a batch's too, see `rankings`."""
    rankings.patch(monkeypatch)
