"""The compiled inner loops of creeping dye; `spread.py` says what they are about.

A place remembers the last corner or edge from which dye reached it in a straight line, its anchor, and is as far as its
anchor plus that line. A line that a wax edge interrupts starts anew from the neighbour. So lengths are true in every
direction, not only along rows and columns, and the way around a corner or through a gap is the short one.
"""

from __future__ import annotations

from math import floor, sqrt

import numpy as np

from batiksim.cloth.compiling import compiled_function

__all__ = ["creep_distance", "mingle"]

FAR = 1e9
STEEP = 0.1  # neighbours that differ by this share of a full strength lie on a front
WET = 0.1
FLOW = 0.2  # share that crosses between neighbours in one round; four neighbours, so below a quarter
SMOOTHING = 4  # rounds of each shorter exchange after the longest


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
        kept = 0
        ready = 0
        # those still to wait come first, those that are ready after the room that they may fill
        for k in range(count):
            place = pending[k]
            if far[place // cols, place % cols] < limit:
                ready += 1
            else:
                kept += 1
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


@compiled_function()
def _band(loads, wet, width):  # type: ignore[no-untyped-def]
    """Wet places within so many steps of a front, as places; fronts are where neighbours hold different dye."""
    pots, rows, cols = loads.shape
    seen = np.zeros((rows, cols), np.bool_)
    places = np.empty(rows * cols, np.int32)
    count = 0
    for row in range(rows):
        for col in range(cols):
            if not wet[row, col]:
                continue
            for k in range(2):
                r = row + k
                c = col + 1 - k
                if r >= rows or c >= cols or not wet[r, c]:
                    continue
                steep = False
                for i in range(pots):
                    steep |= abs(loads[i, row, col] - loads[i, r, c]) > STEEP
                if steep:
                    for a, b in ((row, col), (r, c)):
                        if not seen[a, b]:
                            seen[a, b] = True
                            places[count] = a * cols + b
                            count += 1
    first = 0
    for _ in range(width):
        last = count
        for k in range(first, last):
            row = places[k] // cols
            col = places[k] % cols
            for a, b in ((row - 1, col), (row + 1, col), (row, col - 1), (row, col + 1)):
                if 0 <= a < rows and 0 <= b < cols and wet[a, b] and not seen[a, b]:
                    seen[a, b] = True
                    places[count] = a * cols + b
                    count += 1
        first = last
    count = 0
    for place in range(rows * cols):  # row by row: neighbours then lie near in memory
        if seen[place // cols, place % cols]:
            places[count] = place
            count += 1
    return places[:count]


@compiled_function()
def _links(places, shape):  # type: ignore[no-untyped-def]
    """Each place's four neighbours as int32 (places, 4): their numbers, its own where there is none."""
    rows, cols = shape
    number = np.full((rows, cols), -1, np.int32)
    for k in range(len(places)):
        number[places[k] // cols, places[k] % cols] = k
    links = np.empty((len(places), 4), np.int32)
    for k in range(len(places)):
        row = places[k] // cols
        col = places[k] % cols
        links[k, 0] = number[row - 1, col] if row > 0 else -1
        links[k, 1] = number[row + 1, col] if row + 1 < rows else -1
        links[k, 2] = number[row, col - 1] if col > 0 else -1
        links[k, 3] = number[row, col + 1] if col + 1 < cols else -1
        for j in range(4):
            if links[k, j] < 0:
                links[k, j] = k
    return links


@compiled_function()
def _doubled(links):  # type: ignore[no-untyped-def]
    """Links twice as long, where the whole way lies among the places; so no exchange leaps over wax."""
    twice = np.empty_like(links)
    for k in range(len(links)):
        for j in range(4):
            middle = links[k, j]
            end = links[middle, j]
            twice[k, j] = k if middle == k or end == middle else end
    return twice


@compiled_function()
def _flow(held, after, links, rounds):  # type: ignore[no-untyped-def]
    """Exchange dye along links so many times; returns what is held then, and the other array."""
    share = np.float32(FLOW)
    for _ in range(rounds):
        for k in range(len(held)):
            h = held[k]
            near = held[links[k, 0]] + held[links[k, 1]] + held[links[k, 2]] + held[links[k, 3]]
            after[k] = h + share * (near - np.float32(4.0) * h)
        held, after = after, held
    return held, after


@compiled_function()
def mingle(loads, opened, sigma, width):  # type: ignore[no-untyped-def]
    """Let pots flow into each other, in place, where wet meets wet: dye is neither lost nor made, wax stops it.

    loads : float32 (pots, rows, cols), shares of full strength
    sigma : standard deviation of the flow in pixels; the first exchanges are long ones of a power of two, about half
        of sigma, then shorter ones smooth their grain: so the work doesn't grow with sigma
    width : how far from a front dye flows, in pixels
    """
    pots, rows, cols = loads.shape
    wet = np.zeros((rows, cols), np.bool_)
    for row in range(rows):
        for col in range(cols):
            whole = np.float32(0.0)
            for i in range(pots):
                whole += loads[i, row, col]
            wet[row, col] = opened[row, col] and whole > WET
    places = _band(loads, wet, width)
    count = len(places)
    if count == 0:
        return
    held = np.empty((pots, count), np.float32)
    after = np.empty((pots, count), np.float32)
    for i in range(pots):
        for k in range(count):
            held[i, k] = loads[i, places[k] // cols, places[k] % cols]
    lengths = 1
    while 4.0 * 2.0 ** (lengths - 1) <= sigma:
        lengths += 1
    links = np.empty((lengths, count, 4), np.int32)
    links[0] = _links(places, (rows, cols))
    for n in range(1, lengths):
        links[n] = _doubled(links[n - 1])
    for i in range(pots):
        left = sigma * sigma / (2.0 * FLOW)  # rounds of single steps that it would take
        for n in range(lengths):
            if n + 1 < lengths:
                left -= SMOOTHING * 4.0**n
        one, two = held[i], after[i]
        for n in range(lengths - 1, -1, -1):
            rounds = SMOOTHING if n + 1 < lengths else max(1, int(left / 4.0**n + 0.5))
            one, two = _flow(one, two, links[n], rounds)
        for k in range(count):
            held[i, k] = one[k]
    for k in range(count):
        # only shares flow: where dye thins out towards the end of its reach there stays as much of it as came
        before = np.float32(0.0)
        flowed = np.float32(0.0)
        for i in range(pots):
            before += loads[i, places[k] // cols, places[k] % cols]
            flowed += held[i, k]
        scale = min(np.float32(1.0), before) / max(min(np.float32(1.0), flowed), np.float32(1e-6))
        for i in range(pots):
            loads[i, places[k] // cols, places[k] % cols] = held[i, k] * scale
