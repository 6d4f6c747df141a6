"""How much more vivid than life a camera shows colours, found from the strip itself and undone.

Dye over dye, and weak beside strong, follow one mixing law in true colours only. Of a photo made more vivid no set of
dyes explains all patches, so the vividness at which they are explained best is near to what the camera added. On made
photos of four dyes, made 0, 15 and 30 % more vivid, with and without a camera's contrast curve: found within 0.03 of 1
where nothing was added, and unseen overlays of 3 to 5 CIEDE2000 came down to 0.5 to 2.
"""

from collections.abc import Callable
from dataclasses import replace

import numpy as np

from batiksim.calibration.calibrate import calibrate
from batiksim.calibration.calibration_values import Calibration, predict
from batiksim.calibration.dye_fit import ODD, fit_dyes
from batiksim.calibration.samples import samples_of_strip
from batiksim.calibration.undyed_reading import undyed_cloth
from batiksim.cloth.dyes_on_cloth import ClothDyes
from batiksim.colour import spaces
from batiksim.photo.strip_reading import StripReading
from batiksim.texts.catalogue import Message, say
from batiksim.texts.phrases import percent
from batiksim.types import Floats

LOOKED = 0.7, 1.7  # vividness, 1 = true to life
FINE = 0.03
PLAIN = 0.05  # this near to 1 nothing is undone
EARNS, EARNS_LEAST = 0.8, 0.3  # held-out errors have to fall to this share, and by so many CIEDE2000: less is noise
LEAST_TO_SPARE = 3  # patches more than the dyes: with fewer, any vividness fits


def calibrate_photo(
    reading: StripReading, *, known: Callable[[str], ClothDyes | None] | None = None
) -> tuple[Calibration, Message | None]:
    """Fit the dyes of a photographed strip, with the camera's vividness undone where that clearly helps.

    known : as for `calibrate`
    returns : the calibration, and a note on what was undone
    errors : BatikError as `calibrate`
    """
    plain = calibrate(samples_of_strip(reading), cloth=reading.cloth, light=reading.lit_by, known=known)
    added = _vividness(reading)
    at_an_end = min(added - LOOKED[0], LOOKED[1] - added) < 2 * FINE  # nothing was found within
    if at_an_end or abs(added - 1) < PLAIN:
        return plain, None
    muted = less_vivid(reading, added)
    corrected = calibrate(samples_of_strip(muted), cloth=muted.cloth, light=reading.lit_by, known=known)
    before, after = (float(np.mean(found.misses("held_out") or [np.nan])) for found in (plain, corrected))
    if not (after < EARNS * before and before - after > EARNS_LEAST):
        return plain, None
    key = "calibration.note.too_vivid" if added > 1 else "calibration.note.too_dull"
    return corrected, say(key, share=percent(abs(added - 1)))


def less_vivid(reading: StripReading, vividness: float) -> StripReading:
    """A reading with its colours drawn towards grey of the same luminance, by a factor, in linear light."""
    patches = tuple(replace(patch, xyz=_towards_grey(patch.xyz, vividness)) for patch in reading.patches)
    return replace(reading, patches=patches, cloth=_towards_grey(reading.cloth, vividness))


def _towards_grey(xyz: Floats, vividness: float) -> Floats:
    grey = xyz[1] * spaces.D65
    return np.asarray(grey + (xyz - grey) / vividness)


def _vividness(reading: StripReading) -> float:
    """The vividness at which the dyes explain the patches best; 1 where there are too few patches to tell."""
    from scipy.optimize import minimize_scalar

    used = [sample for sample, problems in samples_of_strip(reading) if sample.layers and not problems]
    dyes = {name for sample in used for name, _ in sample.layers}
    alone = {sample.alone for sample in used if sample.alone is not None}
    if dyes != alone or len(used) < len(dyes) + LEAST_TO_SPARE:
        return 1.0

    def unexplained(vividness: float) -> float:
        muted = less_vivid(reading, vividness)
        samples = [sample for sample, problems in samples_of_strip(muted) if sample.layers and not problems]
        _, undyed = undyed_cloth(samples, muted.cloth, reading.lit_by)
        fit = fit_dyes(samples, undyed, light=reading.lit_by)
        missed = np.array([sample.miss(predict(fit, sample.layers)) for sample in samples])
        return float(np.mean(np.minimum(missed, ODD) ** 2))

    best = minimize_scalar(unexplained, bounds=LOOKED, method="bounded", options={"xatol": FINE, "maxiter": 12})
    return float(best.x)
