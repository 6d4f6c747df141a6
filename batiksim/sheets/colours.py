"""The colours of everything drawn, "#rrggbb", and colours between two."""

from PIL import ImageColor

GROUND = "#f4efe4"  # unbleached cotton
PAPER = "#fbf8f1"  # notebook
INK = "#22283a"  # indigo-black: line and text
QUIET = "#5b5e6a"  # the same, for second words
WOOD = "#b99b73"
AMBER = "#c8892b"  # wax
MADDER = "#a33b2e"  # only for what would spoil the cloth


def mixed(first: str, second: str, share: float) -> str:
    """A colour on the way from `first` to `second`: share 0 is all the first, 1 all the second."""
    pairs = zip(ImageColor.getrgb(first)[:3], ImageColor.getrgb(second)[:3], strict=True)
    return "#" + "".join(f"{round(a + (b - a) * share):02x}" for a, b in pairs)
