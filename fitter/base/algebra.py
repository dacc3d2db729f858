"""Small matrices on one thread of the linear algebra library."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

from threadpoolctl import threadpool_limits


@contextmanager
def one_thread() -> Iterator[None]:
    """Keep BLAS and LAPACK to one thread inside; use it as a block or as a decorator.

    For matrices of a few hundred rows more threads gain nothing, and on a busy machine they wait for each
    other: an update of 45 ms took 650. One thread also adds in one order, whatever the machine.
    """
    with threadpool_limits(limits=1, user_api="blas"):
        yield
