"""The compiled inner loop: mask bytes in, plate bytes out, one pass over the cloth for all plates.

A pixel's mask bytes are packed into 64-bit words and compared with those of the pixel before; else they are looked up
in a small direct-mapped cache; only on a miss is the history of that spot worked out, by `_history`. What a spot looks
like depends on its mask bytes alone, so the result is the same however the rows are shared among threads.

The same rules in plain numpy stand in `reference.py`; the tests hold one against the other.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numba
import numpy as np

from batiksim.cloth.program import (
    DISCHARGE,
    DYE,
    LOAD_CEILING,
    LOAD_KNEE,
    MOST_PARTS,
    PLATE,
    REACHED,
    REMOVE,
    WAX_COVER,
    WAX_THIN,
)

__all__ = ["render_rows", "survey_rows"]

CACHE_BITS = 12
PADDED = 32  # 31 bands and one of zeros, so that loops fill whole vector registers
_FAST = {"contract", "reassoc", "nsz", "arcp"}


def _compiled(**options: Any) -> Callable[[Callable[..., Any]], Any]:
    """numba.njit, kept on disk for the next run where there is a place to keep it."""

    def wrap(function: Callable[..., Any]) -> Any:
        settings: dict[str, Any] = {"nogil": True, "error_model": "numpy", "fastmath": _FAST, **options}
        try:
            return numba.njit(cache=True, **settings)(function)
        except RuntimeError:  # no folder that can be written to: compile anew each run
            return numba.njit(**settings)(function)

    return wrap


@_compiled(inline="always")
def _held(load):  # type: ignore[no-untyped-def]
    """What the fibre holds of all that was offered: linear at first, then nearing a ceiling."""
    if load <= LOAD_KNEE:
        return load
    room = LOAD_CEILING - LOAD_KNEE
    return LOAD_KNEE + room * (1.0 - np.exp(-(load - LOAD_KNEE) / room))


@_compiled()
def _colour(ks, refl, lin, part, cloth_ks, surface, look, weights):  # type: ignore[no-untyped-def]
    """Reflectance of one part of a pixel, kept in `refl`, and its linear RGB, kept in `lin`."""
    for b in range(PADDED):
        k = cloth_ks[b] + ks[part, b]
        refl[part, b] = surface + (np.float32(1.0) - surface) / (np.float32(1.0) + k + np.sqrt(k * k + k + k))
    _seen(refl, lin, part, look, weights)


@_compiled()
def _seen(refl, lin, part, look, weights):  # type: ignore[no-untyped-def]
    """Linear RGB of a reflectance through a look: dry (look[0] = 0), or filled with water or wax."""
    red = np.float32(0.0)
    green = np.float32(0.0)
    blue = np.float32(0.0)
    one = np.float32(1.0)
    if look[0, 0] == np.float32(0.0):
        for b in range(PADDED):
            r = refl[part, b]
            red += r * weights[0, b]
            green += r * weights[1, b]
            blue += r * weights[2, b]
    else:
        p, q, film = look[0, 1], look[0, 2], look[0, 3]
        for b in range(PADDED):
            a = one - refl[part, b]
            a = a * ((one - a) * q + a)
            r = (one - (one - film) * a / (one - p * (one - a)) - film) * look[1, b]
            red += r * weights[0, b]
            green += r * weights[1, b]
            blue += r * weights[2, b]
    lin[part, 0] = red
    lin[part, 1] = green
    lin[part, 2] = blue


@_compiled()
def _fit_to_gamut(rgb, to_lms, lms_to_lab, lab_to_lms, lms_to_rgb):  # type: ignore[no-untyped-def]
    """CSS Color 4 OKLCh gamut mapping of one linear RGB, in place (bisected chroma, JND 0.02, eps 0.0001)."""
    inside = True
    for c in range(3):
        if rgb[c] < -1e-6 or rgb[c] > 1.000001:
            inside = False
    if inside:
        return
    lab = np.empty(3)
    lms = np.empty(3)
    trial = np.empty(3)
    clipped = np.empty(3)
    for i in range(3):
        s = to_lms[i, 0] * rgb[0] + to_lms[i, 1] * rgb[1] + to_lms[i, 2] * rgb[2]
        lms[i] = np.cbrt(s)
    for i in range(3):
        lab[i] = lms_to_lab[i, 0] * lms[0] + lms_to_lab[i, 1] * lms[1] + lms_to_lab[i, 2] * lms[2]
    if lab[0] >= 1.0 or lab[0] <= 0.0:
        for c in range(3):
            rgb[c] = 1.0 if lab[0] >= 1.0 else 0.0
        return
    # ends of the bisection are shares of the chroma; JND and eps are in OKLab units
    chroma = np.sqrt(lab[1] * lab[1] + lab[2] * lab[2])
    low = 0.0
    high = chroma
    low_inside = True
    scale = chroma
    first = True
    while first or high - low > 0.0001:
        if not first:
            scale = 0.5 * (low + high)
        share = scale / chroma if chroma > 0.0 else 0.0
        a = lab[1] * share
        b = lab[2] * share
        inside = True
        for i in range(3):
            s = lab_to_lms[i, 0] * lab[0] + lab_to_lms[i, 1] * a + lab_to_lms[i, 2] * b
            lms[i] = s * s * s
        for i in range(3):
            trial[i] = lms_to_rgb[i, 0] * lms[0] + lms_to_rgb[i, 1] * lms[1] + lms_to_rgb[i, 2] * lms[2]
            clipped[i] = min(1.0, max(0.0, trial[i]))
            if trial[i] < -1e-7 or trial[i] > 1.0000001:
                inside = False
        if not first and low_inside and inside:
            low = scale
            continue
        # distance between the trial and its clipped form, in OKLab
        d = 0.0
        l0 = np.cbrt(to_lms[0, 0] * clipped[0] + to_lms[0, 1] * clipped[1] + to_lms[0, 2] * clipped[2])
        l1 = np.cbrt(to_lms[1, 0] * clipped[0] + to_lms[1, 1] * clipped[1] + to_lms[1, 2] * clipped[2])
        l2 = np.cbrt(to_lms[2, 0] * clipped[0] + to_lms[2, 1] * clipped[1] + to_lms[2, 2] * clipped[2])
        for i in range(3):
            want = lab[0] if i == 0 else (a if i == 1 else b)
            got = lms_to_lab[i, 0] * l0 + lms_to_lab[i, 1] * l1 + lms_to_lab[i, 2] * l2
            d += (want - got) * (want - got)
        d = np.sqrt(d)
        if first:
            first = False
            if d < 0.02:
                break
            continue
        if d < 0.02:
            if 0.02 - d < 0.0001:
                break
            low_inside = False
            low = scale
        else:
            high = scale
    for c in range(3):
        rgb[c] = clipped[c]


@_compiled()
def _history(  # type: ignore[no-untyped-def]
    levels,
    ops,
    args,
    paint_ks,
    paint_load,
    cloth_ks,
    surface,
    looks,
    weights,
    encode,
    gamut,
    out,
    slot,
    ks,
    refl,
    lin,
    lin_waxed,
    has_waxed,
    share,
    total,
    closed,
    rgb,
):
    """Work out every plate's colour for one set of mask bytes, into out[slot]."""
    parts = 1
    share[0] = 1.0
    total[0] = 0.0
    closed[0] = False
    has_waxed[0] = False
    take = 1.0
    for b in range(PADDED):
        ks[0, b] = np.float32(0.0)
    _colour(ks, refl, lin, 0, cloth_ks, surface, looks[0], weights)
    for o in range(ops.shape[0]):
        code = ops[o, 0]
        level = 255 if ops[o, 1] < 0 else np.int64(levels[ops[o, 1]])
        if code == PLATE:
            rgb[0] = 0.0
            rgb[1] = 0.0
            rgb[2] = 0.0
            for i in range(parts):
                waxed = 0.0 if ops[o, 3] == 0 else (1.0 if closed[i] else 1.0 - take)
                if waxed > 0.0 and not has_waxed[i]:
                    _seen(refl, lin_waxed, i, looks[1], weights)
                    has_waxed[i] = True
                for c in range(3):
                    seen = lin[i, c] if waxed == 0.0 else waxed * lin_waxed[i, c] + (1.0 - waxed) * lin[i, c]
                    rgb[c] += share[i] * seen
            _fit_to_gamut(rgb, gamut[0], gamut[1], gamut[2], gamut[3])
            top = encode.shape[0] - 1
            for c in range(3):
                out[slot, 3 * ops[o, 2] + c] = encode[int(min(1.0, max(0.0, rgb[c])) * top + 0.5)]
        elif code == WAX_COVER and level > 0:
            a = level / 255.0
            for i in range(parts):
                if closed[i]:
                    continue
                if level == 255 or (parts == MOST_PARTS and level > 127):
                    closed[i] = True
                elif parts < MOST_PARTS:
                    j = parts
                    parts += 1
                    for b in range(PADDED):
                        ks[j, b] = ks[i, b]
                        refl[j, b] = refl[i, b]
                    for c in range(3):
                        lin[j, c] = lin[i, c]
                    has_waxed[j] = False
                    total[j] = total[i]
                    closed[j] = True
                    share[j] = share[i] * a
                    share[i] *= 1.0 - a
        elif code == WAX_THIN:
            take *= 1.0 - level / 255.0
        elif code == REMOVE:
            take = 1.0
            for i in range(parts):
                closed[i] = False
        elif code in (DYE, DISCHARGE):
            x = level * take
            if x == 0.0:
                continue
            row = min(254, int(x))
            t = np.float32(x - row)
            for i in range(parts):
                if closed[i]:
                    continue
                if code == DYE:
                    p = ops[o, 2]
                    offered = paint_load[p, row] + (paint_load[p, row + 1] - paint_load[p, row]) * (x - row)
                    before = _held(total[i])
                    total[i] += offered
                    taken = 1.0
                    if total[i] > LOAD_KNEE and offered > 0.0:
                        taken = (_held(total[i]) - before) / offered
                    f = np.float32(taken)
                    for b in range(PADDED):
                        low = paint_ks[p, row, b]
                        ks[i, b] += f * (low + t * (paint_ks[p, row + 1, b] - low))
                else:
                    left = 1.0 - args[o] * x / 255.0
                    f = np.float32(left)
                    total[i] *= left
                    for b in range(PADDED):
                        ks[i, b] *= f
                _colour(ks, refl, lin, i, cloth_ks, surface, looks[0], weights)
                has_waxed[i] = False


@_compiled()
def render_rows(  # type: ignore[no-untyped-def]
    masks, first, last, ops, args, paint_ks, paint_load, cloth_ks, surface, looks, weights, encode, gamut, plates
):
    """Fill rows first..last of plates (plates, rows, cols, 3) uint8 from masks (masks, rows, cols) uint8."""
    count = masks.shape[0]
    cols = masks.shape[2]
    shown = plates.shape[0]
    words = max(1, (count + 7) // 8)
    slots = 1 << CACHE_BITS
    keys = np.zeros((slots, words), np.uint64)
    filled = np.zeros(slots, np.bool_)
    cache = np.zeros((slots, 3 * shown), np.uint8)
    levels = np.zeros(max(1, count), np.uint8)
    key = np.zeros(words, np.uint64)
    ks = np.zeros((MOST_PARTS, PADDED), np.float32)
    refl = np.zeros((MOST_PARTS, PADDED), np.float32)
    lin = np.zeros((MOST_PARTS, 3), np.float32)
    lin_waxed = np.zeros((MOST_PARTS, 3), np.float32)
    has_waxed = np.zeros(MOST_PARTS, np.bool_)
    share = np.zeros(MOST_PARTS)
    total = np.zeros(MOST_PARTS)
    closed = np.zeros(MOST_PARTS, np.bool_)
    rgb = np.zeros(3)
    slot = np.int64(-1)
    head = np.uint64(0)
    known = False
    for row in range(first, last):
        for col in range(cols):
            fresh = not known
            word = np.uint64(0)
            for m in range(min(8, count)):
                word = (word << np.uint64(8)) | np.uint64(masks[m, row, col])
            if word != head:
                fresh = True
                head = word
            for w in range(1, words):
                more = np.uint64(0)
                for m in range(8 * w, min(8 * w + 8, count)):
                    more = (more << np.uint64(8)) | np.uint64(masks[m, row, col])
                if more != key[w]:
                    fresh = True
                    key[w] = more
            if fresh:
                known = True
                key[0] = head
                mixed = head
                for w in range(1, words):
                    mixed = (mixed ^ (mixed >> np.uint64(29))) * np.uint64(0xBF58476D1CE4E5B9) + key[w]
                mixed = (mixed ^ (mixed >> np.uint64(31))) * np.uint64(0x9E3779B97F4A7C15)
                slot = np.int64(mixed >> np.uint64(64 - CACHE_BITS))
                same = filled[slot]
                for w in range(words):
                    if keys[slot, w] != key[w]:
                        same = False
                if not same:
                    for m in range(count):
                        levels[m] = masks[m, row, col]
                    _history(
                        levels,
                        ops,
                        args,
                        paint_ks,
                        paint_load,
                        cloth_ks,
                        surface,
                        looks,
                        weights,
                        encode,
                        gamut,
                        cache,
                        slot,
                        ks,
                        refl,
                        lin,
                        lin_waxed,
                        has_waxed,
                        share,
                        total,
                        closed,
                        rgb,
                    )
                    filled[slot] = True
                    for w in range(words):
                        keys[slot, w] = key[w]
            for p in range(shown):
                plates[p, row, col, 0] = cache[slot, 3 * p]
                plates[p, row, col, 1] = cache[slot, 3 * p + 1]
                plates[p, row, col, 2] = cache[slot, 3 * p + 2]


@_compiled()
def _reached(levels, ops, args, bits):  # type: ignore[no-untyped-def]
    """Set a bit for every dyeing or discharge that reached most of this spot; see `regions.reached_bits`."""
    for w in range(bits.shape[0]):
        bits[w] = np.uint64(0)
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
        elif code in (DYE, DISCHARGE):
            amount = level * take * (args[o] if code == DISCHARGE else 1.0)
            if opened > 0.5 and amount >= REACHED and (dyed or code == DYE):
                bits[o >> 6] |= np.uint64(1) << np.uint64(o & 63)
                dyed = True


@_compiled()
def survey_rows(masks, first, last, ops, args, counts, sums, table):  # type: ignore[no-untyped-def]
    """Count pixels by history in rows first..last.

    counts (most,), sums (most, masks): pixels and summed mask bytes of each history found, to be filled
    table (most, words) uint64: the bits of each history; place 0 gathers what found no room
    returns : how many places of the table are in use
    """
    count = masks.shape[0]
    cols = masks.shape[2]
    words = table.shape[1]
    bits = np.zeros(words, np.uint64)
    levels = np.zeros(max(1, count), np.uint8)
    slots = 1 << CACHE_BITS
    keys = np.zeros((slots, max(1, count)), np.uint8)
    index = np.full(slots, -1, np.int64)
    used = 1
    place = -1
    run = 0
    for row in range(first, last):
        for col in range(cols):
            fresh = place < 0
            for m in range(count):
                if masks[m, row, col] != levels[m]:
                    fresh = True
            if not fresh:
                run += 1
                continue
            if place >= 0:
                counts[place] += run
                for m in range(count):
                    sums[place, m] += run * np.int64(levels[m])
            run = 1
            mixed = np.uint64(0)
            for m in range(count):
                levels[m] = masks[m, row, col]
                mixed = (mixed ^ np.uint64(levels[m])) * np.uint64(0x9E3779B97F4A7C15)
                mixed ^= mixed >> np.uint64(32)
            slot = np.int64((mixed * np.uint64(0x9E3779B97F4A7C15)) >> np.uint64(64 - CACHE_BITS))
            same = index[slot] >= 0
            for m in range(count):
                if keys[slot, m] != levels[m]:
                    same = False
            if not same:
                _reached(levels, ops, args, bits)
                found = 0
                for r in range(1, used):
                    equal = True
                    for w in range(words):
                        if table[r, w] != bits[w]:
                            equal = False
                    if equal:
                        found = r
                        break
                if found == 0 and used < table.shape[0]:
                    found = used
                    used += 1
                    for w in range(words):
                        table[found, w] = bits[w]
                index[slot] = found
                for m in range(count):
                    keys[slot, m] = levels[m]
            place = index[slot]
    if place >= 0:
        counts[place] += run
        for m in range(count):
            sums[place, m] += run * np.int64(levels[m])
    return used
