"""What a pot is called by what is in it."""

from collections.abc import Mapping

from batiksim.texts.catalogue import say
from batiksim.texts.phrases import percent

# How a pot of so many full strengths is called beside the dye at its own strength; assumption.
DEPTHS = ((0.35, "pale"), (0.65, "light"), (1.25, "full"), (float("inf"), "strong"))


def described_pot(loads: Mapping[str, float]) -> str:
    """A name for a pot by the full strengths of each dye in it: "pale orange 22%", "lemon with navy 80%"."""
    held = {dye: full for dye, full in loads.items() if full > 0}
    first, *others = sorted(held, key=lambda dye: -held[dye])
    strength = sum(held.values())
    depth = next(word for most, word in DEPTHS if strength < most)
    dyes = say("from_picture.pot.with", dye=first, others=others) if others else first
    return str(say(f"from_picture.pot.{depth}", dyes=str(dyes)[:150], strength=percent(strength, whole=True)))
