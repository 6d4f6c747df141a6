"""The way of each colour: where a region of the cloth stood after each dye that it took."""

from dataclasses import dataclass, field

from batiksim.cloth.outcome import LEAST_SHARE, History, Outcome
from batiksim.colour import names, spaces
from batiksim.colour.gamut import xyz_to_hex
from batiksim.colour.viewing import DAY, seen_xyz
from batiksim.types import triple
from batiksim.values.plain_data import as_data


@dataclass(frozen=True, kw_only=True)
class Journey:
    """One region's way from the bare cloth to what it is.

    history : pots and "discharge", in order
    labs : CIELAB of the bare cloth and after each of them, dry, by the light asked for
    hex, name : of the last; share : of the cloth, 0..1
    """

    share: float = field(metadata=as_data(places=4))
    history: tuple[str, ...]
    labs: tuple[tuple[float, float, float], ...] = field(metadata=as_data(places=2))
    hex: str
    name: str


def journeys(outcome: Outcome, *, light: str = DAY, most: int = 10) -> tuple[Journey, ...]:
    """The ways of the largest regions, at most so many, the largest first; those under 0.1 % are left out.

    light : one of `LIGHTS`
    """
    clear = [history for history in outcome.histories if not history.mixed]
    large = [history for history in clear if outcome.share(history) >= LEAST_SHARE]
    return tuple(_journey(outcome, history, light) for history in large[:most])


def _journey(outcome: Outcome, history: History, light: str) -> Journey:
    labs = []
    for before in (0, *(op + 1 for op in history.reached)):
        xyz = seen_xyz(outcome.dyes.reflectance(outcome.ks(history, before=before)), light=light)
        labs.append(triple(spaces.xyz_to_lab(xyz)))
    return Journey(
        share=outcome.share(history),
        history=outcome.story(history),
        labs=tuple(labs),
        hex=xyz_to_hex(xyz),
        name=names.colour_name(labs[-1]).name,
    )
