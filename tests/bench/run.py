"""The numbers to reach, as ratios measured in one run. Usage: python tests/bench/run.py [row ...]

Each row times the work and its yardstick in turn, several times, and prints the median of the ratios, so that a slow or
busy machine slows both. Nothing here is a test: noise can't fail it.
"""

from __future__ import annotations

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent))

import rows_checks  # noqa: E402
import rows_effects  # noqa: E402
import rows_engine  # noqa: E402
import rows_files  # noqa: E402
import rows_from_picture  # noqa: E402
import rows_handout  # noqa: E402
import rows_paper  # noqa: E402
import rows_plan  # noqa: E402
import rows_size  # noqa: E402
import rows_worktable  # noqa: E402
from timing import Row  # noqa: E402

ROWS: dict[str, Row] = {
    **rows_engine.ROWS,
    **rows_files.ROWS,
    **rows_handout.ROWS,
    **rows_paper.ROWS,
    **rows_plan.ROWS,
    **rows_from_picture.ROWS,
    **rows_effects.ROWS,
    **rows_size.ROWS,
    **rows_checks.ROWS,
    **rows_worktable.ROWS,
}


def main(wanted: list[str]) -> None:
    """Run the named rows, or all of them, and print the table as it grows."""
    unknown = [name for name in wanted if name not in ROWS]
    if unknown:
        sys.exit(f"no such row: {', '.join(unknown)}; there are: {', '.join(ROWS)}")
    print(f"{'row':<18}{'reach':>22}{'measured':>22}  what")
    for name in wanted or ROWS:
        row = ROWS[name]
        print(f"{name:<18}{row.reach:>22}{row.measure():>22}  {row.what}", flush=True)


if __name__ == "__main__":
    main(sys.argv[1:])
