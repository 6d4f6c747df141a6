"""The undyed cloth that all dyes are learnt on: what it is, and whether it can be."""

from collections.abc import Sequence

import numpy as np

from batiksim.calibration.calibration_values import Sample
from batiksim.colour import spaces, spectra
from batiksim.colour.gamut import xyz_to_hex
from batiksim.colour.reflectance_recovery import smooth_reflectance
from batiksim.colour.viewing import DAY, seen_xyz
from batiksim.errors import BatikError
from batiksim.photo.strip_plausibility import DARK, VIVID
from batiksim.texts.catalogue import Message, say
from batiksim.types import Floats

# Dye only takes light away. Noise and uneven light make a patch seem lighter than its cloth, but hardly by so much.
LIGHTER, LIGHTER_SHARE = 1.2, 0.2  # times the cloth's X, Y or Z; share of the dyed pieces. Assumptions
CLOTH_ROUNDS = 3  # each leaves a tenth or less of what pale cloth shows otherwise by day than by lamplight
BARE = 3.0  # CIEDE2000 from the undyed cloth up to which a piece shows no dye; assumption


def undyed_cloth(used: Sequence[Sample], stated: Floats | None, light: str) -> tuple[Floats, Floats]:
    """XYZ (3,) of the undyed cloth and its reflectance (31,): measured where it was, else the smoothest one.

    stated : XYZ (3,) where it is known already; light : the one it was seen in
    errors : BatikError where no sample is undyed and none is stated
    """
    undyed = [sample for sample in used if not sample.layers]
    if stated is None and not undyed:
        raise BatikError("calibration.error.cloth_unknown", field="dyes")
    measured = [sample.reflectance for sample in undyed if sample.reflectance is not None]
    if stated is None and len(measured) == len(undyed):
        mean = np.mean(measured, axis=0)
        return spectra.reflectance_to_xyz(mean), mean
    bare = np.mean([sample.xyz for sample in undyed], axis=0) if stated is None else stated
    bare = np.minimum(bare, spaces.D65)
    by_day = bare
    for _ in range(CLOTH_ROUNDS if light != DAY else 0):
        guess = smooth_reflectance(by_day, surface=0.0)[0]
        by_day = np.minimum(by_day + bare - seen_xyz(guess, light=light), spaces.D65)
    return bare, smooth_reflectance(by_day, surface=0.0)[0]


def check_undyed(bare: Floats, dyed: Sequence[Sample]) -> None:
    """BatikError where dyed pieces don't look dyed beside undyed cloth of XYZ `bare` (3,).

    Where some are lighter, what is taken as undyed isn't; where none shows any dye, it is another photo or table.
    """
    if all(sample.miss(bare) < BARE for sample in dyed):
        raise BatikError("calibration.error.no_dye_shows", got=xyz_to_hex(bare))
    lighter = [sample.name for sample in dyed if np.any(sample.xyz > LIGHTER * bare + 0.01)]
    if len(lighter) >= max(1, LIGHTER_SHARE * len(dyed)):
        more = [say("calibration.other_patches", count=len(lighter) - 2)] if len(lighter) > 3 else lighter[2:]
        raise BatikError(
            "calibration.error.undyed_is_dyed",
            got=xyz_to_hex(bare),
            fix=say("calibration.error.undyed_is_dyed.fix"),
            count=len(lighter),
            patches=[*lighter[:2], *more],
        )


def undyed_notes(bare: Floats) -> tuple[Message, ...]:
    """What to know of measured undyed cloth that is hardly what a maker would dye on."""
    lab = spaces.xyz_to_lab(bare)
    what = "dark" if lab[0] < DARK else "vivid" if float(np.hypot(lab[1], lab[2])) > VIVID else ""
    return (say(f"calibration.note.undyed_{what}", colour=xyz_to_hex(bare)),) if what else ()
