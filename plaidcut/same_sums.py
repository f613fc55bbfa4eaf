"""Sums rounded in one order, so that a document doesn't hang on the number of cores."""

from collections.abc import Iterator
from contextlib import contextmanager


@contextmanager
def sums_in_one_order() -> Iterator[None]:
    """Let linear algebra work in one thread, whoever loaded it and however it was set up.

    Sums that are shared out among threads are rounded in another order, and what is fitted by
    steps carries that into the document's digits. Matrices as small as ours are slower on several
    threads besides. Holds for the whole process while it lasts; serves as a decorator too.
    """
    import scipy.linalg  # noqa: F401 - what isn't loaded yet can't be told
    from threadpoolctl import threadpool_limits

    with threadpool_limits(limits=1, user_api="blas"):
        yield
