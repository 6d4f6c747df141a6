"""Waiting for something to come true: the one place in the tests that looks at a clock, and only to end a hang."""

from __future__ import annotations

import time
from collections.abc import Callable
from typing import Any

PATIENCE_S = 60.0  # far longer than anything takes on a busy machine


def until(seen: Callable[[], Any], what: str, *, pause: Callable[[], Any] | None = None) -> Any:
    """Look again and again until `seen()` gives something true, and return that.

    what : words for the error when it never comes; pause : what passes the time between two looks
    """
    end = time.monotonic() + PATIENCE_S
    while not (value := seen()):
        if time.monotonic() > end:
            raise AssertionError(f"waited in vain for {what}")
        time.sleep(0.01) if pause is None else pause()
    return value
