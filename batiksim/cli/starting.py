"""A quicker start for the command's own process."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from importlib.abc import MetaPathFinder
from importlib.machinery import ModuleSpec
from types import ModuleType

__all__ = ["spare_linear_algebra"]

_HEAVY = "scipy.linalg"
_ASKING = "numba.np.linalg"  # it takes a missing scipy.linalg as: no matrix products in compiled loops


class _Spared(MetaPathFinder):
    """Tells numba, and nobody else, that there is no scipy.linalg."""

    def find_spec(
        self, fullname: str, path: Sequence[str] | None, target: ModuleType | None = None, /
    ) -> ModuleSpec | None:
        if fullname != _HEAVY:
            return None
        frame = sys._getframe(1)
        while frame.f_back is not None and frame.f_globals.get("__name__", "").startswith("importlib"):
            frame = frame.f_back
        if frame.f_globals.get("__name__") == _ASKING:
            raise ModuleNotFoundError(f"No module named {_HEAVY!r}", name=_HEAVY)
        return None


def spare_linear_algebra() -> None:
    """Let numba do without scipy.linalg: importing it takes a tenth of a small preview, and no loop here needs it.

    For the command line's process alone: elsewhere a maker's own compiled code might want it.
    """
    if _HEAVY not in sys.modules and not any(isinstance(one, _Spared) for one in sys.meta_path):
        sys.meta_path.insert(0, _Spared())
