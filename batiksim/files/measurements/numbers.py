"""Numbers in the cells of tables."""

import math


def finite(text: str) -> float | None:
    """A finite number, None for anything else."""
    try:
        value = float(text)
    except ValueError:
        return None
    return value if math.isfinite(value) else None
