"""What a design makes of the cloth, made once and read by all: histories, what fibre holds after each step, regions.

A history is the sequence of dyeings and discharges that a spot took. Where one sequence came at plainly different
strengths (thin wax over a part of it, a paint mask in two greys), each strength is a history of its own, so that every
region has a colour that lies on the cloth.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from batiksim.cloth.dyes_on_cloth import ClothDyes
from batiksim.cloth.program import DISCHARGE, DYE, Program, check_masks, compile_design
from batiksim.cloth.render import compiled, default_threads
from batiksim.cloth.rules import AMOUNT_CLASSES, Moment, history_keys, key_classes, key_words, walk
from batiksim.colour import ciede2000, kubelka_munk, names, spaces, spectra
from batiksim.colour.gamut import xyz_to_hex
from batiksim.types import Bools, Bytes, Floats, Ints, Words, triple
from batiksim.values import Design, Region

BAND_PIXELS = 1 << 21  # rows are shared out in bands of about this many pixels
MOST_HISTORIES = 4096
LEAST_SHARE = 0.001
EDGES = "edges"

# When one sequence of dyeings counts as two histories: a part of its spots, no mere rim or texture, took so much more
# or less of something that anyone sees two colours after one step or another. Assumptions.
ALIKE = 0.25  # strengths that differ by less, by ratio, belong together
LEAST_PART = 0.1  # of the sequence's spots
PLAINLY = 4.0  # CIEDE2000
LEAST_LEFT = 0.05  # bleach that leaves less leaves nothing that shows

Spots = tuple[Words, Ints, Ints]
"""Keys (n, words) of `history_keys`, pixels (n,), summed mask bytes (n, masks); the first row has no key: the rest."""


@dataclass(frozen=True, kw_only=True)
class History:
    """Spots of one history: the operations that reached them, how many pixels, the mean byte of each mask there.

    levels : of those that took about as much as most of them do, not of a soft rim; cracks count as clear
    classes : how much of each of these operations came, by `rules.AMOUNT_CLASSES`
    mixed : spots of rare histories, more than are told apart, taken together; nothing else is known of them then
    """

    reached: tuple[int, ...]
    pixels: int
    levels: tuple[float, ...]
    classes: tuple[int, ...] = ()
    mixed: bool = False


@dataclass(frozen=True, eq=False, kw_only=True)
class Held:
    """What open fibre holds.

    loads : of each dye that it was offered, full strengths; ks : (31,) K/S that they add to the cloth's
    offered : full strengths offered in all, less what bleach took: tells how full it is
    """

    loads: Mapping[str, float]
    ks: Floats
    offered: float


@dataclass(frozen=True, eq=False, kw_only=True)
class Outcome:
    """A design's program, the histories of its cloth (the largest first, mixed ones last), and what they hold.

    numbers : of each key of `history_keys`, with these `thresholds`, the number of its history; see `labels`
    """

    design: Design
    dyes: ClothDyes
    program: Program
    histories: tuple[History, ...]
    numbers: Mapping[bytes, int]
    thresholds: Floats

    @cached_property
    def pixels(self) -> int:
        """Of the whole cloth."""
        return sum(history.pixels for history in self.histories)

    def share(self, history: History) -> float:
        """A history's part of the cloth, 0..1."""
        return history.pixels / self.pixels

    def ops_until(self, step: int) -> int:
        """How many operations the first steps, so many, have."""
        return sum(number <= step for number in self.program.step_of_op)

    def pot_of(self, op: int) -> str:
        """The pot of a dyeing; "discharge" for a discharge."""
        code, _, paint = self.program.ops[op].tolist()
        return self.program.pots[paint] if code == DYE else "discharge"

    def story(self, history: History) -> tuple[str, ...]:
        """The pots and discharges of a history, in order."""
        return tuple(self.pot_of(op) for op in history.reached)

    def of_masks(self, planes: Bytes) -> Outcome:
        """The same design on other masks, such as one spot's. planes : uint8 (planes, rows, cols)."""
        return outcome_of(self.design, self.dyes, planes, program=self.program, threads=1)

    # What fibre holds

    @cached_property
    def _states(self) -> tuple[Floats, Floats, Floats]:
        """Loads (ops + 1, histories, dyes) and what was offered (ops + 1, histories) just before each operation and at
        the end; amounts (ops + 1, histories) that came. One walk for all; what is mixed counts as bare.
        """
        shape = len(self.program.ops), len(self.histories)
        only = np.zeros(shape, bool)
        for number, history in enumerate(self.histories):
            only[list(history.reached), number] = True
        levels = np.array([history.levels for history in self.histories]).T.reshape(len(self.program.masks), shape[1])
        loads, offered, amounts = [], [], []
        for moment in walk(self.program, levels / 255, fibre=True, only=only, open_only=True):
            assert moment.fibre is not None
            (part,) = moment.fibre.open
            loads.append(part.loads)
            offered.append(part.offered)
            amounts.append(moment.amount)
        return np.array(loads), np.array(offered), np.array(amounts)

    @cached_property
    def number_of(self) -> dict[History, int]:
        """The number of each history."""
        return {history: number for number, history in enumerate(self.histories)}

    def held(self, history: History, *, before: int | None = None) -> Held:
        """What the open spots of a history hold at the end, or just before an operation."""
        loads, offered, _ = self._states
        at, number = -1 if before is None else before, self.number_of[history]
        last = len(self.program.ops) if before is None else before
        dyeings = [op for op in history.reached if op < last and self.program.ops[op, 0] == DYE]
        dyes = np.flatnonzero(sum((self.program.offer(op, 1.0) for op in dyeings), np.zeros(loads.shape[2])))
        return Held(
            loads={self.program.dyes[dye]: float(loads[at, number, dye]) for dye in dyes.tolist()},
            ks=loads[at, number] @ self.program.dye_ks,
            offered=float(offered[at, number]),
        )

    def ks(self, history: History, *, before: int | None = None) -> Floats:
        """K/S (31,) of the dye that a history holds, at the end or just before an operation."""
        at = -1 if before is None else before
        ks: Floats = self._states[0][at, self.number_of[history]] @ self.program.dye_ks
        return ks

    def through(self, history: History) -> tuple[Floats, Floats, Floats]:
        """A history just before each operation and at the end, (ops + 1, ...).

        K/S (31,) that it holds; full strengths offered in all, less what bleach took; how much of the operation comes
        """
        loads, offered, amounts = (states[:, self.number_of[history]] for states in self._states)
        return loads @ self.program.dye_ks, offered, amounts

    def amount(self, history: History, op: int) -> float:
        """How much of an operation's pot, or of its bleach, came to a history's spots, 0..1."""
        return float(self._states[2][op, self.number_of[history]])

    # Where histories lie

    def labels(self, masks: Bytes) -> Ints:
        """The number of the history of each pixel, -1 where the whole cloth has none like it.

        masks : uint8 (masks, ...), the program's, at any scale: a spot that the full masks don't have (an edge that
            was averaged) counts to the history of its sequence that is nearest in strength
        """
        keys = history_keys(self.program, masks, self.thresholds)
        flat = keys.reshape(len(keys), -1)
        table, place = _distinct(flat)
        numbers = [self.numbers.get(key.tobytes(), -1) for key in table]
        unknown = [row for row, number in enumerate(numbers) if number < 0]
        if unknown:
            sequences = self._sequences
            for row, classes in zip(unknown, key_classes(table[unknown].T, len(self.program.ops)).T, strict=True):
                reached = np.flatnonzero(classes)
                likely = sequences.get(tuple(reached.tolist()), ())
                far = [np.abs(np.array(self.histories[n].classes) - classes[reached]).sum() for n in likely]
                numbers[row] = likely[int(np.argmin(far))] if likely else -1
        labels: Ints = np.array(numbers, np.int64)[place.ravel()].reshape(keys.shape[1:])
        return labels

    @cached_property
    def _sequences(self) -> dict[tuple[int, ...], tuple[int, ...]]:
        found: dict[tuple[int, ...], tuple[int, ...]] = {}
        for number, history in enumerate(self.histories):
            if not history.mixed:
                found[history.reached] = (*found.get(history.reached, ()), number)
        return found

    # Regions

    @cached_property
    def region_parts(self) -> tuple[tuple[int, ...], ...]:
        """The histories that make up each of `regions`: the first gives its colour; those of "edges" come last.

        Strengths of one sequence that showed on the way and no more are one region.
        """
        large = [n for n, h in enumerate(self.histories) if h.pixels >= LEAST_SHARE * self.pixels and not h.mixed]
        labs = self.dyes.labs(self._states[0][-1, large] @ self.program.dye_ks)
        parts: list[list[int]] = []
        for number, lab in zip(large, labs, strict=True):
            same = (part for part in parts if self.story(self.histories[part[0]]) == self.story(self.histories[number]))
            near = (part for part in same if ciede2000.delta_e_2000(labs[large.index(part[0])], lab) < PLAINLY)
            part = next(near, None)
            if part is None:
                parts.append([number])
            else:
                part.append(number)
        parts.sort(key=lambda part: -sum(self.histories[number].pixels for number in part))
        edges = range(len(large), len(self.histories))
        return tuple(map(tuple, [*parts, edges] if edges else parts))

    @cached_property
    def regions(self) -> tuple[Region, ...]:
        """Regions of the finished cloth, the largest first; those under 0.1 % joined as "edges". Shares sum to 1."""
        regions = []
        for part in self.region_parts:
            first = self.histories[part[0]]
            edges = first.mixed or first.pixels < LEAST_SHARE * self.pixels
            share = sum(self.share(self.histories[number]) for number in part)
            regions.append(self._region(first, share, (EDGES,) if edges else self.story(first)))
        return tuple(regions)

    def region_labels(self, masks: Bytes) -> NDArray[np.int32]:
        """The place in `regions` of each pixel. masks : uint8 (masks, rows, cols), those of the whole cloth."""
        edges = len(self.region_parts) - 1
        region_of = np.full(len(self.histories) + 1, edges, np.int32)  # at -1 too, what found no room
        for region, part in enumerate(self.region_parts):
            region_of[list(part)] = region
        _, rows, cols = masks.shape
        labels = np.empty((rows, cols), np.int32)
        band = max(1, BAND_PIXELS // cols)
        for first in range(0, rows, band):
            labels[first : first + band] = region_of[self.labels(masks[:, first : first + band])]
        return labels

    def region_loads(self) -> Floats:
        """Full strengths of each dye that each of `regions` holds on the bare cloth and after each step.

        (steps + 1, regions, dyes), dyes in the order of `program.dyes`
        """
        after = [self.ops_until(step) for step in range(len(self.design.steps) + 1)]
        loads: Floats = self._states[0][after][:, [part[0] for part in self.region_parts]]
        return loads

    def _region(self, history: History, share: float, story: tuple[str, ...]) -> Region:
        held = self.held(history)
        reflectance = self.dyes.reflectance(held.ks)
        xyz = spectra.reflectance_to_xyz(reflectance)
        lab = spaces.xyz_to_lab(xyz)
        named = names.colour_name(lab)
        return Region(
            share=share,
            history=story,
            loads=held.loads,
            hex=xyz_to_hex(xyz),
            lab=triple(lab),
            name=named.name,
            plain=named.plain,
            reflectance=tuple(reflectance.tolist()),
        )

    def colours_after(self, step: int, *, most: int) -> list[tuple[str, str, float]]:
        """The cloth's colours after a step, wax out: (name, "#rrggbb", share), the largest first.

        Histories that agree until then are one colour. most : how many of them are worked out, the largest
        """
        clear = [number for number, history in enumerate(self.histories) if not history.mixed]
        until = self.ops_until(step)
        ways, alike = np.unique(self._classes[:until, clear], axis=1, return_inverse=True)
        weight = np.array([self.histories[number].pixels for number in clear], np.float64)
        pixels = np.bincount(alike.ravel(), weight)
        loads = self._states[0][until][clear]
        mean = np.zeros((len(pixels), loads.shape[1]))
        np.add.at(mean, alike.ravel(), weight[:, None] * loads)
        order = np.argsort(-pixels, kind="stable")[:most]
        ks = (mean / pixels[:, None])[order] @ self.program.dye_ks
        xyz = spectra.reflectance_to_xyz(self.dyes.reflectance(ks))
        labs = spaces.xyz_to_lab(xyz)
        kept: dict[int, float] = {}  # share by the first of those that pass for one colour
        for place, count in enumerate(pixels[order].tolist()):
            same = (n for n in kept if np.array_equal(ways[:, order[n]] > 0, ways[:, order[place]] > 0))
            first = next((n for n in same if float(ciede2000.delta_e_2000(labs[n], labs[place])) < PLAINLY), place)
            kept[first] = kept.get(first, 0.0) + count / self.pixels
        shares: dict[tuple[str, str], float] = {}
        for (place, share), name in zip(kept.items(), names.colour_names(labs[list(kept)]), strict=True):
            colour = (name.name, xyz_to_hex(xyz[place]))
            shares[colour] = shares.get(colour, 0.0) + share
        return sorted(((name, hexed, share) for (name, hexed), share in shares.items()), key=lambda colour: -colour[2])

    @cached_property
    def _classes(self) -> Bytes:
        """The class of each operation, (ops, histories); 0 where it wasn't reached."""
        classes = np.zeros((len(self.program.ops), len(self.histories)), np.uint8)
        for number, history in enumerate(self.histories):
            classes[list(history.reached), number] = history.classes
        return classes


def outcome_of(
    design: Design, dyes: ClothDyes, planes: Bytes, *, program: Program | None = None, threads: int | None = None
) -> Outcome:
    """Work a design out. planes : uint8 (planes, rows, cols), in the order of `design_planes`."""
    program = compile_design(design, dyes) if program is None else program
    histories, numbers, thresholds = survey(program, planes, threads=threads)
    return Outcome(
        design=design, dyes=dyes, program=program, histories=histories, numbers=numbers, thresholds=thresholds
    )


def survey(
    program: Program, masks: Bytes, *, threads: int | None = None
) -> tuple[tuple[History, ...], dict[bytes, int], Floats]:
    """All histories on the cloth, the largest first, what is mixed last; the number of each key; the key's thresholds.

    masks : uint8 (masks, rows, cols). Masks so noisy that there would be too many keys are told by their sequences
    alone, each at its mean strength.
    """
    check_masks(program, masks)
    cracks = np.array([plane.cracks for plane in program.masks], bool)
    for thresholds in (AMOUNT_CLASSES, AMOUNT_CLASSES[:1]):
        bands = _bands(program, masks, thresholds, threads)
        spots = _joined(bands)
        if not spots[1][0]:
            break
    histories, numbers = _histories(program, spots, cracks)
    return histories, numbers, thresholds


def _bands(program: Program, masks: Bytes, thresholds: Floats, threads: int | None) -> list[Spots]:
    kernel = compiled("survey_rows")
    count, rows, cols = masks.shape
    band = max(1, BAND_PIXELS // cols)

    def look(first: int) -> Spots:
        last = min(rows, first + band)
        if kernel is None:
            keys = history_keys(program, masks[:, first:last], thresholds)
            keys = keys.reshape(len(keys), -1).T
            # row 0 gathers what found no room in the compiled survey; here there is room for all
            return _gathered(keys, np.ones(len(keys), np.int64), masks[:, first:last].reshape(count, len(keys)).T)
        counts = np.zeros(MOST_HISTORIES, np.int64)
        sums = np.zeros((MOST_HISTORIES, max(1, count)), np.int64)
        table = np.zeros((MOST_HISTORIES, key_words(program)), np.uint64)
        used = kernel(masks, first, last, program.ops, program.args, thresholds, counts, sums, table)
        return table[:used], counts[:used], sums[:used, :count]

    with ThreadPoolExecutor(threads or default_threads()) as pool:
        return list(pool.map(look, range(0, rows, band)))


def _joined(bands: Sequence[Spots]) -> Spots:
    """The spots of all bands together, each key once; row 0 stays what has none."""
    table, counts, sums = _gathered(*(np.concatenate([part[each][1:] for part in bands]) for each in range(3)))
    counts[0], sums[0] = (sum(part[each][0] for part in bands) for each in (1, 2))
    return table, counts, sums


def _gathered(keys: Words, pixels: Ints, levels: Ints | Bytes) -> Spots:
    """Spots with each key once. keys (n, words); pixels (n,); levels (n, masks): summed mask bytes."""
    table, place = np.unique(keys, axis=0, return_inverse=True)
    place = place.ravel() + 1
    counts = np.zeros(len(table) + 1, np.int64)
    np.add.at(counts, place, pixels)
    sums = np.zeros((len(counts), levels.shape[1]), np.int64)
    for number, mask in enumerate(levels.T):
        np.add.at(sums[:, number], place, mask.astype(np.int64))
    return np.concatenate([np.zeros((1, keys.shape[1]), np.uint64), table]), counts, sums


def _histories(program: Program, spots: Spots, cracks: Bools) -> tuple[tuple[History, ...], dict[bytes, int]]:
    """Spots gathered into histories; cracks count as clear there, for a region is told by its fully open spots."""
    keys, counts, sums = spots[0][1:], spots[1][1:], spots[2][1:]
    classes = key_classes(keys.T, len(program.ops)).T
    with np.errstate(invalid="ignore"):
        levels = np.where(cracks, 0.0, sums / counts[:, None])
    strengths = np.array([_strength(moment) for moment in walk(program, levels.T / 255)]).T
    sequences: dict[bytes, list[int]] = {}
    for row in np.argsort(-counts, kind="stable").tolist():
        sequences.setdefault((classes[row] > 0).tobytes(), []).append(row)
    made: list[tuple[History, list[int]]] = []
    for rows in sequences.values():
        reached = np.flatnonzero(classes[rows[0]])
        parts = strength_parts(rows, counts, strengths[:, reached], least=LEAST_SHARE * spots[1].sum())
        if len(parts) > 1:
            core = np.array([sums[part.core].sum(axis=0) / counts[part.core].sum() for part in parts])
            parts = _told_apart(parts, _colours_on_the_way(program, np.where(cracks, 0.0, core), reached))
        for part in parts:
            mean = np.where(cracks, 0.0, sums[part.core].sum(axis=0) / counts[part.core].sum())
            history = History(
                reached=tuple(reached.tolist()),
                pixels=int(counts[part.core + part.rim].sum()),
                levels=tuple(mean.tolist()),
                classes=tuple(classes[part.core[0]][reached].tolist()),
            )
            made.append((history, part.core + part.rim))
    made.sort(key=lambda pair: (-pair[0].pixels, pair[0].reached, pair[0].classes))
    histories = [history for history, _ in made]
    numbers = {keys[row].tobytes(): number for number, (_, rows) in enumerate(made) for row in rows}
    if spots[1][0]:
        mean = np.where(cracks, 0.0, spots[2][0] / spots[1][0])
        histories.append(History(reached=(), pixels=int(spots[1][0]), levels=tuple(mean.tolist()), mixed=True))
    return tuple(histories), numbers


def _strength(moment: Moment) -> Floats:
    """How strongly an operation worked: the share of its pot that came; of bleach, the share of dye that it left."""
    return np.maximum(1 - moment.amount, LEAST_LEFT) if moment.code == DISCHARGE else moment.amount


@dataclass(frozen=True)
class StrengthPart:
    """Rows of a history's spots. core : those that took about the same; rim : few others, that go with them."""

    core: list[int]
    rim: list[int]


def strength_parts(rows: Sequence[int], counts: Ints, strengths: Floats, *, least: float) -> list[StrengthPart]:
    """The spots of one sequence gathered where they took about the same, the largest part first.

    A part of its own has at least a tenth of the sequence's pixels and is no mere edge on the cloth; what is less is
    the rim of the part that it is nearest to. rows : the most frequent first
    strengths : (spots, operations of the sequence); least : pixels
    """
    groups: list[list[int]] = []
    for row in rows:
        far = _unlike(strengths[[group[0] for group in groups]], strengths[row])
        if groups and far.min() <= ALIKE:
            groups[int(np.argmin(far))].append(row)
        else:
            groups.append([row])
    sizes = [int(counts[group].sum()) for group in groups]
    order = sorted(range(len(groups)), key=lambda place: -sizes[place])
    least = max(least, LEAST_PART * sum(sizes))
    parts = [StrengthPart(groups[place], []) for place in order if sizes[place] >= least or place == order[0]]
    firsts = strengths[[part.core[0] for part in parts]]
    for place in order[len(parts) :]:
        nearest = int(np.argmin(_unlike(firsts, strengths[groups[place][0]])))
        parts[nearest].rim.extend(groups[place])
    return parts


def _unlike(strengths: Floats, one: Floats) -> Floats:
    """How far some strengths (n, operations) differ from one (operations,), by ratio, where they differ most."""
    far: Floats = (np.abs(strengths - one) / np.maximum(strengths, one)).max(axis=1, initial=0.0)
    return far


def _colours_on_the_way(program: Program, levels: Floats, reached: Ints) -> Floats:
    """CIELAB (parts, steps, 3) after each operation that reached spots with mask bytes (parts, masks)."""
    only = np.zeros((len(program.ops), len(levels)), bool)
    only[reached] = True
    labs = []
    for moment in walk(program, levels.T / 255, fibre=True, only=only, open_only=True):
        assert moment.fibre is not None
        if moment.op - 1 in reached:
            ks = program.cloth_ks + moment.fibre.open[0].loads @ program.dye_ks
            reflectance = kubelka_munk.reflectance_from_ks(ks, surface=program.surface)
            labs.append(spaces.xyz_to_lab(spectra.reflectance_to_xyz(reflectance)))
    return np.stack(labs, axis=1)


def _told_apart(parts: Sequence[StrengthPart], labs: Floats) -> list[StrengthPart]:
    """Parts of one sequence whose colours anyone tells apart at some step; the others go with the nearest of them."""
    kept: list[int] = [0]
    for place in range(1, len(parts)):
        far = ciede2000.delta_e_2000(labs[kept], labs[place]).max(axis=1)
        if far.min() >= PLAINLY:
            kept.append(place)
        else:
            nearest = parts[kept[int(np.argmin(far))]]
            nearest.rim.extend(parts[place].core + parts[place].rim)
    return [parts[place] for place in kept]


def _distinct(keys: Words) -> tuple[Words, Ints]:
    """Distinct keys (n, words) of keys (words, pixels), and which of them each pixel has.

    Sorted by one number for each key; should two keys share one, by the keys themselves, which takes long.
    """
    factors = np.random.default_rng(20261130).integers(1, 1 << 63, len(keys), dtype=np.uint64) | np.uint64(1)
    _, first, place = np.unique((keys * factors[:, None]).sum(axis=0), return_index=True, return_inverse=True)
    table = keys[:, first]
    if (table[:, place] != keys).any():
        return np.unique(keys.T, axis=0, return_inverse=True)
    return table.T, place
