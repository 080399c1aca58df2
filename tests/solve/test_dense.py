"""Full-matrix algebra held to one thread, and let go again."""

from __future__ import annotations

import pytest

from orthofem.solve.dense import dense_threads, one_dense_thread


def test_one_thread_inside_and_as_before_afterwards():
    """Inside the block each library has one thread, however it ends."""
    before = dense_threads()
    if not before:
        pytest.skip("numpy and scipy bring no library of their own here")
    with one_dense_thread():
        assert dense_threads() == [1] * len(before)
    assert dense_threads() == before
    with pytest.raises(RuntimeError, match="stop"), one_dense_thread():
        raise RuntimeError("stop")
    assert dense_threads() == before
