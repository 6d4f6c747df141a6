"""The compiled loops of pots that flow into each other where wet meets wet; `spread.py` says what they are about."""

import numpy as np

from batiksim.cloth.compiling import compiled_function

STEEP = 0.1  # neighbours that differ by this share of a full strength lie on a front
WET = 0.1
FLOW = 0.2  # share that crosses between neighbours in one round; four neighbours, so below a quarter
SMOOTHING = 4  # rounds of each shorter exchange after the longest


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
