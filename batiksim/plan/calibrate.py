"""Calibration: a maker's own dyes from pieces of cloth she dyed, and how far each is to be trusted.

Build-up is linear unless a dye's own strength ladder shows otherwise: each law has to foretell rungs it was not
fitted to. Held-out errors are true ones: for each piece, everything is fitted again without it.
"""

from __future__ import annotations

import datetime
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from batiksim.cloth.pots import ClothDyes, undyed_ks
from batiksim.colour import mixing, spaces, spectra
from batiksim.errors import BatikError
from batiksim.plan.dyefit import DyeFit, Fit, Sample, fit_dyes, predict, with_law
from batiksim.plan.photo import StripReading
from batiksim.values import FLOOR, BookDye, BuildUp, BuildUpLaw, Layers, Swatch, Undyed

__all__ = [
    "Calibration",
    "Piece",
    "Taught",
    "book_dyes",
    "calibrate",
    "calibration_data",
    "samples_of_strip",
    "samples_of_swatches",
]

Array = NDArray[np.float64]

# A curved build-up has to earn its place on rungs that it was not fitted to. Limits chosen on made dyes.
LEAST_RUNGS = 3
BETTER_BY = 0.4  # CIEDE2000
BETTER_SHARE = 0.7
DOUBTFUL = 4.0  # CIEDE2000: a piece this far from all the others' story is told


@dataclass(frozen=True, kw_only=True)
class Piece:
    """One piece of cloth, measured and predicted.

    measured, before, after : "#rrggbb"; miss_before, miss_after : CIEDE2000 from measured
    held_out : CIEDE2000 when it is foretold by all the others; None where no other tells of its dyes
    problems : why it was left out; empty = used
    """

    name: str
    layers: Layers
    measured: str
    before: str
    after: str
    miss_before: float
    miss_after: float
    held_out: float | None
    problems: tuple[str, ...] = ()


@dataclass(frozen=True, kw_only=True)
class Taught:
    """One dye as calibrated.

    expected_error : mean CIEDE2000 of its held-out pieces; None where nothing could be held out
    pieces : how many of the used ones have it in them
    before : what the first prediction was made with: "book" or "colour" (its strongest piece's colour alone)
    """

    name: str
    full: Array
    hex: str
    build_up: BuildUp
    expected_error: float | None
    pieces: int
    before: str


@dataclass(frozen=True, kw_only=True)
class Calibration:
    """What a calibration found. cloth : "#rrggbb" of the undyed cloth; surface : the floor."""

    dyes: tuple[Taught, ...]
    pieces: tuple[Piece, ...]
    cloth: str
    surface: float
    notes: tuple[str, ...]

    def median(self, what: str) -> float | None:
        """Median CIEDE2000 over used dyed pieces of "miss_before", "miss_after" or "held_out"; None without any."""
        values = [getattr(one, what) for one in self.pieces if one.layers and not one.problems]
        known = [value for value in values if value is not None]
        return float(np.median(known)) if known else None


def samples_of_strip(reading: StripReading) -> list[tuple[Sample, tuple[str, ...]]]:
    """A strip's cloth patches as samples, each with why it is to be left out, if it is."""
    return [
        (Sample(name=one.patch.name, layers=one.patch.layers, xyz=one.xyz, cut=one.cut), one.problems)
        for one in reading.patches
        if one.patch.card is None
    ]


def samples_of_swatches(swatches: Sequence[Swatch]) -> list[tuple[Sample, tuple[str, ...]]]:
    """A table's swatches as samples."""
    return [(_sample(one), ()) for one in swatches]


def _sample(one: Swatch) -> Sample:
    if one.samples:
        nm, values = np.array(one.samples, dtype=np.float64).T
        measured = spectra.resample(nm, values)
        xyz = spectra.reflectance_to_xyz(measured)
        return Sample(name=one.name, layers=one.layers, xyz=xyz, reflectance=measured)
    if one.lab is not None:
        return Sample(name=one.name, layers=one.layers, xyz=spaces.lab_to_xyz(np.array(one.lab)))
    xyz = spaces.hex_to_xyz(str(one.colour))
    return Sample(name=one.name, layers=one.layers, xyz=xyz, cut=spaces.xyz_to_linear_srgb(xyz) < 2 / 255 / 12.92)


def calibrate(
    samples: Sequence[tuple[Sample, tuple[str, ...]]],
    *,
    cloth: Array | None = None,
    known: Callable[[str], ClothDyes | None] | None = None,
) -> Calibration:
    """Fit all dyes of some pieces of cloth.

    samples : each with its problems; those with problems are predicted, not learnt from
    cloth : XYZ (3,) of the undyed cloth; the mean of undyed samples when left out
    known : gives the dyes as known before, on undyed cloth of a colour "#rrggbb", for the comparison
    A dye without a usable piece of its own is not learnt, nor what its overlays would tell of other dyes.
    errors : BatikError when no dye can be learnt, or the cloth isn't known
    """
    samples, lost = _with_dyes_alone(samples)
    used = [sample for sample, problems in samples if not problems]
    dyed = [sample for sample in used if sample.layers]
    bare = _bare(used) if cloth is None else cloth
    hexed = spaces.xyz_to_hex(np.minimum(bare, spaces.D65))
    undyed, _ = spectra.smooth_reflectance(spaces.hex_to_xyz(hexed), surface=0.0)
    first = fit_dyes(dyed, undyed)
    laws = {dye.name: law for dye in first.dyes if (law := _law(dyed, dye.name, first)) != "linear"}
    fit = first
    for name, law in laws.items():
        fit = with_law(fit, name, law)
    if laws:
        fit = fit_dyes(dyed, undyed, laws=laws, start=fit)
    fit = replace(fit, surface=round(fit.surface, 4))  # as the book will have it
    held = {id(sample): _held_out(dyed, at, fit) for at, sample in enumerate(dyed)}
    before, told = _before(dyed, fit, None if known is None else known(hexed))
    pieces = tuple(_piece(sample, problems, before, fit, held.get(id(sample))) for sample, problems in samples)
    dyes = tuple(_taught(dye, fit, hexed, dyed, held, told) for dye in fit.dyes)
    return Calibration(dyes=dyes, pieces=pieces, cloth=hexed, surface=fit.surface, notes=(*lost, *_notes(pieces, dyes)))


def _bare(used: Sequence[Sample]) -> Array:
    undyed = [sample.xyz for sample in used if not sample.layers]
    if not undyed:
        raise BatikError(
            "the undyed cloth's colour isn't known", field="dyes", fix="add a line for it, with undyed as its dyes"
        )
    return np.asarray(np.mean(undyed, axis=0))


def _with_dyes_alone(
    samples: Sequence[tuple[Sample, tuple[str, ...]]],
) -> tuple[list[tuple[Sample, tuple[str, ...]]], list[str]]:
    """The samples, those left out too that have a dye without a usable piece of its own; and words about such dyes."""
    alone = {one.layers[0][0] for one, problems in samples if len(one.layers) == 1 and not problems}
    named = dict.fromkeys(dye for one, _ in samples for dye, _ in one.layers)
    lost = [f"{dye} is not learnt: {_why_lost(dye, samples)}." for dye in named if dye not in alone]
    if not alone:
        raise BatikError(
            f"no dye can be learnt: {lost[0].partition(': ')[2]}" if lost else "names no dye",
            fix="take the photo again, in even daylight and a little darker, or measure more patches",
        )
    kept = [
        (one, problems if problems or all(dye in alone for dye, _ in one.layers) else (_LOST,))
        for one, problems in samples
    ]
    return kept, lost


_LOST = "one of its dyes is not learnt"


def _why_lost(dye: str, samples: Sequence[tuple[Sample, tuple[str, ...]]]) -> str:
    own = [problems for one, problems in samples if len(one.layers) == 1 and one.layers[0][0] == dye]
    if not own:
        return "it has no patch of its own; dye one with it alone at full strength"
    return f"all its own patches are left out ({own[0][0]})"


def _law(dyed: Sequence[Sample], name: str, fit: Fit) -> BuildUpLaw:
    """The build-up law that foretells rungs of a dye's own ladder best; linear unless clearly beaten."""
    ladder = [sample for sample in dyed if len(sample.layers) == 1 and sample.layers[0][0] == name]
    if len({sample.layers[0][1] for sample in ladder}) < LEAST_RUNGS:
        return "linear"
    alone = replace(fit, dyes=(fit.dye(name),))
    error: dict[BuildUpLaw, float] = {}
    for law in ("linear", "saturating", "power"):
        start = fit_dyes(ladder, fit.cloth, laws={name: law}, start=with_law(alone, name, law), surface=fit.surface)
        missed = []
        for at, sample in enumerate(ladder):
            others = [*ladder[:at], *ladder[at + 1 :]]
            without = fit_dyes(others, fit.cloth, laws={name: law}, start=start, surface=fit.surface, steps=12)
            missed.append(sample.miss(predict(without, sample.layers)))
        error[law] = float(np.sqrt(np.mean(np.square(missed))))
    best = min(error, key=lambda law: error[law])
    clear = error[best] < BETTER_SHARE * error["linear"] and error["linear"] - error[best] > BETTER_BY
    return best if clear else "linear"


def _held_out(dyed: Sequence[Sample], at: int, fit: Fit) -> float | None:
    """How far all the other pieces miss this one; None where one of its dyes is in no other."""
    sample, others = dyed[at], [*dyed[:at], *dyed[at + 1 :]]
    left = {name for other in others for name, _ in other.layers}
    if not all(name in left for name, _ in sample.layers):
        return None
    laws = {dye.name: dye.build_up.law for dye in fit.dyes}
    without = fit_dyes(others, fit.cloth, laws=laws, start=fit, steps=8)
    return sample.miss(predict(without, sample.layers))


def _before(dyed: Sequence[Sample], fit: Fit, known: ClothDyes | None) -> tuple[Fit, dict[str, str]]:
    """The dyes as they were known before, on this cloth; unknown ones by the colour of their strongest piece."""
    surface = FLOOR if known is None else known.surface
    cloth_ks = mixing.ks_from_reflectance(fit.cloth, surface=surface)
    dyes, told = [], {}
    for dye in fit.dyes:
        if known is not None and dye.name in known.dyes:
            old = known.dyes[dye.name]
            dyes.append(DyeFit(name=dye.name, ks=old.ks, build_up=old.build_up))
            told[dye.name] = "book"
            continue
        alone = [one for one in dyed if len(one.layers) == 1 and one.layers[0][0] == dye.name]
        best = min(alone, key=lambda one: abs(np.log(one.layers[0][1])))
        ks, _ = spectra.dye_curve(best.xyz, cloth_ks, surface=surface)
        dyes.append(DyeFit(name=dye.name, ks=ks / best.layers[0][1], build_up=BuildUp()))
        told[dye.name] = "colour"
    return Fit(dyes=tuple(dyes), cloth=fit.cloth, surface=surface), told


def _piece(sample: Sample, problems: tuple[str, ...], before: Fit, fit: Fit, held: float | None) -> Piece:
    names = {dye.name for dye in fit.dyes}
    known = all(name in names for name, _ in sample.layers)
    first, last = (predict(one, sample.layers) if known else sample.xyz for one in (before, fit))
    return Piece(
        name=sample.name,
        layers=sample.layers,
        measured=spaces.xyz_to_hex(np.maximum(sample.xyz, 0)),
        before=spaces.xyz_to_hex(first),
        after=spaces.xyz_to_hex(last),
        miss_before=sample.miss(first),
        miss_after=sample.miss(last),
        held_out=held,
        problems=problems,
    )


def _taught(
    dye: DyeFit, fit: Fit, cloth: str, dyed: Sequence[Sample], held: Mapping[int, float | None], told: Mapping[str, str]
) -> Taught:
    mine = [sample for sample in dyed if any(name == dye.name for name, _ in sample.layers)]
    errors = [error for sample in mine if (error := held[id(sample)]) is not None]
    full = mixing.reflectance_from_ks(undyed_ks(cloth, fit.surface) + dye.ks, surface=fit.surface)
    return Taught(
        name=dye.name,
        full=full,
        hex=spaces.xyz_to_hex(spectra.reflectance_to_xyz(full)),
        build_up=dye.build_up,
        expected_error=float(np.mean(errors)) if errors else None,
        pieces=len(mine),
        before=told[dye.name],
    )


def _notes(pieces: Sequence[Piece], dyes: Sequence[Taught]) -> list[str]:
    notes = []
    for one in pieces:
        if not one.problems and one.layers and one.miss_after > DOUBTFUL:
            notes.append(
                f"{one.name} is {one.miss_after:.1f} away from what the others tell: is it the patch you think it is?"
            )
    for dye in dyes:
        if dye.expected_error is None:
            notes.append(f"{dye.name} is in one patch only, so nothing tells how sure it is: add half strength.")
        if dye.build_up.law != "linear":
            half = dye.build_up.load(0.5)
            notes.append(f"{dye.name} builds up {_faster(half)}: half strength takes {half:.0%} of the full dye.")
    return notes


def _faster(half: float) -> str:
    return "fast and then less" if half > 0.5 else "slowly and then more"


def book_dyes(found: Calibration, *, provenance: str, date: datetime.date) -> tuple[BookDye, ...]:
    """Calibrated dyes as a dye book keeps them: reflectance at full strength on the calibrated cloth."""
    seen_on = Undyed(colour=found.cloth, surface=found.surface)
    return tuple(
        BookDye(
            name=dye.name,
            samples=tuple(
                (float(nm), round(float(value), 5)) for nm, value in zip(spectra.BANDS_NM, dye.full, strict=True)
            ),
            build_up=BuildUp(law=dye.build_up.law, bend=round(dye.build_up.bend, 4)),
            seen_on=seen_on,
            provenance=provenance,
            date=date,
            expected_error=_rounded(dye.expected_error),
        )
        for dye in found.dyes
    )


def calibration_data(found: Calibration) -> dict[str, Any]:
    """A calibration as plain data: differences to two places."""
    pieces = [
        {
            "name": one.name,
            "dyes": {name: strength for name, strength in one.layers},
            "measured": one.measured,
            "before": one.before,
            "after": one.after,
            "miss_before": round(one.miss_before, 2),
            "miss_after": round(one.miss_after, 2),
            "held_out": _rounded(one.held_out),
            "problems": list(one.problems),
        }
        for one in found.pieces
    ]
    dyes = [
        {
            "name": dye.name,
            "hex": dye.hex,
            "build_up": {"law": dye.build_up.law, "bend": round(dye.build_up.bend, 4)},
            "expected_error": _rounded(dye.expected_error),
            "pieces": dye.pieces,
        }
        for dye in found.dyes
    ]
    medians = {what: _rounded(found.median(what)) for what in ("miss_before", "miss_after", "held_out")}
    return {"cloth": found.cloth, "surface": round(found.surface, 4), "median": medians, "dyes": dyes, "pieces": pieces}


def _rounded(value: float | None) -> float | None:
    return None if value is None else round(value, 2)
