"""Measured cloth, fitted dyes, and what a calibration finds of both."""

import datetime
from dataclasses import dataclass, field

import numpy as np

from batiksim.cloth.loads import load_held
from batiksim.colour import kubelka_munk, spaces
from batiksim.colour.ciede2000 import delta_e_2000
from batiksim.colour.spectra import BANDS_NM
from batiksim.colour.viewing import DAY, seen_xyz
from batiksim.texts.catalogue import Message
from batiksim.types import Bools, Floats
from batiksim.values import BookDye, BuildUp, Layers, Undyed
from batiksim.values.plain_data import LEFT_OUT, as_data

UNUSABLE = 6.0  # CIEDE2000 by which the fit itself misses half of the pieces; made photos in bad light stay under 2


@dataclass(frozen=True, kw_only=True, eq=False)
class Sample:
    """One measured piece of cloth.

    xyz : (3,), D65, as an eye used to the light sees it; reflectance : (31,) where it was measured
    cut : red, green, blue that a photo can't show deeper
    """

    name: str
    layers: Layers
    xyz: Floats
    reflectance: Floats | None = None
    cut: Bools = field(default_factory=lambda: np.zeros(3, np.bool_))

    @property
    def alone(self) -> str | None:
        """The dye that lies here without any other."""
        return self.layers[0][0] if len(self.layers) == 1 else None

    @property
    def lab(self) -> Floats:
        """CIELAB (3,), D65."""
        return spaces.xyz_to_lab(self.xyz)

    def miss(self, xyz: Floats) -> float:
        """CIEDE2000 between a predicted colour and this one; what the photo can't show doesn't count."""
        linear, mine = spaces.xyz_to_linear_srgb(xyz), spaces.xyz_to_linear_srgb(self.xyz)
        shown = np.where(self.cut, np.maximum(linear, mine), linear)
        return float(delta_e_2000(spaces.xyz_to_lab(spaces.linear_srgb_to_xyz(shown)), self.lab))


@dataclass(frozen=True, eq=False, kw_only=True)
class FittedDye:
    """One fitted dye: K/S (31,) of load 1, and its build-up."""

    name: str
    ks: Floats
    build_up: BuildUp


@dataclass(frozen=True, eq=False, kw_only=True)
class FittedDyes:
    """Fitted dyes with the cloth's reflectance (31,), the surface floor and the light they were fitted with."""

    dyes: tuple[FittedDye, ...]
    cloth: Floats
    surface: float
    light: str = DAY

    def dye(self, name: str) -> FittedDye:
        """The dye of that name."""
        return next(dye for dye in self.dyes if dye.name == name)


def predict(fit: FittedDyes, layers: Layers) -> Floats:
    """XYZ (3,) of this cloth dyed with some layers, in the light of the fit."""
    ks, total = kubelka_munk.ks_from_reflectance(fit.cloth, surface=fit.surface), 0.0
    for name, strength in layers:
        dye = fit.dye(name)
        load = dye.build_up.load(strength)
        before, after = load_held(np.array([total, total + load]))
        ks = ks + (after - before) * dye.ks
        total += load
    return seen_xyz(kubelka_munk.reflectance_from_ks(ks, surface=fit.surface), light=fit.light)


@dataclass(frozen=True, kw_only=True)
class MeasuredPiece:
    """One piece of cloth, measured and predicted.

    measured, before, after : "#rrggbb"; miss_before, miss_after : CIEDE2000 from measured
    held_out : CIEDE2000 when it is foretold by all the others; None where no other has its dyes
    problems : why it was left out; empty = used
    """

    name: str
    layers: Layers = field(metadata=as_data("dyes", make=dict))
    measured: str
    before: str
    after: str
    miss_before: float = field(metadata=as_data(places=2))
    miss_after: float = field(metadata=as_data(places=2))
    held_out: float | None = field(metadata=as_data(places=2))
    problems: tuple[Message, ...] = ()


@dataclass(frozen=True, eq=False, kw_only=True)
class CalibratedDye:
    """One dye as calibrated.

    expected_error : mean CIEDE2000 of its held-out pieces; None where nothing could be held out
    pieces : how many of the used ones have it in them
    before : what the first prediction was made with: "book" or "colour" (its strongest piece's colour alone)
    """

    name: str
    full: Floats = field(metadata=LEFT_OUT)
    hex: str
    build_up: BuildUp = field(metadata=as_data(places=4))
    expected_error: float | None = field(metadata=as_data(places=2))
    pieces: int
    before: str


@dataclass(frozen=True, kw_only=True)
class Calibration:
    """What a calibration found.

    cloth : "#rrggbb" of the undyed cloth; surface : the floor
    surface_between : where the floor lies, two times in three; None = not known, and taken as a common cotton's
    """

    dyes: tuple[CalibratedDye, ...]
    pieces: tuple[MeasuredPiece, ...]
    cloth: str
    surface: float = field(metadata=as_data(places=4))
    surface_between: tuple[float, float] | None = field(metadata=as_data(places=4))
    notes: tuple[Message, ...] = field(metadata=LEFT_OUT)

    @property
    def is_unusable(self) -> bool:
        """Whether most of the pieces contradict each other: no set of dyes shows them."""
        return (self.median("miss_after") or 0.0) > UNUSABLE

    def median(self, what: str) -> float | None:
        """Median of `misses`; None without any."""
        known = self.misses(what)
        return float(np.median(known)) if known else None

    def misses(self, what: str) -> list[float]:
        """CIEDE2000 of used dyed pieces, where it is known: their "miss_before", "miss_after" or "held_out"."""
        values = [getattr(piece, what) for piece in self.pieces if piece.layers and not piece.problems]
        return [value for value in values if value is not None]

    def book_dyes(self, *, provenance: str, date: datetime.date) -> tuple[BookDye, ...]:
        """Its dyes as a dye book keeps them: reflectance at full strength on the calibrated cloth."""
        seen_on = Undyed(colour=self.cloth, surface=self.surface if self.surface_between else None)
        return tuple(
            BookDye(
                name=dye.name,
                samples=tuple(zip(BANDS_NM.tolist(), [round(value, 5) for value in dye.full.tolist()], strict=True)),
                build_up=BuildUp(law=dye.build_up.law, bend=round(dye.build_up.bend, 4)),
                seen_on=seen_on,
                provenance=provenance,
                date=date,
                expected_error=None if dye.expected_error is None else round(dye.expected_error, 2),
            )
            for dye in self.dyes
        )
