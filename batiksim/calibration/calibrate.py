"""Fitting all dyes of some pieces of cloth, and finding out how sure they are."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace

import numpy as np

from batiksim.calibration.calibration_values import (
    CalibratedDye,
    Calibration,
    FittedDye,
    FittedDyes,
    MeasuredPiece,
    Sample,
    predict,
)
from batiksim.calibration.dye_fit import FLOOR_SPREAD, curve_from_colour, fit_dyes, floor_spread, refit
from batiksim.calibration.samples import Marked, with_dyes_alone
from batiksim.calibration.undyed_reading import check_undyed, undyed_cloth, undyed_notes
from batiksim.cloth.dyes_on_cloth import ClothDyes, undyed_ks
from batiksim.colour import kubelka_munk, spectra
from batiksim.colour.gamut import xyz_to_hex
from batiksim.colour.viewing import DAY
from batiksim.texts.catalogue import Message, say
from batiksim.texts.phrases import percent
from batiksim.types import Floats
from batiksim.values import FLOOR, BuildUp, BuildUpLaw

# A curved build-up has to earn its place on rungs that it was not fitted to. Limits chosen on made dyes.
LEAST_RUNGS = 3
BETTER_BY = 0.4  # CIEDE2000
BETTER_SHARE = 0.7
LEAST_FLOOR = 1e-4  # a fit has the floor's logarithm among its unknowns
FLOOR_KNOWN = 0.5  # spread of its logarithm; a fit begins with FLOOR_SPREAD. Chosen on made photos
MOST_DOUBTS = 3
PALE = say("calibration.note.too_pale", floor=FLOOR)
DOUBTFUL = 4.0  # CIEDE2000: a piece this far from what all the others say is worth a note


def calibrate(
    samples: Sequence[Marked],
    *,
    cloth: Floats | None = None,
    light: str = DAY,
    known: Callable[[str], ClothDyes | None] | None = None,
) -> Calibration:
    """Fit all dyes of some pieces of cloth.

    samples : each with its problems; those with problems are predicted, not learnt from
    cloth : XYZ (3,) of the undyed cloth; the mean of undyed samples when left out
    light : the one that all this was seen in, by an eye used to it; what is learnt is as seen by daylight
    known : gives the dyes as known before, on undyed cloth of a colour "#rrggbb", for the comparison
    A dye without a usable piece of its own is not learnt, nor are its overlays used for other dyes.
    errors : BatikError when no dye can be learnt, or the cloth isn't known
    """
    samples, lost = with_dyes_alone(samples)
    used = [sample for sample, problems in samples if not problems]
    dyed = [sample for sample in used if sample.layers]
    bare, undyed = undyed_cloth(used, cloth, light)
    check_undyed(bare, dyed)
    hexed = xyz_to_hex(bare if light == DAY else spectra.reflectance_to_xyz(undyed))
    first = fit_dyes(dyed, undyed, light=light)
    laws = {dye.name: law for dye in first.dyes if (law := _law(dyed, dye.name, first)) != "linear"}
    fit = refit(dyed, first, laws=laws) if laws else first
    between = _floor_between(dyed, fit)
    if between is None:
        fit = refit(dyed, fit, surface=FLOOR)
    fit = replace(fit, surface=max(round(fit.surface, 4), LEAST_FLOOR))  # as the book will have it
    held = {id(sample): _held_out(dyed, at, fit) for at, sample in enumerate(dyed)}
    before, before_from = _before(dyed, fit, None if known is None else known(hexed))
    pieces = tuple(_measured_piece(sample, problems, before, fit, held.get(id(sample))) for sample, problems in samples)
    dyes = tuple(_calibrated_dye(dye, fit, hexed, dyed, held, before_from) for dye in fit.dyes)
    pale = () if between else (PALE,)
    notes = (*lost, *(undyed_notes(bare) if cloth is None else ()), *pale, *_notes(pieces, dyes))
    return Calibration(dyes=dyes, pieces=pieces, cloth=hexed, surface=fit.surface, surface_between=between, notes=notes)


def _floor_between(dyed: Sequence[Sample], fit: FittedDyes) -> tuple[float, float] | None:
    """Where the floor lies, two times in three; None where these pieces leave it at the guess that fits begin with."""
    spread = floor_spread(dyed, fit)
    if spread > FLOOR_KNOWN and abs(np.log(fit.surface / FLOOR)) < FLOOR_SPREAD:
        return None
    return fit.surface * float(np.exp(-spread)), fit.surface * float(np.exp(spread))


def _law(dyed: Sequence[Sample], name: str, fit: FittedDyes) -> BuildUpLaw:
    """The build-up law that foretells rungs of a dye's own ladder best; linear unless clearly beaten."""
    ladder = [sample for sample in dyed if sample.alone == name]
    if len({sample.layers[0][1] for sample in ladder}) < LEAST_RUNGS:
        return "linear"
    alone = replace(fit, dyes=(fit.dye(name),))
    error: dict[BuildUpLaw, float] = {}
    for law in ("linear", "saturating", "power"):
        near = refit(ladder, alone, laws={name: law}, surface=fit.surface)
        missed = []
        for at, sample in enumerate(ladder):
            without = refit([*ladder[:at], *ladder[at + 1 :]], near, surface=fit.surface, steps=12)
            missed.append(sample.miss(predict(without, sample.layers)))
        error[law] = float(np.sqrt(np.mean(np.square(missed))))
    best = min(error, key=lambda law: error[law])
    clear = error[best] < BETTER_SHARE * error["linear"] and error["linear"] - error[best] > BETTER_BY
    return best if clear else "linear"


def _held_out(dyed: Sequence[Sample], at: int, fit: FittedDyes) -> float | None:
    """How far all the other pieces miss this one; None where one of its dyes is in no other."""
    sample, others = dyed[at], [*dyed[:at], *dyed[at + 1 :]]
    left = {name for other in others for name, _ in other.layers}
    if not all(name in left for name, _ in sample.layers):
        return None
    return sample.miss(predict(refit(others, fit, steps=8), sample.layers))


def _before(dyed: Sequence[Sample], fit: FittedDyes, known: ClothDyes | None) -> tuple[FittedDyes, dict[str, str]]:
    """The dyes as they were known before, on this cloth; unknown ones by the colour of their strongest piece."""
    surface = FLOOR if known is None else known.surface
    cloth_ks = kubelka_munk.ks_from_reflectance(fit.cloth, surface=surface)
    in_book = {} if known is None else known.dyes
    dyes = []
    for dye in fit.dyes:
        old = in_book.get(dye.name)
        ks = curve_from_colour(dyed, dye.name, cloth_ks, surface) if old is None else old.ks
        dyes.append(replace(dye, ks=ks, build_up=BuildUp() if old is None else old.build_up))
    before_from = {dye.name: "book" if dye.name in in_book else "colour" for dye in fit.dyes}
    return replace(fit, dyes=tuple(dyes), surface=surface), before_from


def _measured_piece(
    sample: Sample, problems: tuple[Message, ...], before: FittedDyes, fit: FittedDyes, held: float | None
) -> MeasuredPiece:
    names = {dye.name for dye in fit.dyes}
    known = all(name in names for name, _ in sample.layers)
    first, last = (predict(stage_fit, sample.layers) if known else sample.xyz for stage_fit in (before, fit))
    return MeasuredPiece(
        name=sample.name,
        layers=sample.layers,
        measured=xyz_to_hex(np.maximum(sample.xyz, 0)),
        before=xyz_to_hex(first),
        after=xyz_to_hex(last),
        miss_before=sample.miss(first),
        miss_after=sample.miss(last),
        held_out=held,
        problems=problems,
    )


def _calibrated_dye(
    dye: FittedDye,
    fit: FittedDyes,
    cloth: str,
    dyed: Sequence[Sample],
    held: Mapping[int, float | None],
    before_from: Mapping[str, str],
) -> CalibratedDye:
    mine = [sample for sample in dyed if any(name == dye.name for name, _ in sample.layers)]
    errors = [error for sample in mine if (error := held[id(sample)]) is not None]
    full = kubelka_munk.reflectance_from_ks(undyed_ks(cloth, fit.surface) + dye.ks, surface=fit.surface)
    return CalibratedDye(
        name=dye.name,
        full=full,
        hex=xyz_to_hex(spectra.reflectance_to_xyz(full)),
        build_up=dye.build_up,
        expected_error=float(np.mean(errors)) if errors else None,
        pieces=len(mine),
        before=before_from[dye.name],
    )


def _notes(pieces: Sequence[MeasuredPiece], dyes: Sequence[CalibratedDye]) -> list[Message]:
    notes = _doubts([piece for piece in pieces if piece.layers and not piece.problems])
    for dye in dyes:
        if dye.expected_error is None:
            notes.append(say("calibration.note.one_patch", dye=dye.name))
        if dye.build_up.law != "linear":
            half = dye.build_up.load(0.5)
            pace = "fast" if half > 0.5 else "slow"
            notes.append(say(f"calibration.note.builds_up_{pace}", dye=dye.name, half=percent(half)))
    return notes


def _doubts(used: Sequence[MeasuredPiece]) -> list[Message]:
    """Pieces that don't fit the others: each by itself, or all in one sentence where they are many."""
    odd = [piece for piece in used if piece.miss_after > DOUBTFUL]
    if len(odd) > MOST_DOUBTS:
        return [say("calibration.note.many_odd", count=len(odd), patches=len(used))]
    return [say("calibration.note.odd", patch=piece.name, off=round(piece.miss_after, 1)) for piece in odd]
