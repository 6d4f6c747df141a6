"""Compiling inner loops, kept on disk for the next run where there is a place to keep it.

numba keeps a compiled function as long as the function's own file is unchanged. The loops here take constants and
functions from other files, and compiled code has them inside; so a kept entry is good only while all that went into it
is the same: `_fingerprint` of the function's own code, of the constants that it names, and of the compiled functions
that it calls. Nothing is read from disk for that, and a change elsewhere, or in a comment, compiles nothing anew.
"""

import hashlib
import sys
from collections.abc import Callable, Iterator
from contextlib import suppress
from types import BuiltinFunctionType, CodeType, FunctionType, ModuleType
from typing import Any

import numba
import numpy as np
from numba.core import event
from numba.core.caching import FunctionCache, IndexDataCacheFile

from batiksim.cloth.compile_notice import compiling_begins


def _load_compiler() -> None:
    """Load numba's part for arrays without asking for a BLAS, which would load scipy.linalg at every start.

    numba asks again, by the true function, when something that it compiles does multiply matrices.
    """
    from numba.np import linalg

    ensure_blas = linalg.ensure_blas
    linalg.ensure_blas = lambda: None
    try:
        import numba.np.arraymath  # noqa: F401
    finally:
        linalg.ensure_blas = ensure_blas


_load_compiler()
_FINGERPRINT = "batiksim_fingerprint"  # where a compiled function carries its own, for those that call it


def compiled_function(**options: Any) -> Callable[[Callable[..., Any]], Any]:
    """A decorator: `numba.njit` with what all loops here share. Arithmetic is strict unless `options` say otherwise."""
    settings: dict[str, Any] = {"nogil": True, "error_model": "numpy", **options}

    def wrap(function: Any) -> Any:
        compiled = numba.njit(**settings)(function)
        if compiled is function:  # compiling is switched off
            return function
        fingerprint = _fingerprint(function, settings)
        setattr(compiled, _FINGERPRINT, fingerprint)
        with suppress(RuntimeError):  # no folder that can be written to: compile anew each run
            compiled._cache = _Cache(function, fingerprint)
        return compiled

    return wrap


class _Cache(FunctionCache):
    """numba's cache of one function, in the folder that numba chooses, with a fingerprint for the file's own stamp.

    Its files are called by the function alone, so that what is compiled anew takes the place of what was kept before.
    """

    def __init__(self, function: FunctionType, fingerprint: str) -> None:
        super().__init__(function)  # type: ignore[no-untyped-call]
        name = f"{function.__module__}.{function.__qualname__}.{sys.implementation.cache_tag}"
        self._cache_file = _CacheFile(self.cache_path, name, fingerprint)  # type: ignore[no-untyped-call]


class _CacheFile(IndexDataCacheFile):
    def _load_index(self) -> dict[Any, str]:
        """What is kept: nothing, when the index names types that have moved since, or is damaged."""
        try:
            kept: dict[Any, str] = super()._load_index()  # type: ignore[no-untyped-call]
        except Exception:  # unpickling may raise anything
            return {}
        return kept


def _fingerprint(function: FunctionType, settings: dict[str, Any]) -> str:
    """A digest of all that decides what a function is compiled to, besides numba, the processor and argument types."""
    parts = [*_code_parts(function.__code__, function.__globals__), repr(function.__defaults__)]
    for name, value in sorted(settings.items()):
        parts.append(f"{name}={sorted(value) if isinstance(value, set) else value}")
    return hashlib.sha256("\n".join(parts).encode()).hexdigest()


def _code_parts(code: CodeType, names: dict[str, Any]) -> Iterator[str]:
    yield code.co_code.hex()
    for constant in code.co_consts:
        if isinstance(constant, CodeType):
            yield from _code_parts(constant, names)
        else:
            yield repr(constant)
    for name in code.co_names:
        yield f"{name}={_described(names[name])}" if name in names else name


def _described(value: Any) -> str:
    """What a name of the module adds to compiled code. TypeError for a kind whose changes would go unseen."""
    if hasattr(value, _FINGERPRINT):
        return str(getattr(value, _FINGERPRINT))
    if value is None or isinstance(value, bool | int | float | str | bytes | np.generic):
        return repr(value)
    if isinstance(value, tuple | list):
        return f"({', '.join(map(_described, value))})"
    if isinstance(value, np.ndarray):
        return f"{value.dtype}{value.shape}{value.tobytes().hex()}"
    if isinstance(value, type):
        return f"{value.__qualname__}{getattr(value, '_fields', '')}"
    if isinstance(value, BuiltinFunctionType | np.ufunc) or _is_foreign(value):
        return str(value.__name__)
    raise TypeError(f"a compiled function can't depend on {value!r}: nothing would tell that it changed")


def _is_foreign(value: Any) -> bool:
    """A module of another package, numpy or math. One of this package would hide its own constants."""
    return isinstance(value, ModuleType) and value.__name__.partition(".")[0] != __name__.partition(".")[0]


class _Listener(event.Listener):
    def on_start(self, event: Any) -> None:
        compiling_begins()

    def on_end(self, event: Any) -> None:
        pass


event.register("numba:compile", _Listener())  # type: ignore[no-untyped-call]
