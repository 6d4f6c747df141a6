"""The compiled inner loop: mask bytes in, plate bytes out, one pass over the cloth for all plates.

A row is cut into runs of equal mask bytes. Each run's bytes are looked up in a small direct-mapped cache; for those not
found, the history of such a spot is worked out; then all plates are filled. These three go batch by batch, so that each
loop is small and keeps its numbers in registers. What a spot looks like depends on its mask bytes alone, so the result
is the same however the rows are shared among threads.

The same rules in plain numpy stand in `rules.py`; the tests hold one against the other.
"""

from functools import partial
from typing import NamedTuple

import numpy as np

from batiksim.cloth.compiling import compiled_function
from batiksim.cloth.loads import LOAD_CEILING, LOAD_KNEE
from batiksim.cloth.program import (
    DISCHARGE,
    DYE,
    KEY_BITS,
    KEYS_A_WORD,
    LEAST_REACH,
    MOST_PARTS,
    REMOVE,
    WAX_COVER,
    WAX_THIN,
)
from batiksim.types import Bools, Bytes, Floats, Ints, Singles, Words

CACHE_BITS = 14  # places in a thread's cache, as a power of two
CACHE_BYTES = 1 << 19  # with many plates there are fewer places, so that they stay near the processor
STRETCH = 32  # pixels of one colour that are written in one go
PADDED = 32  # 31 bands and one of zeros, so that loops fill whole vector registers
SHOW = -1  # among the codes of operations: a plate is made
SHOW_WAXED = -2  # with the wax that lies there
INSIDE = 1e-6  # a colour this far outside sRGB, in linear light, still counts as inside
JND, EPSILON = 0.02, 0.0001  # OKLab units; CSS Color 4
_compiled = partial(compiled_function, fastmath={"contract", "reassoc", "nsz", "arcp"})


class Tables(NamedTuple):
    """A program as the loops take it: the fields of `Program`, float32 and `PADDED` bands wide where they are spectra.

    acts (operations and plates, 4) : in order, an operation, or `SHOW` or `SHOW_WAXED`, -1, place in the plates
    surface : float32
    looks (2, 2, PADDED) : bare and waxed cloth; row 0: whether a film lies on it, and its p, q and r; row 1: its tint
    weights (3, PADDED) : reflectance to linear sRGB
    encode : linear light 0..1 in equal steps to sRGB bytes
    gamut (4, 3, 3) : linear sRGB to cones, to OKLab, and both ways back
    """

    acts: Ints
    args: Floats
    paint_ks: Singles
    paint_load: Floats
    cloth_ks: Singles
    surface: np.float32
    looks: Singles
    weights: Singles
    encode: Bytes
    gamut: Floats


class _Fibre(NamedTuple):
    """States of fibre, the nodes: what it holds and how it looks. Node 0 is bare; only the first ones are in use.

    ks, refl (nodes, PADDED); total (nodes,) : load offered in all
    lin (nodes, 3) : linear RGB; lin_waxed : under wax, worked out where has_waxed
    child (nodes, acts) : the node after a dyeing or discharge, 0 where that is not worked out yet
    loads (masks,) : masks that change what fibre holds; levels (masks,) : their bytes that the nodes stand for
    """

    ks: Singles
    refl: Singles
    total: Floats
    lin: Singles
    lin_waxed: Singles
    has_waxed: Bools
    child: Ints
    loads: Bools
    levels: Bytes


class _Spot(NamedTuple):
    """The parts of the spot that is being worked out. node, share (parts,); open_parts : places of the open ones.

    fitted (2, 3) : the last colour that no screen shows, and what it was fitted to
    """

    node: Ints
    share: Singles
    open_parts: Ints
    fitted: Floats


class _Lookup(NamedTuple):
    """The direct-mapped cache. keys (places, masks) : the mask bytes of each place; colours (places, 3 * plates).

    claimed (places,) : the last batch of runs that used a place, -1 = none yet
    """

    keys: Bytes
    colours: Bytes
    claimed: Ints


class _Runs(NamedTuple):
    """A batch of runs along a row. ends, places (runs,) : first column after each, its place in the lookup.

    missing : places that have to be worked out
    words, changed : where any mask changes along the row, eight columns at a time and one by one
    """

    ends: Ints
    places: Ints
    missing: Ints
    words: Words
    changed: Bytes


# How fibre looks and takes dye


@_compiled(inline="always")
def _held(load):  # type: ignore[no-untyped-def]
    """What the fibre holds of all that was offered: linear at first, then nearing a ceiling."""
    if load <= LOAD_KNEE:
        return load
    room = LOAD_CEILING - LOAD_KNEE
    return LOAD_KNEE + room * (1.0 - np.exp(-(load - LOAD_KNEE) / room))


@_compiled()
def _seen(refl, lin, node, look, weights):  # type: ignore[no-untyped-def]
    """Linear RGB of a node's reflectance through a look: dry (look[0, 0] = 0), or filled with water or wax."""
    red = np.float32(0.0)
    green = np.float32(0.0)
    blue = np.float32(0.0)
    one = np.float32(1.0)
    if look[0, 0] == np.float32(0.0):
        for b in range(PADDED):
            r = refl[node, b]
            red += r * weights[0, b]
            green += r * weights[1, b]
            blue += r * weights[2, b]
    else:
        p, q, film = look[0, 1], look[0, 2], look[0, 3]
        for b in range(PADDED):
            a = one - refl[node, b]
            a = a * ((one - a) * q + a)
            r = (one - (one - film) * a / (one - p * (one - a)) - film) * look[1, b]
            red += r * weights[0, b]
            green += r * weights[1, b]
            blue += r * weights[2, b]
    lin[node, 0] = red
    lin[node, 1] = green
    lin[node, 2] = blue


@_compiled()
def _new_node(ks, refl, lin, node, cloth_ks, surface, look, weights):  # type: ignore[no-untyped-def]
    """Work out how fibre that holds ks[node] looks."""
    one = np.float32(1.0)
    for b in range(PADDED):
        k = cloth_ks[b] + ks[node, b]
        refl[node, b] = surface + (one - surface) / (one + k + np.sqrt(k * k + k + k))
    _seen(refl, lin, node, look, weights)


@_compiled()
def _dyed(ks, total, node, fresh, paint_ks, paint_load, x):  # type: ignore[no-untyped-def]
    """Fibre of `node`, dyed at mask level x (0..255), becomes node `fresh`."""
    row = min(254, int(x))
    offered = paint_load[row] + (paint_load[row + 1] - paint_load[row]) * (x - row)
    after = total[node] + offered
    taken = 1.0
    if after > LOAD_KNEE and offered > 0.0:
        taken = (_held(after) - _held(total[node])) / offered
    total[fresh] = after
    f = np.float32(taken)
    t = np.float32(x - row)
    for b in range(PADDED):
        low = paint_ks[row, b]
        ks[fresh, b] = ks[node, b] + f * (low + t * (paint_ks[row + 1, b] - low))


# Colours that no screen shows: W3C CSS Color Module Level 4, "Gamut mapping" (binary search with local clipping)


@_compiled()
def _times(matrix, a, b, c):  # type: ignore[no-untyped-def]
    """A 3 x 3 matrix times a column."""
    return (
        matrix[0, 0] * a + matrix[0, 1] * b + matrix[0, 2] * c,
        matrix[1, 0] * a + matrix[1, 1] * b + matrix[1, 2] * c,
        matrix[2, 0] * a + matrix[2, 1] * b + matrix[2, 2] * c,
    )


@_compiled()
def _to_oklab(rgb, gamut):  # type: ignore[no-untyped-def]
    long, medium, short = _times(gamut[0], rgb[0], rgb[1], rgb[2])
    return _times(gamut[1], np.cbrt(long), np.cbrt(medium), np.cbrt(short))


@_compiled()
def _clipped_at(lab, share, gamut):  # type: ignore[no-untyped-def]
    """A colour with a share of its chroma: clipped to sRGB, what that costs (deltaEOK), whether it was inside."""
    light, a, b = lab[0], lab[1] * share, lab[2] * share
    long, medium, short = _times(gamut[2], light, a, b)
    red, green, blue = _times(gamut[3], long * long * long, medium * medium * medium, short * short * short)
    clipped = min(1.0, max(0.0, red)), min(1.0, max(0.0, green)), min(1.0, max(0.0, blue))
    seen = _to_oklab(clipped, gamut)
    error = np.sqrt((seen[0] - light) ** 2 + (seen[1] - a) ** 2 + (seen[2] - b) ** 2)
    return clipped, error, min(red, green, blue) >= -1e-7 and max(red, green, blue) <= 1.0000001


@_compiled()
def _fit_to_gamut(rgb, gamut):  # type: ignore[no-untyped-def]
    """The linear RGB that a screen shows in place of one outside sRGB. Step by step as CSS Color 4 has it."""
    lab = _to_oklab(rgb, gamut)
    if lab[0] >= 1.0:
        return 1.0, 1.0, 1.0
    if lab[0] <= 0.0:
        return 0.0, 0.0, 0.0
    clipped, error, _ = _clipped_at(lab, 1.0, gamut)
    if error < JND:
        return clipped
    full = np.sqrt(lab[1] * lab[1] + lab[2] * lab[2])
    low, high = 0.0, full
    low_in_gamut = True
    while high - low > EPSILON:
        chroma = 0.5 * (low + high)
        trial, error, in_gamut = _clipped_at(lab, chroma / full, gamut)
        if low_in_gamut and in_gamut:
            low = chroma
            continue
        clipped = trial
        if error >= JND:
            high = chroma
        elif JND - error < EPSILON:
            break
        else:
            low_in_gamut = False
            low = chroma
    return clipped


# One spot


@_compiled()
def _work_out(missing, lookup, tables, fibre, spot, nodes):  # type: ignore[no-untyped-def]
    """Work out every plate's colour at the missing places of the lookup; returns how many nodes are in use.

    One long loop over local names: passing the tuples on, or reading them within it, costs many times what it does.
    """
    acts, args, paint_ks, paint_load, cloth_ks, surface, looks, weights, encode, gamut = tables
    ks, refl, total, lin, lin_waxed, has_waxed, child, loads, levels = fibre
    part_node, part_share, open_parts, fitted = spot
    keys, colours, _ = lookup
    zero = np.float32(0.0)
    one = np.float32(1.0)
    scale = np.float32(encode.shape[0] - 1)
    half = np.float32(0.5)
    for place in missing:
        anew = nodes > child.shape[0] - MOST_PARTS * child.shape[1]
        for m in range(keys.shape[1]):
            if loads[m] and levels[m] != keys[place, m]:
                anew = True
                levels[m] = keys[place, m]
        if anew:
            nodes = 1
            for o in range(acts.shape[0]):
                child[0, o] = 0
        parts = 1
        part_node[0] = 0
        part_share[0] = one
        unwaxed = 1
        open_parts[0] = 0
        take = 1.0
        # what sealed parts add to a plate, with their wax on and off
        wax_r = wax_g = wax_b = bare_r = bare_g = bare_b = zero
        for o in range(acts.shape[0]):
            code = acts[o, 0]
            level = 255 if acts[o, 1] < 0 else np.int64(keys[place, acts[o, 1]])
            if code < 0:
                shown = code == SHOW_WAXED
                r, g, b = (wax_r, wax_g, wax_b) if shown else (bare_r, bare_g, bare_b)
                thin = np.float32(1.0 - take) if shown else zero
                for j in range(unwaxed):
                    i = open_parts[j]
                    n = part_node[i]
                    bare = part_share[i] * (one - thin)
                    r += bare * lin[n, 0]
                    g += bare * lin[n, 1]
                    b += bare * lin[n, 2]
                    if thin > zero:
                        if not has_waxed[n]:
                            _seen(refl, lin_waxed, n, looks[1], weights)
                            has_waxed[n] = True
                        waxed = part_share[i] * thin
                        r += waxed * lin_waxed[n, 0]
                        g += waxed * lin_waxed[n, 1]
                        b += waxed * lin_waxed[n, 2]
                if min(r, g, b) < -INSIDE or max(r, g, b) > 1.0 + INSIDE:
                    if (
                        fitted[0, 0] != r or fitted[0, 1] != g or fitted[0, 2] != b
                    ):  # plates often show one colour twice
                        fitted[0, 0], fitted[0, 1], fitted[0, 2] = r, g, b
                        red, green, blue = _fit_to_gamut((fitted[0, 0], fitted[0, 1], fitted[0, 2]), gamut)
                        fitted[1, 0], fitted[1, 1], fitted[1, 2] = red, green, blue
                    r, g, b = np.float32(fitted[1, 0]), np.float32(fitted[1, 1]), np.float32(fitted[1, 2])
                at = 3 * acts[o, 2]
                colours[place, at] = encode[np.int32(min(one, max(zero, r)) * scale + half)]
                colours[place, at + 1] = encode[np.int32(min(one, max(zero, g)) * scale + half)]
                colours[place, at + 2] = encode[np.int32(min(one, max(zero, b)) * scale + half)]
            elif code == WAX_COVER:
                if level == 0:
                    continue
                a = np.float32(level) * np.float32(1.0 / 255.0)
                still = 0
                for j in range(unwaxed):
                    i = open_parts[j]
                    share = part_share[i]
                    if level < 255 and (parts < MOST_PARTS or level <= 127):
                        open_parts[still] = i
                        still += 1
                        if parts == MOST_PARTS:
                            continue
                        part_node[parts] = part_node[i]
                        part_share[i] = share * (one - a)
                        share *= a
                        part_share[parts] = share
                        parts += 1
                    n = part_node[i]
                    if not has_waxed[n]:
                        _seen(refl, lin_waxed, n, looks[1], weights)
                        has_waxed[n] = True
                    wax_r += share * lin_waxed[n, 0]
                    wax_g += share * lin_waxed[n, 1]
                    wax_b += share * lin_waxed[n, 2]
                    bare_r += share * lin[n, 0]
                    bare_g += share * lin[n, 1]
                    bare_b += share * lin[n, 2]
                unwaxed = still
            elif code == WAX_THIN:
                take *= 1.0 - level / 255.0
            elif code == REMOVE:
                take = 1.0
                wax_r = wax_g = wax_b = bare_r = bare_g = bare_b = zero
                unwaxed = parts
                for i in range(parts):
                    open_parts[i] = i
            else:
                x = level * take
                if x == 0.0:
                    continue
                for j in range(unwaxed):
                    i = open_parts[j]
                    n = part_node[i]
                    fresh = child[n, o]
                    if fresh == 0:
                        fresh = nodes
                        nodes += 1
                        for later in range(child.shape[1]):
                            child[fresh, later] = 0
                        child[n, o] = fresh
                        has_waxed[fresh] = False
                        if code == DYE:
                            _dyed(ks, total, n, fresh, paint_ks[acts[o, 2]], paint_load[acts[o, 2]], x)
                        else:
                            left = 1.0 - args[o] * x / 255.0
                            total[fresh] = total[n] * left
                            f = np.float32(left)
                            for band in range(PADDED):
                                ks[fresh, band] = ks[n, band] * f
                        _new_node(ks, refl, lin, fresh, cloth_ks, surface, looks[0], weights)
                    part_node[i] = fresh
    return nodes


# Rows


@_compiled()
def _mark_changes(masks, row, changed):  # type: ignore[no-untyped-def]
    """changed[col] = 0 where every mask has the byte it had one column before."""
    cols = masks.shape[2]
    for col in range(cols):
        changed[col] = 0
    for m in range(masks.shape[0]):
        for col in range(1, cols):
            changed[col] |= masks[m, row, col] ^ masks[m, row, col - 1]


@_compiled(inline="always")
def _run_end(changed, words, col, cols):  # type: ignore[no-untyped-def]
    """The first column after `col` where something changes; `words` is `changed` seen eight bytes at a time."""
    end = col + 1
    while end < cols and changed[end] == 0:
        end += 1
        if end & 7 == 0:
            while end + 8 <= cols and words[end >> 3] == 0:
                end += 8
    return end


@_compiled(inline="always")
def _hashed(masks, row, col, shift):  # type: ignore[no-untyped-def]
    """A number that the mask bytes of a pixel decide, of 64 - shift bits."""
    count = masks.shape[0]
    mixed = np.uint64(0)
    word = np.uint64(0)
    for m in range(count):
        word = (word << np.uint64(8)) | np.uint64(masks[m, row, col])
        if m & 7 == 7 or m == count - 1:
            mixed = (mixed ^ word) * np.uint64(0x9E3779B97F4A7C15)
            mixed ^= mixed >> np.uint64(32)
            word = np.uint64(0)
    return np.int64((mixed * np.uint64(0x9E3779B97F4A7C15)) >> shift)


@_compiled()
def _find_runs(masks, row, col, lookup, batch, runs):  # type: ignore[no-untyped-def]
    """Cut a row into runs from `col` on, each with a place in the lookup, up to where two need the same place.

    returns : how many runs, how many missing places
    """
    keys, claimed = lookup.keys, lookup.claimed
    ends, places, missing, words, changed = runs.ends, runs.places, runs.missing, runs.words, runs.changed
    count = masks.shape[0]
    cols = masks.shape[2]
    shift = np.uint64(64)
    size = claimed.shape[0]
    while size > 1:
        shift -= np.uint64(1)
        size >>= 1
    found = 0
    misses = 0
    while col < cols:
        place = _hashed(masks, row, col, shift)
        known = claimed[place] >= 0
        for m in range(count):
            if keys[place, m] != masks[m, row, col]:
                known = False
        if not known:
            if claimed[place] == batch:
                break
            for m in range(count):
                keys[place, m] = masks[m, row, col]
            missing[misses] = place
            misses += 1
        claimed[place] = batch
        col = _run_end(changed, words, col, cols)
        places[found] = place
        ends[found] = col
        found += 1
    return found, misses


@_compiled()
def _fill(plates, row, col, ends, places, colours, stretch):  # type: ignore[no-untyped-def]
    """Write the runs that begin at `col` into every plate."""
    for p in range(plates.shape[0]):
        at = col
        for run in range(len(ends)):
            red = colours[places[run], 3 * p]
            green = colours[places[run], 3 * p + 1]
            blue = colours[places[run], 3 * p + 2]
            end = ends[run]
            if end - at >= 2 * STRETCH:
                for i in range(STRETCH):
                    stretch[3 * i] = red
                    stretch[3 * i + 1] = green
                    stretch[3 * i + 2] = blue
                line = plates[p, row, 3 * at : 3 * end]
                whole = (end - at) // STRETCH
                for k in range(whole):  # of known length, so that it is compiled to whole registers
                    piece = line[3 * STRETCH * k : 3 * STRETCH * (k + 1)]
                    for i in range(3 * STRETCH):
                        piece[i] = stretch[i]
                at += STRETCH * whole
            while at < end:
                plates[p, row, 3 * at] = red
                plates[p, row, 3 * at + 1] = green
                plates[p, row, 3 * at + 2] = blue
                at += 1


@_compiled()
def _render_rows(masks, first, last, tables, plates, room):  # type: ignore[no-untyped-def]
    cols = masks.shape[2]
    lookup, runs, fibre, spot, stretch = room
    cloth_ks, surface, looks, weights = tables.cloth_ks, tables.surface, tables.looks, tables.weights
    _new_node(fibre.ks, fibre.refl, fibre.lin, np.int64(0), cloth_ks, surface, looks[0], weights)
    # numbers of one type from the start: else their users are compiled twice
    nodes = np.int64(1)
    batch = np.int64(0)
    for row in range(np.int64(first), np.int64(last)):
        _mark_changes(masks, row, runs.changed)
        col = np.int64(0)
        while col < cols:
            found, misses = _find_runs(masks, row, col, lookup, batch, runs)
            if misses > 0:
                nodes = _work_out(runs.missing[:misses], lookup, tables, fibre, spot, nodes)
            _fill(plates, row, col, runs.ends[:found], runs.places[:found], lookup.colours, stretch)
            col = runs.ends[found - 1]
            batch += 1


def render_rows(masks: Bytes, first: int, last: int, tables: Tables, plates: Bytes) -> None:
    """Fill rows first..last of plates (plates, rows, 3 * cols) uint8 from masks (masks, rows, cols) uint8."""
    _render_rows(masks, first, last, tables, plates, _room(tables.acts, len(masks), masks.shape[2], len(plates)))


def _room(acts: Ints, masks: int, cols: int, plates: int) -> tuple[_Lookup, _Runs, _Fibre, _Spot, Bytes]:
    """What a call works in, made by numpy: each kind of array made within the loop is a quarter second to compile."""
    bits = CACHE_BITS
    while bits > 6 and (3 * plates << bits) > CACHE_BYTES:
        bits -= 1
    lookup = _Lookup(
        keys=np.zeros((1 << bits, max(1, masks)), np.uint8),
        colours=np.zeros((1 << bits, 3 * plates), np.uint8),
        claimed=np.full(1 << bits, -1, np.int64),
    )
    words = np.zeros(cols // 8 + 2, np.uint64)  # a byte a column, and eight after the last
    ends, places, missing = np.zeros((3, cols), np.int64)
    codes, columns = acts[:, 0], acts[:, 1]
    loads = np.zeros(max(1, masks), np.bool_)
    loads[columns[np.isin(codes, (DYE, DISCHARGE, WAX_THIN)) & (columns >= 0)]] = True
    capacity = MOST_PARTS * 2 * len(acts) + 1  # each part may change its node at each dyeing, and be parted
    fibre = _Fibre(
        ks=np.zeros((capacity, PADDED), np.float32),
        refl=np.empty((capacity, PADDED), np.float32),
        total=np.zeros(capacity),
        lin=np.empty((capacity, 3), np.float32),
        lin_waxed=np.empty((capacity, 3), np.float32),
        has_waxed=np.zeros(capacity, np.bool_),
        child=np.zeros((capacity, len(acts)), np.int64),
        loads=loads,
        levels=np.zeros(max(1, masks), np.uint8),
    )
    spot = _Spot(
        node=np.zeros(MOST_PARTS, np.int64),
        share=np.zeros(MOST_PARTS, np.float32),
        open_parts=np.zeros(MOST_PARTS, np.int64),
        fitted=np.zeros((2, 3)),
    )
    runs = _Runs(ends, places, missing, words, words.view(np.uint8))
    return lookup, runs, fibre, spot, np.empty(3 * STRETCH, np.uint8)


# Histories


@compiled_function()  # strict arithmetic: what comes has to be the same number as in `rules`
def _history_key(levels, ops, args, thresholds, key):  # type: ignore[no-untyped-def]
    """What one spot went through: see `rules.history_keys`. levels : its mask bytes; key : words, to be filled."""
    for w in range(key.shape[0]):
        key[w] = np.uint64(0)
    opened = 1.0
    take = 1.0
    dyed = False
    for o in range(ops.shape[0]):
        code = ops[o, 0]
        level = 1.0 if ops[o, 1] < 0 else levels[ops[o, 1]] / 255.0
        if code == WAX_COVER:
            opened *= 1.0 - level
        elif code == WAX_THIN:
            take *= 1.0 - level
        elif code == REMOVE:
            opened = 1.0
            take = 1.0
        else:
            amount = level * take * (args[o] if code == DISCHARGE else 1.0)
            if opened > 0.5 and amount >= LEAST_REACH and (dyed or code == DYE):
                found = np.uint64(0)
                for least in thresholds:
                    if amount >= least:
                        found += np.uint64(1)
                key[o // KEYS_A_WORD] |= found << np.uint64(KEY_BITS * (o % KEYS_A_WORD))
                dyed = dyed or code == DYE


@_compiled()
def _home(key, table, homes):  # type: ignore[no-untyped-def]
    """The place in `homes` where the row of a key stands, or would stand."""
    mixed = np.uint64(0)
    for w in range(key.shape[0]):
        mixed = (mixed ^ key[w]) * np.uint64(0x9E3779B97F4A7C15)
        mixed ^= mixed >> np.uint64(32)
    home = np.int64(mixed % np.uint64(homes.shape[0]))
    while homes[home] >= 0:
        same = True
        for w in range(key.shape[0]):
            if table[homes[home], w] != key[w]:
                same = False
        if same:
            break
        home = (home + 1) % homes.shape[0]
    return home


@_compiled()
def _survey_rows(masks, first, last, ops, args, thresholds, counts, sums, table, room):  # type: ignore[no-untyped-def]
    count = masks.shape[0]
    cols = masks.shape[2]
    key, levels, known, rows_of, homes, changed_words, changed = room
    used = 1
    for row in range(first, last):
        _mark_changes(masks, row, changed)
        col = 0
        while col < cols:
            end = _run_end(changed, changed_words, col, cols)
            slot = _hashed(masks, row, col, np.uint64(64 - CACHE_BITS))
            same = rows_of[slot] >= 0
            for m in range(count):
                levels[m] = masks[m, row, col]
                if known[slot, m] != levels[m]:
                    same = False
            if not same:
                _history_key(levels, ops, args, thresholds, key)
                home = _home(key, table, homes)
                if homes[home] < 0 and used < table.shape[0]:
                    homes[home] = used
                    for w in range(key.shape[0]):
                        table[used, w] = key[w]
                    used += 1
                rows_of[slot] = max(0, homes[home])
                for m in range(count):
                    known[slot, m] = levels[m]
            place = rows_of[slot]
            counts[place] += end - col
            for m in range(count):
                sums[place, m] += (end - col) * np.int64(levels[m])
            col = end
    return used


def survey_rows(
    masks: Bytes, first: int, last: int, ops: Ints, args: Floats, thresholds: Floats,
    counts: Ints, sums: Ints, table: Words,
) -> int:  # fmt: skip
    """Count pixels by history in rows first..last.

    thresholds : of the classes in a key; counts (most,), sums (most, masks): pixels and summed mask bytes of each key
    found, to be filled; table (most, words) uint64: the keys; row 0 gathers what found no room
    returns : how many rows of the table are in use
    """
    count, _, cols = masks.shape
    words = np.zeros(cols // 8 + 2, np.uint64)
    key, levels = np.zeros(table.shape[1], np.uint64), np.zeros(max(1, count), np.uint8)
    known = np.zeros((1 << CACHE_BITS, max(1, count)), np.uint8)  # mask bytes, and the row of their key
    rows_of = np.full(1 << CACHE_BITS, -1, np.int64)
    homes = np.full(4 * len(table), -1, np.int64)  # rows by a hash of their key
    room = key, levels, known, rows_of, homes, words, words.view(np.uint8)
    return int(_survey_rows(masks, first, last, ops, args, thresholds, counts, sums, table, room))
