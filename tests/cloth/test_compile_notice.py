"""Compiling is heard by whoever listens, of whatever loop and in whichever thread."""

from __future__ import annotations

from threading import Thread

import pytest

from batiksim.cloth.compile_notice import on_compiling


def test_any_loop_that_is_compiled_is_told_and_none_that_is_there():
    """Those of cracks, edges and spread too, whichever thread needs them, and not the one that was compiled before."""
    pytest.importorskip("batiksim.cloth.compiling")
    import numba

    told = []
    loop = numba.njit(lambda number: number + 1)  # which is not kept on disk from an earlier run of the tests
    with on_compiling(lambda: told.append(1)):
        assert loop(2) == 3
        assert told
        told.clear()
        assert loop(3) == 4
        assert told == []
        thread = Thread(target=loop, args=(0.5,))  # of another type: compiled for it
        thread.start()
        thread.join()
        assert told
