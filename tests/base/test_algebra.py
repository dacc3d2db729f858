"""Inside, the linear algebra library has one thread; afterwards it has what it had."""

from threadpoolctl import threadpool_info

from fitter.base.algebra import one_thread


def threads() -> set[int]:
    return {int(x["num_threads"]) for x in threadpool_info() if x["user_api"] == "blas"}


def test_one_thread_inside_and_as_before_afterwards() -> None:
    before = threads()
    with one_thread():
        assert threads() == {1}
    assert threads() == before


def test_it_decorates() -> None:
    assert one_thread()(threads)() == {1}
