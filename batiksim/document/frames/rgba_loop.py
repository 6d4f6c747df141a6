"""The one inner loop of the worktable, compiled: three bytes a pixel become four."""

from batiksim.cloth.compiling import compiled_function


@compiled_function()
def widen(rgb, rgba):  # type: ignore[no-untyped-def]
    """Copy red, green and blue, and set alpha to 255. rgb : uint8 (3 n,); rgba : uint8 (4 n,), written to."""
    for pixel in range(rgb.size // 3):
        rgba[4 * pixel] = rgb[3 * pixel]
        rgba[4 * pixel + 1] = rgb[3 * pixel + 1]
        rgba[4 * pixel + 2] = rgb[3 * pixel + 2]
        rgba[4 * pixel + 3] = 255
