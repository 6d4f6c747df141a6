"""A comparison in words: in a line, and as swatches from which a calibration learns."""

from batiksim.photo.compare import AS_PLANNED, Comparison
from batiksim.texts.catalogue import Message, say
from batiksim.texts.phrases import percent
from batiksim.values import Swatch

# Mean CIEDE2000 of a whole cloth in words; common practice, no source.
CLOSENESS = ((2.0, "very_close"), (5.0, "close"), (10.0, "different"), (float("inf"), "far"))


def summary(comparison: Comparison) -> Message:
    """The whole comparison in a line."""
    off = [region for region in comparison.regions if region.miss >= AS_PLANNED]
    share = sum(region.share for region in off) / sum(region.share for region in comparison.regions)
    if not off:
        return say("photo.summary.as_planned")
    closeness = next(word for most, word in CLOSENESS if comparison.overall < most)
    return say(
        "photo.summary.differs", count=len(off), share=percent(share), overall=say(f"photo.closeness.{closeness}")
    )


def teachable(comparison: Comparison) -> tuple[Swatch, ...]:
    """Swatches for `calibrate --table`: bare cloth, and regions whose dyes each also lie somewhere alone."""
    known = [(region, region.layers) for region in comparison.regions if region.layers is not None]
    alone = {layers[0][0] for _, layers in known if len(layers) == 1}
    if not alone or all(layers for _, layers in known):
        return ()
    return tuple(
        Swatch(name=str(say("photo.region.name", number=region.number)), layers=layers, lab=region.labs[1])
        for region, layers in known
        if all(dye in alone for dye, _ in layers)
    )
