"""From plates to what a browser's canvas takes: four bytes a pixel."""

import numpy as np

from batiksim.cloth.render import compiled
from batiksim.types import Bytes


def rgba(rgb: Bytes) -> Bytes:
    """Opaque RGBA uint8 (..., 4) of sRGB uint8 (..., 3)."""
    result = np.empty((*rgb.shape[:-1], 4), np.uint8)
    if compiled("render_rows") is not None:
        from batiksim.document.frames.rgba_loop import widen  # only where compiling works

        widen(rgb.reshape(-1), result.reshape(-1))
        return result
    for band in range(3):
        result[..., band] = rgb[..., band]
    result[..., 3] = 255
    return result
