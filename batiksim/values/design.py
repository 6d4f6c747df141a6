"""A whole design."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from typing import Any

from batiksim.errors import BatikError, nearest
from batiksim.values.cloth import Cloth
from batiksim.values.documented import documented
from batiksim.values.dyes import Dye
from batiksim.values.pots import Pot
from batiksim.values.rules import Texts, setting, text
from batiksim.values.settings import Table, Value, members, table, tables
from batiksim.values.showing import ShownInNotebooks
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

    takes = "sequence of str"

    def check(self, value: Any, key: str) -> Any:
        return tuple(map(str.__str__, members(value, str)))

    def read(self, raw: Any, key: str) -> Any:
        return super().read(raw, key).skip

    def write(self, value: Any) -> Any:
        return {"skip": value}


@documented
@dataclass(frozen=True, kw_only=True)
class Design(Value, ShownInNotebooks):
    """One planned cloth.

    Examples
    --------
    >>> from batiksim import Cloth, Design, Dye, DyeBath, Pot, Wax
    >>> design = Design(
    ...     title="Tide pools",
    ...     cloth=Cloth(width_mm=450),
    ...     dyes=[Dye(name="navy", colour="#1d2b53")],
    ...     pots=[Pot(name="pale", parts={"navy": 1}, strength=0.2)],
    ...     steps=[DyeBath(pot="pale"), Wax(mask="shells.png"), DyeBath(pot="navy")],
    ... )
    >>> len(design.steps)
    3
    """

    KIND = "design"

    title: str = field(metadata=text("What the cloth is called.", "Tide pools"))
    maker: str = field(default="", metadata=text("Whose design it is; it is printed on the sheets.", "Ada Weaver"))
    note: str = field(default="", metadata=note("Our cloth for two afternoons."))
    cloth: Cloth = field(metadata=table(Cloth, "The fabric."))
    dyes: tuple[Dye, ...] = field(default=(), metadata=tables(Dye, "dye", "The dyes"))
    pots: tuple[Pot, ...] = field(default=(), metadata=tables(Pot, "pot", "The mixed pots"))
    steps: tuple[Step, ...] = field(
        default=(),
        metadata=setting(
            Steps(
                key="step", help="What is done, in order, each under [[step]].", python="What is done to it, in order."
            )
        ),
    )
    wants: tuple[Want, ...] = field(
        default=(), metadata=tables(Want, "want", "Colours wished for on the finished cloth")
    )
    skip_checks: tuple[str, ...] = field(
        default=(), metadata=setting(SkippedChecks(of=Checks, key="checks", help="Which checks to leave out."))
    )

    def __init__(
        self,
        *,
        title: str,
        maker: str = "",
        note: str = "",
        cloth: Cloth,
        dyes: Iterable[Dye] = (),
        pots: Iterable[Pot] = (),
        steps: Iterable[Step] = (),
        wants: Iterable[Want] = (),
        skip_checks: Iterable[str] = (),
    ) -> None:
        self._keep(locals())

    def __repr__(self) -> str:
        pots = [pot.name for pot in self.pots] or [dye.name for dye in self.dyes]
        return f"<Design {self.title!r}: {len(self.steps)} steps, {self.cloth.width_mm:g} mm wide; {', '.join(pots)}>"

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
        """The pot of a name; a dye's name gives that dye alone at full strength.

        Parameters
        ----------
        name : str
            Of a pot or a dye of the design.

        Returns
        -------
        Pot
            The pot.

        Raises
        ------
        BatikError
            For a name that is neither, with the nearest.

        Examples
        --------
        >>> from batiksim import Cloth, Design, Dye
        >>> Design(title="Tide", cloth=Cloth(width_mm=450), dyes=[Dye(name="navy", colour="#1d2b53")]).pot("navy").parts
        {'navy': 1.0}
        """
        pots = {pot.name: pot for pot in self.pots}
        dyes = [dye.name for dye in self.dyes]
        if name in dyes:
            return Pot(name=name, parts={name: 1.0})
        if name not in pots:
            raise BatikError("values.error.no_such_pot", got=name, fix=nearest(name, [*pots, *dyes]))
        return pots[name]

    def mask_places(self) -> Iterator[tuple[int, int | None, MaskUse]]:
        """Every mask that the steps use, in order, and where it is used.

        Yields
        ------
        step : int
            The number of its step, from 1.
        pot : int or None
            In a dyeing, the number of its pot, from 1.
        use : MaskUse
            The mask.

        See Also
        --------
        Design.mask_uses : The same without pots.

        Examples
        --------
        >>> from batiksim import Cloth, Design, Dye, DyeBath, Wax
        >>> navy = Dye(name="navy", colour="#1d2b53")
        >>> steps = [Wax(mask="shells.png"), DyeBath(pot="navy", where="sky.png")]
        >>> design = Design(title="Tide", cloth=Cloth(width_mm=450), dyes=[navy], steps=steps)
        >>> [(step, pot, use.picture) for step, pot, use in design.mask_places()]
        [(1, None, 'shells.png'), (2, 1, 'sky.png')]
        """
        for number, step in enumerate(self.steps, start=1):
            if isinstance(step, Wax):
                yield number, None, step.mask
            elif isinstance(step, DyeBath):
                painted = enumerate(step.paints, start=1)
                yield from ((number, place, paint.where) for place, paint in painted if paint.where is not None)
            elif isinstance(step, Discharge) and step.where is not None:
                yield number, None, step.where

    def mask_uses(self) -> Iterator[tuple[int, MaskUse]]:
        """Every mask that the steps use, in order, with its step.

        Yields
        ------
        step : int
            The number of its step, from 1.
        use : MaskUse
            The mask.

        See Also
        --------
        Design.mask_places : Also tells the pot in a dyeing.

        Examples
        --------
        >>> from batiksim import Cloth, Design, Wax
        >>> design = Design(title="Tide", cloth=Cloth(width_mm=450), steps=[Wax(mask="shells.png")])
        >>> [(step, use.picture) for step, use in design.mask_uses()]
        [(1, 'shells.png')]
        """
        yield from ((number, use) for number, _, use in self.mask_places())
