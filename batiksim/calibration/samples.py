"""What is learnt from: samples of a strip or a table, without those of dyes that can't be learnt."""

from collections.abc import Sequence

import numpy as np

from batiksim.calibration.calibration_values import Sample
from batiksim.colour import spaces, spectra
from batiksim.errors import BatikError
from batiksim.photo.strip_reading import StripReading
from batiksim.texts.catalogue import Message, say
from batiksim.values import Swatch

Marked = tuple[Sample, tuple[Message, ...]]
"""A sample, and why it is to be left out; empty = used."""
_LOST = say("calibration.lost.dye")


def samples_of_strip(reading: StripReading) -> list[Marked]:
    """A strip's cloth patches as samples, each with why it is to be left out, if it is."""
    return [
        (Sample(name=patch.patch.name, layers=patch.patch.layers, xyz=patch.xyz, cut=patch.cut), patch.problems)
        for patch in reading.patches
        if patch.patch.card is None
    ]


def samples_of_swatches(swatches: Sequence[Swatch]) -> list[Marked]:
    """A table's swatches as samples."""
    return [(_sample(swatch), ()) for swatch in swatches]


def _sample(swatch: Swatch) -> Sample:
    if swatch.samples:
        nm, values = np.array(swatch.samples, dtype=np.float64).T
        measured = spectra.resample(nm, values)
        xyz = spectra.reflectance_to_xyz(measured)
        return Sample(name=swatch.name, layers=swatch.layers, xyz=xyz, reflectance=measured)
    if swatch.lab is not None:
        return Sample(name=swatch.name, layers=swatch.layers, xyz=spaces.lab_to_xyz(np.array(swatch.lab)))
    xyz = spaces.hex_to_xyz(str(swatch.colour))
    return Sample(name=swatch.name, layers=swatch.layers, xyz=xyz, cut=spaces.xyz_to_linear_srgb(xyz) < 2 / 255 / 12.92)


def with_dyes_alone(samples: Sequence[Marked]) -> tuple[list[Marked], list[Message]]:
    """The samples, those left out too that have a dye without a usable piece of its own; and notes on such dyes."""
    alone = {sample.alone for sample, problems in samples if sample.alone is not None and not problems}
    named = dict.fromkeys(dye for sample, _ in samples for dye, _ in sample.layers)
    lost = {}
    for dye in (dye for dye in named if dye not in alone):
        own = [problems for sample, problems in samples if sample.alone == dye]
        lost[dye] = say("calibration.lost.all_left_out", problem=own[0][0]) if own else say("calibration.lost.no_patch")
    if not named:
        raise BatikError("calibration.error.names_no_dye")
    if not alone:
        raise BatikError("calibration.error.no_dye_learnt", why=next(iter(lost.values())))
    kept = [
        (sample, problems if problems or all(dye in alone for dye, _ in sample.layers) else (_LOST,))
        for sample, problems in samples
    ]
    return kept, [say("calibration.note.not_learnt", dye=dye, why=why) for dye, why in lost.items()]
