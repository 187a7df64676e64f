"""Work in a second thread: it ends with the block, and what goes wrong there is not lost."""

from __future__ import annotations

import threading

import pytest

from optimizer.solve.beside import AnyOf, Beside


def test_work_ends_with_the_block() -> None:
    ended, began = threading.Event(), threading.Event()
    seen: list[bool] = []

    def work() -> None:
        began.set()
        seen.append(ended.wait(10))

    with Beside(work, ended):
        assert began.wait(10)
        assert not seen
    assert seen == [True]


def test_an_error_there_ends_the_block_s_work_and_comes_out() -> None:
    ended = threading.Event()

    def work() -> None:
        raise MemoryError("no room")

    with pytest.raises(MemoryError, match="no room"), Beside(work, ended):
        assert ended.wait(10)


def test_an_error_of_the_block_comes_first() -> None:
    ended = threading.Event()

    def work() -> None:
        ended.wait(10)
        raise MemoryError("no room")

    with pytest.raises(ValueError, match="here"), Beside(work, ended):
        raise ValueError("here")


def test_set_once_any_is() -> None:
    one, other = threading.Event(), threading.Event()
    both = AnyOf(one, None, other)
    assert not both.is_set()
    other.set()
    assert both.is_set()
