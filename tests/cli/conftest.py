"""Tests of the commands compute each identical question once."""

import pytest


@pytest.fixture(autouse=True)
def _asked_once(request: pytest.FixtureRequest) -> None:
    """Remember rankings, except where a test starts processes of its own."""
    if "test_process" not in request.node.nodeid:
        request.getfixturevalue("remembered")
