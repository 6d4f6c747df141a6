"""Values made comfortably, and by nothing that they can't hold."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest

from batiksim.errors import BatikError
from batiksim.values import (
    BookDye,
    Cloth,
    Design,
    Discharge,
    Dye,
    DyeBath,
    DyeBook,
    MaskUse,
    Paint,
    Pot,
    RemoveWax,
    Want,
    Wax,
)

CLOTH, SUN, SEA = Cloth(width_mm=100), Dye(name="sun", colour="#f0d92e"), Dye(name="sea", colour="#1aa7b8")
SKY = MaskUse(picture="sky.png")


def test_a_pictures_name_is_a_mask():
    assert Wax(mask="sky.png").mask == Discharge(where="sky.png").where == SKY
    assert Paint(pot="sun", where="sky.png") == Paint(pot="sun", where=SKY)
    assert Want(colour="#112233", where="sky.png").where == SKY
    with pytest.raises(BatikError, match="wax: needs text"):
        Wax(mask="")


def test_a_dyeing_takes_pots_by_name():
    one = DyeBath(paints=(Paint(pot="sun"),))
    assert (
        DyeBath(paints="sun")
        == DyeBath(paints=["sun"])
        == DyeBath(paints=Paint(pot="sun"))
        == DyeBath(pot="sun")
        == one
    )
    assert DyeBath(paints=["sun", Paint(pot="sea", where=SKY)]).paints == (
        Paint(pot="sun"),
        Paint(pot="sea", where=SKY),
    )
    alone = DyeBath(pot="sun", where="sky.png", spread=True, reach_mm=3, note="slowly")
    assert alone == DyeBath(paints=[Paint(pot="sun", where=SKY, spread=True, reach_mm=3)], note="slowly")
    assert dataclasses.replace(alone, note="").paints == alone.paints
    assert not hasattr(alone, "pot")


@pytest.mark.parametrize(
    ("wrong", "told"),
    [
        (lambda: DyeBath(paints="sun", pot="sea"), "either paints or pot"),
        (lambda: DyeBath(paints=[], pot="sea", where="a.png"), "either paints or pot"),
        (lambda: DyeBath(paints="sun", where="sky.png"), "where, spread and reach_mm with pot"),
        (lambda: DyeBath(paints="sun", spread=True), "where, spread and reach_mm with pot"),
        (lambda: DyeBath(paints=[SUN]), "DyeBath.paints item 1 must be Paint or str, not Dye"),
        (lambda: DyeBath(paints=7), "DyeBath.paints must be a list of Paint or str, not int"),
        (lambda: Wax(mask=None), "Wax.mask must be MaskUse or a picture's name, not NoneType"),
        (lambda: Wax(mask=7), "Wax.mask must be MaskUse or a picture's name, not int"),
        (lambda: Wax(mask=np.zeros((2, 2))), "Wax.mask must .* numpy.ndarray; an array goes into masks="),
        (lambda: Wax(mask=[SKY]), "Wax.mask must be MaskUse or a picture's name, not list"),
        (lambda: Paint(pot="sun", where=True), "Paint.where must be MaskUse"),
        (lambda: Discharge(where=True), "Discharge.where must be MaskUse"),
        (lambda: Want(colour="#112233", where=7), "Want.where must be MaskUse"),
        (lambda: Design(title="t", cloth=100), "Design.cloth must be Cloth, not int"),
        (lambda: Design(title="t", cloth=CLOTH, dyes=["sun"]), "Design.dyes item 1 must be Dye, not str"),
        (lambda: Design(title="t", cloth=CLOTH, dyes="sun"), "Design.dyes must be a list of Dye, not str"),
        (lambda: Design(title="t", cloth=CLOTH, dyes=SUN), "Design.dyes must be a list of Dye, not Dye"),
        (lambda: Design(title="t", cloth=CLOTH, dyes={"sun": SUN}), "Design.dyes must be a list of Dye, not dict"),
        (lambda: Design(title="t", cloth=CLOTH, pots=(SUN,)), "Design.pots item 1 must be Pot, not"),
        (lambda: Design(title="t", cloth=CLOTH, steps=[RemoveWax(), SKY]), "Design.steps item 2 must be Wax or"),
        (lambda: Design(title="t", cloth=CLOTH, wants=[None]), "Design.wants item 1 must be Want, not NoneType"),
        (lambda: Design(title="t", cloth=CLOTH, skip_checks="fit"), "Design.skip_checks must be a list of str"),
        (lambda: Design(title="t", cloth=CLOTH, skip_checks=[1]), "Design.skip_checks item 1 must be str, not int"),
        (lambda: DyeBook(name="b", title="b", entries=[SUN]), "DyeBook.entries item 1 must be BookDye, not"),
        (lambda: Dye(name="a", colour="#112233", build_up="linear"), "Dye.build_up must be BuildUp, not str"),
        (lambda: Dye(name="a", colour="#112233", seen_on="#ffffff"), "Dye.seen_on must be Undyed, not str"),
        (lambda: Dye(name="a", spectrum=b"a.csv"), "spectrum: needs text"),
    ],
)  # fmt: skip
def test_what_a_field_cannot_hold_is_told_with_field_and_type(wrong, told):
    with pytest.raises((TypeError, BatikError), match=told):
        wrong()


def test_anything_in_a_row_is_taken_and_kept_as_a_tuple():
    pot = Pot(name="mix", parts={"sun": 1})
    fields = {"dyes": (SUN, SEA), "pots": (pot,), "steps": (Wax(mask=SKY), DyeBath(pot="mix")), "skip_checks": ("fit",)}
    whole = Design(title="t", cloth=CLOTH, **fields)
    for row in (list, iter, np.array):
        made = Design(title="t", cloth=CLOTH, **{name: row(list(held)) for name, held in fields.items()})
        assert made == whole
        assert type(made.skip_checks[0]) is str
    assert dataclasses.replace(whole, steps=[RemoveWax()]).steps == (RemoveWax(),)
    pairs = [[400, 0.5], [500, 0.5], [600, 0.25], [700, 0.25]]
    assert BookDye(name="a", samples=np.array(pairs)).samples == tuple((float(nm), value) for nm, value in pairs)


def test_a_value_of_a_kind_of_steps_own_is_a_step():
    @dataclasses.dataclass(frozen=True, kw_only=True)
    class Soaked(Wax):
        hours: float = 0.0

    soaked = Soaked(mask="sky.png", hours=3, crackle=np.float32(0.5))
    assert (soaked.mask, soaked.crackle, soaked.hours) == (SKY, 0.5, 3)
    assert Design(title="t", cloth=CLOTH, steps=[soaked]).steps == (soaked,)
