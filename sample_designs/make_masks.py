"""Draw the masks of all sample designs again: `python sample_designs/make_masks.py`, or name some of them after it."""

from __future__ import annotations

import sys
from pathlib import Path

from _brushes import geese, parsley, poppies

SCENES = {"hedge_parsley": parsley.draw, "estuary_geese": geese.draw, "garden_poppies": poppies.draw}


def main(names: list[str]) -> int:
    """Draw the named scenes, all without names; same masks every time."""
    unknown = sorted(set(names) - set(SCENES))
    if unknown:
        sys.stderr.write(f"no scene named {', '.join(unknown)}; use {', '.join(SCENES)}\n")
        return 2
    for name in names or SCENES:
        SCENES[name](Path(__file__).parent / name)
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
