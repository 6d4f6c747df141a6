"""The cloth that dyes were seen on beside the cloth to be dyed, in words: what was taken from it, what doesn't fit."""

from collections.abc import Mapping, Sequence

from batiksim.cloth.dyes_on_cloth import ClothDyes
from batiksim.cloth.undyed import COLOURS_AGREE, FLOORS_AGREE, colours_apart, floors_apart, measured_cloths
from batiksim.texts.phrases import capital, listed
from batiksim.values import COTTON, FLOOR, Cloth, Dye, Undyed

MOST_NAMED = 4
Trouble = tuple[str, str]
"""What is the matter, and what to do about it."""


def floor_words(surface: float) -> str:
    """A surface floor as a design says it."""
    return f"{surface:.3f}".rstrip("0").rstrip(".")


def assumed_cloth_note(cloth: Cloth, there: ClothDyes) -> str | None:
    """What a cloth is taken to be because its dyes were seen on such; None where nothing of note is."""
    parts = []
    if cloth.colour is None and there.colour != COTTON:
        parts.append(f"undyed colour {there.colour}")
    if cloth.surface is None and there.surface != FLOOR:
        parts.append(f"surface floor {floor_words(there.surface)}")
    if not parts:
        return None
    return f"The cloth is taken to be the one that its dyes were seen on: {' and '.join(parts)}."


def floor_trouble(
    cloth: Cloth, surface: float, seen: Mapping[str, Undyed], *, limit: float = FLOORS_AGREE
) -> Trouble | None:
    """Dyes that were seen on cloth of another floor than is reckoned with.

    surface : the floor reckoned with; seen : the cloth of each dye in use whose floor is known (`measured_cloths`)
    limit : how far they may be apart
    """
    floors = {name: one.surface for name, one in seen.items() if one.surface is not None}
    off = {name: floor for name, floor in floors.items() if floors_apart(floor, surface) > limit + 1e-9}
    if not off:
        return None
    far = max(off.values(), key=lambda floor: floors_apart(floor, surface))
    there = f"{_named(list(off))} {'were' if len(off) > 1 else 'was'} seen on cloth with a floor of {_range(off)}"
    what = "dark overdyes will come out otherwise than shown"
    if cloth.surface is not None:
        others = "" if len(off) == len(floors) else " (the other dyes fit it)"
        return (
            f"The cloth's surface floor is given as {floor_words(surface)}{others}, but {there}: {what}.",
            "Leave surface out under [cloth], and what the dyes were seen on is taken; "
            f"or write surface = {floor_words(far)}.",
        )
    rest = [name for name in floors if name not in off]
    others = (
        f"{_named(rest)} on one of {floor_words(surface)}" if rest else f"the cloth is taken as {floor_words(surface)}"
    )
    return (
        f"{there}, {others}: no floor is right for all, and {what}.",
        f"Learn these dyes anew from one strip; or write surface = {floor_words(far)} under [cloth] "
        f"if that is your cloth's.",
    )


def colour_trouble(cloth: Cloth, seen: Mapping[str, Undyed], *, limit: float = COLOURS_AGREE) -> Trouble | None:
    """Dyes that were seen on cloth of clearly another colour than is stated. What they add is the same on both."""
    if cloth.colour is None:
        return None
    off = {name: one.colour for name, one in seen.items() if colours_apart(one.colour, cloth.colour) > limit}
    if not off:
        return None
    kinds: list[str] = []  # strips of one cloth differ a little
    for one in off.values():
        if all(colours_apart(one, other) > limit for other in kinds):
            kinds.append(one)
    seen_on = f"{'were' if len(off) > 1 else 'was'} seen on {listed(kinds[:MOST_NAMED])}"
    same = "If it is one of these cloths, write its colour under [cloth]."
    if len(kinds) == 1:
        same = f'If it is the same cloth, leave colour out under [cloth] or write colour = "{kinds[0]}".'
    return (
        f"The cloth is given as {cloth.colour}, but {_named(list(off))} {seen_on}.",
        f"{same} On another cloth a dye may take more or less: dye a small piece first.",
    )


def cloth_notes(cloth: Cloth, there: ClothDyes, dyes: Sequence[Dye]) -> tuple[str, ...]:
    """What to know of the cloth where dyes of a book or design are shown on it, in sentences."""
    trouble = floor_trouble(cloth, there.surface, measured_cloths(dyes))
    taken = assumed_cloth_note(cloth, there)
    told = [] if taken is None else [taken]
    return (*told, *([] if trouble is None else [" ".join(capital(text) for text in trouble)]))


def _named(names: Sequence[str]) -> str:
    if len(names) <= MOST_NAMED:
        return str(listed(list(names)))
    return str(listed([*names[: MOST_NAMED - 1], f"{len(names) - MOST_NAMED + 1} other dyes"]))


def _range(floors: Mapping[str, float]) -> str:
    low, high = floor_words(min(floors.values())), floor_words(max(floors.values()))
    return low if low == high else f"{low} to {high}"
