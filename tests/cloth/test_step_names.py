"""What steps are called: waxings by their place and their picture."""

import pytest

from batiksim.values import Cloth, Design, Dye, DyeBath, MaskUse, Paint, RemoveWax, Wax
from batiksim.values.step_words import step_words


@pytest.mark.parametrize(
    ("picture", "name"),
    [
        ("petals.png", "petals"),
        ("keep-petals.png", "petals"),
        ("paint-leaves.png", "leaves"),
        ("masks/2-straw.png", "straw"),
        ("3-apricot-and-green.png", "apricot and green"),
        ("wax_mask_02 Tail feathers.tif", "Tail feathers"),
        ("touched/leaves-0a1b2c3d4e.png", "leaves"),
        ("wax-1.png", ""),
        ("new-wax-2.png", "new wax 2"),
        ("decades-old.png", "decades old"),
    ],
)
def test_a_picture_is_called_by_what_its_name_says(picture, name):
    assert MaskUse(picture=picture).shape == name


def waxed(picture, **keys):
    return Wax(mask=MaskUse(picture=picture), **keys)


def planned(*steps):
    dyes = (Dye(name="sun", colour="#f0d92e"), Dye(name="sea", colour="#3d9fb4"))
    return Design(title="Named", cloth=Cloth(width_mm=100), dyes=dyes, pots=(), steps=steps)


def test_no_two_waxings_have_one_name():
    bath = DyeBath(paints=(Paint(pot="sun"),))
    design = planned(waxed("outlines.png"), bath, waxed("keep-petals.png", tool="brush"), RemoveWax(), waxed("wax.png"))
    titles = [str(step_words(design, number)[0]) for number in range(1, 6)]
    assert titles == ["Wax 1: outlines", "Sun", "Wax 2: petals", "Wax removed", "Wax 3"]
    assert str(step_words(design, 3)[1]) == "With the brush."


def test_the_only_waxing_has_no_number():
    thin = planned(waxed("moonlight.png", grey="thin", tool="canting"), DyeBath(paints=(Paint(pot="sea"),)))
    title, detail = step_words(thin, 1)
    assert str(title) == "Wax: moonlight"
    assert str(detail) == "With the canting. Thin wax: it holds back only part of the dye."
    assert str(step_words(planned(waxed("1.png")), 1)[0]) == "Wax"
