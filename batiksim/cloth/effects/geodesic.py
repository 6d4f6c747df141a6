"""The compiled loops of creeping dye; `spread.py` says what they are about.

A place remembers the last corner or edge from which dye reached it in a straight line, its anchor, and is as far as its
anchor plus that line. A line that a wax edge interrupts starts anew from the neighbour. So lengths are true in every
direction, not only along rows and columns, and the way around a corner or through a gap is the short one.
"""

from math import floor, sqrt

import numpy as np

from batiksim.cloth.compiling import compiled_function

FAR = 1e9


@compiled_function()
def _closed_counts(opened):  # type: ignore[no-untyped-def]
    """How many places above and to the left of each are closed, int32 (rows + 1, cols + 1)."""
    rows, cols = opened.shape
    counts = np.zeros((rows + 1, cols + 1), np.int32)
    for row in range(rows):
        along = 0
        for col in range(cols):
            if not opened[row, col]:
                along += 1
            counts[row + 1, col + 1] = counts[row, col + 1] + along
    return counts


@compiled_function()
def _clear(opened, counts, start, end):  # type: ignore[no-untyped-def]
    """Whether a straight line between two places runs through open fibre; it can't slip between touching corners."""
    cols = opened.shape[1]
    row = start // cols
    col = start - row * cols
    down = end // cols - row
    right = end % cols - col
    top = min(row, row + down)
    left = min(col, col + right)
    low = max(row, row + down) + 1
    far = max(col, col + right) + 1
    if counts[low, far] - counts[top, far] - counts[low, left] + counts[top, left] == 0:
        return True  # no wax in the whole box: mostly so, and soon told however long the line
    steps = max(abs(down), abs(right))
    last_row = row
    last_col = col
    for k in range(1, steps + 1):
        r = row + int(floor(down * k / steps + 0.5))
        c = col + int(floor(right * k / steps + 0.5))
        if not opened[r, c]:
            return False
        if r != last_row and c != last_col and not opened[last_row, c] and not opened[r, last_col]:
            return False
        last_row = r
        last_col = c
    return True


@compiled_function()
def _is_edge(begin, opened, row, col):  # type: ignore[no-untyped-def]
    """Whether dye can go on from here to a neighbour that would otherwise begin later."""
    rows, cols = begin.shape
    for r in range(max(0, row - 1), min(rows, row + 2)):
        for c in range(max(0, col - 1), min(cols, col + 2)):
            length = 1.0 if r == row or c == col else 1.4142135623730951
            if opened[r, c] and begin[r, c] > begin[row, col] + length + 1e-4:
                return True
    return False


@compiled_function()
def creep_distance(begin, opened, reach):  # type: ignore[no-untyped-def]
    """How far dye has crept when it gets to each place, in pixels; `FAR` where it doesn't within reach.

    begin : float32 (rows, cols), what each place begins with, 0 in painted areas, `FAR` where nothing is painted
    opened : bool (rows, cols), open fibre
    """
    rows, cols = begin.shape
    far = np.full((rows, cols), np.float32(FAR), np.float32)
    anchor = np.empty((rows, cols), np.int32)
    counts = _closed_counts(opened)
    queued = np.zeros((rows, cols), np.bool_)
    pending = np.empty(rows * cols, np.int32)
    count = 0
    for row in range(rows):
        for col in range(cols):
            if opened[row, col] and begin[row, col] <= reach:
                far[row, col] = begin[row, col]
                anchor[row, col] = row * cols + col
                if _is_edge(begin, opened, row, col):
                    queued[row, col] = True
                    pending[count] = row * cols + col
                    count += 1
    limit = 1.0
    while count > 0:
        ready = 0
        for k in range(count):
            place = pending[k]
            if far[place // cols, place % cols] < limit:
                ready += 1
        if ready == 0:
            limit += 1.0
            continue
        now = np.empty(ready, np.int32)
        kept = 0
        ready = 0
        for k in range(count):
            place = pending[k]
            if far[place // cols, place % cols] < limit:
                now[ready] = place
                ready += 1
                queued[place // cols, place % cols] = False
            else:
                pending[kept] = place
                kept += 1
        count = kept
        for k in range(ready):
            place = now[k]
            row = place // cols
            col = place - row * cols
            for r in range(max(0, row - 1), min(rows, row + 2)):
                for c in range(max(0, col - 1), min(cols, col + 2)):
                    if (r == row and c == col) or not opened[r, c]:
                        continue
                    old = far[r, c]
                    if far[row, col] >= old:
                        continue
                    if r != row and c != col and not opened[row, c] and not opened[r, col]:
                        continue
                    here = r * cols + c
                    root = anchor[row, col]
                    root_row = root // cols
                    root_col = root - root_row * cols
                    down = float(r - root_row)
                    right = float(c - root_col)
                    length = far[root_row, root_col] + sqrt(down * down + right * right)
                    if length > reach or length >= old - 1e-4:
                        continue
                    if not _clear(opened, counts, here, root):
                        root = place
                        length = far[row, col] + (1.0 if r == row or c == col else 1.4142135623730951)
                        if length > reach or length >= old - 1e-4:
                            continue
                    far[r, c] = length
                    anchor[r, c] = root
                    if not queued[r, c]:
                        queued[r, c] = True
                        pending[count] = here
                        count += 1
    return far
