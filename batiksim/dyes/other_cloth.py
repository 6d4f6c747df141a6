"""The cloth that dyes were seen on beside the cloth to be dyed, in words: what was taken from it, what doesn't fit."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from batiksim.cloth.dyes_on_cloth import ClothDyes
from batiksim.cloth.undyed import COLOURS_AGREE, FLOORS_AGREE, colours_apart, floors_apart, measured_cloths
from batiksim.texts.catalogue import Message, say
from batiksim.texts.phrases import listed
from batiksim.values import COTTON, FLOOR, Cloth, Dye, Undyed

MOST_NAMED = 4


@dataclass(frozen=True, kw_only=True)
class Trouble:
    """What is the matter, what to do about it, and with which dyes. numbers : as of a finding."""

    message: Message
    remedy: Message
    dyes: tuple[str, ...]
    numbers: Mapping[str, float]

    @property
    def words(self) -> tuple[Message, Message]:
        """Both sentences."""
        return self.message, self.remedy


def floor_words(surface: float) -> str:
    """A surface floor as a design says it."""
    return f"{surface:.3f}".rstrip("0").rstrip(".")


def assumed_cloth_note(cloth: Cloth, there: ClothDyes) -> Message | None:
    """What a cloth is assumed to be, since its dyes were seen on such; None where nothing of note is."""
    parts = []
    if cloth.colour is None and there.colour != COTTON:
        parts.append(say("dyes.cloth.assumed_colour", colour=there.colour))
    if cloth.surface is None and there.surface != FLOOR:
        parts.append(say("dyes.cloth.assumed_floor", floor=round(there.surface, 3)))
    return say("dyes.cloth.assumed", parts=parts) if parts else None


def floor_trouble(
    cloth: Cloth, surface: float, seen: Mapping[str, Undyed], *, limit: float = FLOORS_AGREE
) -> Trouble | None:
    """Dyes that were seen on cloth of another floor than is reckoned with.

    surface : the floor reckoned with; seen : the cloth of each dye in use whose floor is known (`measured_cloths`)
    limit : how far they may be apart
    """
    floors = {name: undyed.surface for name, undyed in seen.items() if undyed.surface is not None}
    off = {name: floor for name, floor in floors.items() if floors_apart(floor, surface) > limit + 1e-9}
    if not off:
        return None
    far = max(off.values(), key=lambda floor: floors_apart(floor, surface))
    rest = [name for name in floors if name not in off]
    if cloth.surface is not None:
        key, remedy = "stated_some" if rest else "stated", "unstate"
    else:
        key, remedy = "mixed" if rest else "assumed", "learn_again"
    parts = {"surface": round(surface, 3), "floor": _range(off), "dyes": _named(list(off)), "others": _named(rest)}
    return Trouble(
        message=say(f"dyes.cloth.floor.{key}", count=len(off), **parts),
        remedy=say(f"dyes.cloth.floor.{remedy}", written=floor_words(far)),
        dyes=tuple(off),
        numbers={"surface": surface, "seen_surface": far},
    )


def colour_trouble(cloth: Cloth, seen: Mapping[str, Undyed], *, limit: float = COLOURS_AGREE) -> Trouble | None:
    """Dyes that were seen on cloth of clearly another colour than is stated. What they add is the same on both."""
    if cloth.colour is None:
        return None
    off = {name: undyed.colour for name, undyed in seen.items() if colours_apart(undyed.colour, cloth.colour) > limit}
    if not off:
        return None
    kinds: list[str] = []  # strips of one cloth differ a little
    for colour in off.values():
        if all(colours_apart(colour, other) > limit for other in kinds):
            kinds.append(colour)
    return Trouble(
        message=say(
            "dyes.cloth.colour.differs",
            count=len(off),
            colour=cloth.colour,
            dyes=_named(list(off)),
            seen_on=kinds[:MOST_NAMED],
        ),
        remedy=say("dyes.cloth.colour.unstate" if len(kinds) == 1 else "dyes.cloth.colour.choose", written=kinds[0]),
        dyes=tuple(off),
        numbers={"apart_de": max(colours_apart(colour, cloth.colour) for colour in off.values())},
    )


def cloth_notes(cloth: Cloth, there: ClothDyes, dyes: Sequence[Dye]) -> tuple[Message, ...]:
    """What to know of the cloth where dyes of a book or design are shown on it."""
    taken = assumed_cloth_note(cloth, there)
    trouble = floor_trouble(cloth, there.surface, measured_cloths(dyes))
    return (*([] if taken is None else [taken]), *([] if trouble is None else trouble.words))


def _named(names: Sequence[str]) -> Message:
    if len(names) <= MOST_NAMED:
        return listed(names)
    return listed([*names[: MOST_NAMED - 1], say("dyes.cloth.other_dyes", count=len(names) - MOST_NAMED + 1)])


def _range(floors: Mapping[str, float]) -> float | Message:
    low, high = round(min(floors.values()), 3), round(max(floors.values()), 3)
    return low if low == high else say("dyes.cloth.range", low=low, high=high)
