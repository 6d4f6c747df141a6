"""A whole design."""

from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

from batiksim.errors import BatikError, nearest
from batiksim.values.cloth import Cloth
from batiksim.values.dyes import Dye
from batiksim.values.pots import Pot
from batiksim.values.rules import Texts, setting, text
from batiksim.values.settings import Table, Value, table, tables
from batiksim.values.steps import Discharge, DyeBath, MaskUse, Step, Steps, Wax, note
from batiksim.values.wishes import Want

FORMAT = 1
MADE_BY = "Made by batiksim"  # stands inside every picture and page that is made: such files may be made anew


@dataclass(frozen=True, kw_only=True)
class Checks(Value):
    """Which checks to leave out for this design."""

    KIND = "checks"

    skip: tuple[str, ...] = field(
        metadata=setting(
            Texts(problem="values.error.needs_checks", example=["fit"], help="Checks that are left out for good.")
        )
    )


@dataclass(frozen=True, kw_only=True)
class SkippedChecks(Table):
    """The codes of checks that are left out, in files under [checks]."""

    def check(self, value: Any, key: str) -> Any:
        return tuple(value)

    def read(self, raw: Any, key: str) -> Any:
        return super().read(raw, key).skip

    def write(self, value: Any) -> Any:
        return {"skip": value}


@dataclass(frozen=True, kw_only=True)
class Design(Value):
    """One planned cloth.

    maker, note : for the sheets; wants : they ask, and change nothing on the cloth
    skip_checks : codes of the checks that it leaves out
    """

    KIND = "design"

    title: str = field(metadata=text("What the cloth is called.", "Tide pools"))
    maker: str = field(default="", metadata=text("Whose design it is; it is printed on the sheets.", "Ada Weaver"))
    note: str = field(default="", metadata=note("Our cloth for two afternoons."))
    cloth: Cloth = field(metadata=table(Cloth, "The fabric."))
    dyes: tuple[Dye, ...] = field(default=(), metadata=tables(Dye, "dye", "The dyes"))
    pots: tuple[Pot, ...] = field(default=(), metadata=tables(Pot, "pot", "The mixed pots"))
    steps: tuple[Step, ...] = field(
        default=(), metadata=setting(Steps(key="step", help="What is done, in order, each under [[step]]."))
    )
    wants: tuple[Want, ...] = field(
        default=(), metadata=tables(Want, "want", "Colours wished for on the finished cloth")
    )
    skip_checks: tuple[str, ...] = field(
        default=(), metadata=setting(SkippedChecks(of=Checks, key="checks", help="Which checks to leave out."))
    )

    def agree(self) -> None:
        dyes = [dye.name for dye in self.dyes]
        names = dyes + [pot.name for pot in self.pots]
        for name in names:
            if names.count(name) > 1:
                raise BatikError("values.error.two_of_a_name", field="name", got=name)
        for pot in self.pots:
            for dye in pot.dyes:
                if dye not in dyes:
                    where = f"pot {pot.name!r}: {'parts' if dye in pot.parts else 'drops'}"
                    raise BatikError("values.error.no_such_dye", field=where, got=dye, fix=nearest(dye, dyes))
        for number, step in enumerate(self.steps, start=1):
            for paint in step.paints if isinstance(step, DyeBath) else ():
                if paint.pot not in names:
                    advice = nearest(paint.pot, names)
                    raise BatikError("values.error.no_such_pot", field=f"step {number}: dye", got=paint.pot, fix=advice)

    def pot(self, name: str) -> Pot:
        """The pot of that name; a dye's name gives that dye alone at full strength."""
        pots = {pot.name: pot for pot in self.pots}
        dyes = [dye.name for dye in self.dyes]
        if name in dyes:
            return Pot(name=name, parts={name: 1.0})
        if name not in pots:
            raise BatikError("values.error.no_such_pot", got=name, fix=nearest(name, [*pots, *dyes]))
        return pots[name]

    def mask_places(self) -> Iterator[tuple[int, int | None, MaskUse]]:
        """Every mask the steps use, in order: its step and, in a bath, its pot (both from 1), and how it is used."""
        for number, step in enumerate(self.steps, start=1):
            if isinstance(step, Wax):
                yield number, None, step.mask
            elif isinstance(step, DyeBath):
                painted = enumerate(step.paints, start=1)
                yield from ((number, place, paint.where) for place, paint in painted if paint.where is not None)
            elif isinstance(step, Discharge) and step.where is not None:
                yield number, None, step.where

    def mask_uses(self) -> Iterator[tuple[int, MaskUse]]:
        """Every mask the steps use, in order, with its step's number (from 1)."""
        return ((number, use) for number, _, use in self.mask_places())
