"""What is found on a cloth: findings and regions."""

from abc import ABC, abstractmethod
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, Literal

from batiksim.texts.catalogue import Message
from batiksim.values.colour_words import history_names, name_message
from batiksim.values.design import Design
from batiksim.values.frozen import FrozenDict
from batiksim.values.plain_data import LEFT_OUT, as_data
from batiksim.values.showing import ShownInNotebooks

if TYPE_CHECKING:
    from batiksim.types import Bytes
else:
    Bytes = Any  # so that values don't load numpy

Severity = Literal["note", "warn", "serious"]
SEVERITIES: tuple[Severity, ...] = ("note", "warn", "serious")


@dataclass(frozen=True, kw_only=True)
class Place:
    """A spot on the cloth.

    Parameters
    ----------
    x_mm, y_mm : float
        How far from the left and from the top edge.
    radius_mm : float, default 0.0
        How far it reaches.

    Examples
    --------
    >>> from batiksim import Place
    >>> Place(x_mm=120.0, y_mm=80.0)
    Place(x_mm=120.0, y_mm=80.0, radius_mm=0.0)
    """

    x_mm: float
    y_mm: float
    radius_mm: float = 0.0


@dataclass(frozen=True, kw_only=True)
class Remedy(ABC):
    """Changes of a design that help against a finding.

    Parameters
    ----------
    words : Message
        What they do; `str` of the remedy gives it as a sentence.
    changes : tuple of dict
        What they do as plain data, made one after another: ``{"do": "move_step", "step": 4, "to": 2}``.
    masks : dict of str to array
        The new pictures that they use, by name: uint8 (rows, cols), 255 = marked.

    Notes
    -----
    How they are made is known further up than values are: see `batiksim.changes.remedy`.

    Examples
    --------
    >>> import numpy as np
    >>> from batiksim import Cloth, Design, Dye, DyeBath, Wax, check
    >>> half = np.tile(np.arange(40) < 20, (30, 1))
    >>> design = Design(
    ...     title="Twice",
    ...     cloth=Cloth(width_mm=100),
    ...     dyes=[Dye(name="navy", colour="#1d2b53")],
    ...     steps=[Wax(mask="half.png"), DyeBath(pot="navy"), Wax(mask="half.png")],
    ... )
    >>> (finding,) = check(design, masks={"half.png": half})
    >>> (remedy,) = finding.remedies
    >>> len(remedy.apply(design).steps)
    2
    """

    words: Message
    changes: tuple[Mapping[str, Any], ...] = field(hash=False)
    masks: Mapping[str, Bytes] = field(default_factory=dict, compare=False, repr=False, metadata=LEFT_OUT)

    def __str__(self) -> str:
        return str(self.words)

    @abstractmethod
    def apply(self, design: Design) -> Design:
        """The design with the changes made, as a new value.

        Parameters
        ----------
        design : Design
            The one that the finding is about, or one like it.

        Returns
        -------
        Design
            With the changes made.

        Raises
        ------
        BatikError
            When the changes can't be made on this design, as where it has fewer steps by now.
        """


@dataclass(frozen=True, kw_only=True)
class Finding(ShownInNotebooks):
    """One thing that a check noticed.

    Parameters
    ----------
    code : str
        The check that noticed it: "mud".
    severity : {"note", "warn", "serious"}
        How much it matters.
    step : int
        The step where it comes about, from 1; 0 = the design as a whole.
    message, remedy : Message
        What is wrong, and what to do about it, in words.
    place : Place or None
        Where on the cloth, if it is in one place.
    pots, masks : tuple of str
        The pots or dyes and the pictures concerned, as the design writes their names.
    numbers : dict of str to float
        What was measured, the unit in the name: `_mm`, `_deg`, `_share` of the cloth (0..1), `_de` (CIEDE2000),
        `_strengths` (full strengths of dye), `count`.
    remedies : tuple of Remedy
        Changes that help, the least change first; empty where none was found, and in previews, which don't look.

    Examples
    --------
    >>> import numpy as np
    >>> from batiksim import Cloth, Design, Dye, DyeBath, Wax, check
    >>> half = np.tile(np.arange(40) < 20, (30, 1))
    >>> design = Design(
    ...     title="Twice",
    ...     cloth=Cloth(width_mm=100),
    ...     dyes=[Dye(name="navy", colour="#1d2b53")],
    ...     steps=[Wax(mask="half.png"), DyeBath(pot="navy"), Wax(mask="half.png")],
    ... )
    >>> (finding,) = check(design, masks={"half.png": half})
    >>> finding.code, finding.severity, finding.step
    ('wasted', 'warn', 3)
    """

    code: str
    severity: Severity
    step: int = 0
    message: Message
    remedy: Message
    place: Place | None = None
    pots: tuple[str, ...] = ()
    masks: tuple[str, ...] = ()
    numbers: Mapping[str, float] = field(default_factory=FrozenDict, metadata=as_data(places=4))
    remedies: tuple[Remedy, ...] = ()

    def __post_init__(self) -> None:
        numbers = FrozenDict((name, float(number)) for name, number in self.numbers.items())
        object.__setattr__(self, "numbers", numbers)

    def __repr__(self) -> str:
        return f"<Finding {self.code} ({self.severity}) at step {self.step}: {self.message}>"


@dataclass(frozen=True, kw_only=True)
class Region(ShownInNotebooks):
    """All spots of the finished cloth with one history.

    Parameters
    ----------
    share : float
        Of the cloth's area, 0 to 1.
    history : tuple of str
        Names of the pots and other steps that reached it, in order.
    loads : dict of str to float
        What the fibre holds of each dye at the end; 1 is the dye at full strength on open cloth.
    hex : str
        Its colour, "#rrggbb".
    lab : tuple of float
        Its colour in CIELAB, D65.
    name, plain : str
        The colour's name: of ISCC-NBS ("strong yellow green"), and in a plain word ("green").
    reflectance : tuple of float
        Of the finished cloth, 0 to 1, in 31 bands from 400 to 700 nm by 10 nm.

    Examples
    --------
    >>> from batiksim import Cloth, Design, Dye, DyeBath, Wax, preview
    >>> import numpy as np
    >>> design = Design(
    ...     title="Half",
    ...     cloth=Cloth(width_mm=100),
    ...     dyes=[Dye(name="navy", colour="#1d2b53")],
    ...     steps=[Wax(mask="half.png"), DyeBath(pot="navy")],
    ... )
    >>> half = np.arange(40) < 20
    >>> regions = preview(design, masks={"half.png": np.tile(half, (30, 1))}).regions
    >>> [(region.history, round(region.share, 2)) for region in regions]
    [((), 0.5), (('navy',), 0.5)]
    """

    DATA = ("shown", "shown_history")

    share: float = field(metadata=as_data(places=6))
    history: tuple[str, ...]
    loads: Mapping[str, float] = field(default_factory=dict, metadata=as_data(places=4))
    hex: str
    lab: tuple[float, float, float] = field(metadata=as_data(places=3))
    name: str
    plain: str
    reflectance: tuple[float, ...] = field(default=(), metadata=LEFT_OUT)

    def __post_init__(self) -> None:
        object.__setattr__(self, "loads", FrozenDict(self.loads))

    def __repr__(self) -> str:
        history = " + ".join(self.history) or "bare cloth"
        return f"<Region {self.hex} {self.name}, {self.share:.1%} of the cloth: {history}>"

    @property
    def shown(self) -> Message:
        """The colour's name in the language that is spoken."""
        return name_message(self.name)

    @property
    def shown_history(self) -> tuple[str | Message, ...]:
        """The history in the language that is spoken."""
        return history_names(self.history)
