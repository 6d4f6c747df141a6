"""The types that signatures use, arrays by what they hold, and the checks of arrays that colours share."""

import os
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]
Singles = NDArray[np.float32]
Bytes = NDArray[np.uint8]
Bools = NDArray[np.bool_]
Ints = NDArray[np.int64]
Words = NDArray[np.uint64]
StrPath = str | os.PathLike[str]
Look = Literal["dry", "wet"]
LOOKS: tuple[Look, ...] = ("dry", "wet")
BANDS = 31


def as_triples(values: ArrayLike, name: str) -> Floats:
    """Float64 (..., 3), or ValueError."""
    return _last_axis(values, name, 3)


def triple(values: Floats) -> tuple[float, float, float]:
    """Three values as plain numbers."""
    first, second, third = values.tolist()
    return first, second, third


def as_spectra(values: ArrayLike, name: str) -> Floats:
    """Float64 (..., 31), or ValueError."""
    return _last_axis(values, name, BANDS)


def as_floats(values: ArrayLike, name: str) -> Floats:
    """Float64 of any shape; TypeError for what isn't real numbers, ValueError for lists of unequal lengths."""
    try:
        array = np.asarray(values)
    except ValueError as error:
        raise ValueError(f"{name} needs an array, got lists of unequal lengths") from error
    if array.dtype.kind not in "buif":
        raise TypeError(f"{name} needs real numbers, got {array.dtype}")
    return array.astype(np.float64, copy=False)


def finite(values: Floats, name: str) -> Floats:
    """The same array; ValueError where it holds NaN or what is endless."""
    if not np.all(np.isfinite(values)):
        raise ValueError(f"{name} needs finite numbers")
    return values


def alone(values: Floats, name: str) -> Floats:
    """The same array; ValueError where it has leading axes, or isn't finite."""
    if values.ndim != 1:
        raise ValueError(f"{name} needs shape {values.shape[-1:]}, got shape {values.shape}")
    return finite(values, name)


def _last_axis(values: ArrayLike, name: str, size: int) -> Floats:
    array = as_floats(values, name)
    if array.ndim == 0 or array.shape[-1] != size:
        raise ValueError(f"{name} needs a last axis of {size}, got shape {array.shape}")
    return array
