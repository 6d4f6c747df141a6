"""What is learnt from: samples of a strip or a table, without those that tell of dyes that can't be learnt."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from batiksim.calibration.fit_values import Sample
from batiksim.colour import spaces, spectra
from batiksim.errors import BatikError
from batiksim.photo.strip_reading import StripReading
from batiksim.values import Swatch

__all__ = ["Marked", "samples_of_strip", "samples_of_swatches", "with_dyes_alone"]

Marked = tuple[Sample, tuple[str, ...]]
"""A sample, and why it is to be left out; empty = used."""


def samples_of_strip(reading: StripReading) -> list[Marked]:
    """A strip's cloth patches as samples, each with why it is to be left out, if it is."""
    return [
        (Sample(name=one.patch.name, layers=one.patch.layers, xyz=one.xyz, cut=one.cut), one.problems)
        for one in reading.patches
        if one.patch.card is None
    ]


def samples_of_swatches(swatches: Sequence[Swatch]) -> list[Marked]:
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


def with_dyes_alone(
    samples: Sequence[Marked],
) -> tuple[list[Marked], list[str]]:
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


def _why_lost(dye: str, samples: Sequence[Marked]) -> str:
    own = [problems for one, problems in samples if len(one.layers) == 1 and one.layers[0][0] == dye]
    if not own:
        return "it has no patch of its own; dye one with it alone at full strength"
    return f"all its own patches are left out ({own[0][0]})"
