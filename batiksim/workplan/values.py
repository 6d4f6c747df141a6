"""What a workshop plan holds: the request with its sessions, and the amounts that came of it, in mm2, ml and g."""

import math
import re
from dataclasses import dataclass, field

from batiksim.cloth.areas import StepAreas
from batiksim.errors import BatikError
from batiksim.texts.catalogue import Message
from batiksim.values.plain_data import LEFT_OUT, as_data
from batiksim.values.rules import flag, number, text
from batiksim.values.settings import Value
from batiksim.workplan.figures import figure
from batiksim.workplan.measures import System, together_words
from batiksim.workplan.timetable_values import Timetable

_NUMBERS = ("one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve")
_NUMBER = rf"\d+|a|an|{'|'.join(_NUMBERS)}"
_OF = r"[x×*]|(?:evening|session|afternoon|morning|day|class|time|workshop)(?:e?s)?(?:\s+of)?"
_TERM = re.compile(rf"(?:({_NUMBER})\s*(?:{_OF})\s*)?(\d+(?:[.,]\d+)?|{_NUMBER})\s*(hours?|h|minutes?|min)(?:\s+each)?")
MOST_SITTINGS = 60
SHORTEST_MIN = 45.0  # setting up and clearing away leave nothing of less


@dataclass(frozen=True, kw_only=True)
class WorkshopRequest(Value):
    """What a workshop is planned for."""

    KIND = "workshop"
    DATA = ("sessions_min",)

    makers: int = field(default=1, metadata=number("How many make the cloth.", 12, 1, 500, whole=True))
    room_c: float = field(default=20.0, metadata=number("How warm the room is.", 20, 5, 40, "°C"))
    sessions: str = field(
        default="", metadata=text("How many sessions and how long; else all in one go.", "2x2h") | LEFT_OUT
    )
    presoak: bool = field(default=False, metadata=flag("Soak the cloth in soda ash first.") | as_data("presoaked"))
    hard_water: bool = field(default=False, metadata=flag("The water is hard: it needs softener."))
    waste: float = field(
        default=figure("waste"), metadata=number("Share on top of all amounts.", 0.15, 0, 2, share=True)
    )

    def agree(self) -> None:
        """Say at once when the sessions can't be read."""
        _ = self.sessions_min

    @property
    def sessions_min(self) -> tuple[float, ...]:
        """Minutes of each session; none = all in one go."""
        return read_sessions(self.sessions) if self.sessions.strip() else ()


USUAL_WORKSHOP = WorkshopRequest()


def read_sessions(words: str) -> tuple[float, ...]:
    """Minutes of each sitting from words: "2x2h", "two evenings of 2 hours", "1 x 3 h + 2 h", "90 min, 2x2.5h".

    errors : BatikError for anything else, for none and for more than 60
    """
    sittings: list[float] = []
    for term in re.split(r"[+;]|,(?!\d)|\band\b", words):
        match = _TERM.fullmatch(term.strip().lower())
        if match is None:
            raise BatikError("workshop.error.sessions", field="sessions", got=words)
        many, length, unit = match.groups()
        minutes = _number(length) * (60 if unit.startswith("h") else 1)
        if not SHORTEST_MIN <= minutes <= 16 * 60:
            raise BatikError("workshop.error.session_length", field="sessions", got=term.strip())
        sittings += [minutes] * min(int(_number(many or "1")), MOST_SITTINGS + 1)
    if not 1 <= len(sittings) <= MOST_SITTINGS:
        raise BatikError("workshop.error.session_count", field="sessions", got=words, most=MOST_SITTINGS)
    return tuple(sittings)


def _number(word: str) -> float:
    if word in ("a", "an"):
        return 1.0
    return _NUMBERS.index(word) + 1.0 if word in _NUMBERS else float(word.replace(",", "."))


@dataclass(frozen=True, kw_only=True)
class Stock:
    """A dye dissolved in plain water.

    need_g : powder in what the pots take of it; powder_g : what is measured out, in level spoons
    water_ml : to dissolve it in; grams_per_litre : of the stock; grams_full : of full-strength solution
    """

    dye: str
    need_g: float
    powder_g: float
    water_ml: float
    grams_per_litre: float
    grams_full: float


@dataclass(frozen=True, kw_only=True)
class PotMix:
    """One pot as it is mixed for one lot.

    need_ml : what the cloths drink, waste with it; each_ml : one maker's share, as measured
    ml : what its measured parts come to together, enough to fill every maker's share
    stocks : (dye, ml); chemical_ml : chemical water; mm2 : open cloth of one maker that it paints
    """

    pot: str
    lot: int
    steps: tuple[int, ...]
    mm2: float
    need_ml: float
    each_ml: float
    ml: float
    stocks: tuple[tuple[str, float], ...]
    chemical_ml: float

    @property
    def poured_words(self) -> Message:
        """What its parts come to once they are poured together."""
        return together_words([*(ml for _, ml in self.stocks), self.chemical_ml])


@dataclass(frozen=True, kw_only=True)
class ChemicalWater:
    """Chemical water for the pots of one sitting.

    steps : those that it serves; soda_g is 0 where cloth was soaked in fixative, softener_g where water is soft
    """

    sitting: int
    steps: tuple[int, ...]
    need_ml: float
    ml: float
    urea_g: float
    soda_g: float
    softener_g: float


@dataclass(frozen=True, kw_only=True)
class Mixes:
    """What is mixed, measured throughout in one system's measures."""

    system: System = field(metadata=LEFT_OUT)
    stocks: tuple[Stock, ...]
    pots: tuple[PotMix, ...]
    waters: tuple[ChemicalWater, ...]


@dataclass(frozen=True, kw_only=True)
class WaxUse:
    """Wax of one step, for all makers: grams needed and as measured, of beeswax and of paraffin."""

    step: int
    tool: str
    mm2: float
    need_g: float
    beeswax_g: float
    paraffin_g: float


@dataclass(frozen=True, kw_only=True)
class Presoak:
    """Fixative to soak all cloths in before the first waxing."""

    ml: float
    soda_g: float
    cloth_g: float


@dataclass(frozen=True, kw_only=True)
class Bleach:
    """Bleach solution of one step, as its label says, for all makers."""

    step: int
    mm2: float
    ml: float


@dataclass(frozen=True, kw_only=True)
class Workshop:
    """Everything that a workshop needs, for all makers together where not said otherwise.

    mixes : one for each system of measures asked for, metric first
    """

    title: str
    request: WorkshopRequest = field(metadata=as_data(spread=True))
    areas: StepAreas = field(metadata=LEFT_OUT)
    grams_per_m2: float
    mixes: tuple[Mixes, ...]
    waxes: tuple[WaxUse, ...] = field(metadata=as_data("wax"))
    bleaches: tuple[Bleach, ...] = field(metadata=as_data("bleach"))
    presoak: Presoak | None
    times: Timetable = field(metadata=as_data("timetable"))
    notes: tuple[Message, ...] = field(metadata=LEFT_OUT)

    DATA = ("wax_pots",)

    @property
    def pots(self) -> tuple[PotMix, ...]:
        """The pots in metric measures."""
        return self.mixes[0].pots

    @property
    def wax_pots(self) -> int:
        """Wax pots that the makers share."""
        return math.ceil(self.request.makers / figure("makers_per_wax_pot")) if self.waxes else 0

    @property
    def pot_fill_g(self) -> tuple[float, float]:
        """Beeswax and paraffin that fill the wax pots, blended as on the cloth."""
        fill = figure("wax_pot_g") * self.wax_pots
        bees = sum(use.beeswax_g for use in self.waxes)
        whole = bees + sum(use.paraffin_g for use in self.waxes)
        share = bees / whole if whole > 0 else 0.5
        return fill * share, fill * (1 - share)
