"""Compiling inner loops, kept on disk for the next run where there is a place to keep it."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numba

__all__ = ["compiled_function"]


def compiled_function(**options: Any) -> Callable[[Callable[..., Any]], Any]:
    """A decorator: `numba.njit` with what all loops here share. Arithmetic is strict unless `options` say otherwise."""

    def wrap(function: Callable[..., Any]) -> Any:
        settings: dict[str, Any] = {"nogil": True, "error_model": "numpy", **options}
        try:
            return numba.njit(cache=True, **settings)(function)
        except RuntimeError:  # no folder that can be written to: compile anew each run
            return numba.njit(**settings)(function)

    return wrap
