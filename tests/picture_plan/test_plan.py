"""Cloths from pictures: plans found again, colours foretold, shapes that a hand can wax, words for what can't be."""

from dataclasses import replace

import numpy as np
import pytest
from scipy import ndimage

from batiksim.cloth.dyes_on_cloth import cloth_dyes
from batiksim.colour.ciede2000 import delta_e_2000
from batiksim.colour.spaces import hex_to_lab
from batiksim.errors import BatikError
from batiksim.picture_plan.design import planned_design, pot_names
from batiksim.picture_plan.given_dyeings import read_dyeings
from batiksim.picture_plan.palette import all_ways, palette
from batiksim.picture_plan.plan import FromPictureOptions, plan_picture
from batiksim.picture_plan.quantise import TargetColours
from batiksim.picture_plan.report import picture_report
from batiksim.picture_plan.search import search_plan
from batiksim.texts.catalogue import say
from batiksim.values import Cloth, Pot
from tests.picture_plan.known_cloths import (
    BOOK,
    CLOTH,
    DYES,
    WIDTH_MM,
    finished,
    known_design,
    lab,
    mean_difference,
    open_after,
    overlap,
    shapes,
)

PLANS = {
    "yellow to black": [[[("lemon", 0.6)]], [[("turquoise", 0.45)]], [[("royal blue", 0.5)]], [[("black", 0.7)]]],
    "warm to navy": [[[("golden yellow", 0.4)]], [[("scarlet", 0.6)]], [[("navy", 0.8)]]],
    "a mixed pot": [[[("magenta", 0.15)]], [[("turquoise", 0.4), ("lemon", 0.3)]], [[("royal blue", 0.8)]]],
}


def as_plan(listed):
    return tuple(tuple(tuple(bath) for bath in dyeing) for dyeing in listed)


def made_of(plan):
    names = pot_names(plan, [dye.name for dye in BOOK.dyes])
    told = picture_report(plan, DYES, names)
    return planned_design(plan, told, title="again", cloth=CLOTH, dyes=BOOK.dyes, names=names), told


def flat_picture(hexes, rows=240, cols=320):
    """Upright stripes of flat colours."""
    picture = np.empty((rows, cols, 3), np.uint8)
    edges = np.linspace(0, cols, len(hexes) + 1).astype(int)
    for hexed, start, end in zip(hexes, edges[:-1], edges[1:], strict=True):
        picture[:, start:end] = [int(hexed[at : at + 2], 16) for at in (1, 3, 5)]
    return picture


@pytest.mark.some(1)
@pytest.mark.parametrize("name", PLANS)
def test_a_known_plan_is_found_again(name):
    """The figures asked for: mean CIEDE2000 under 1.5 between the cloths, and over 0.97 of the masks shared."""
    known = as_plan(PLANS[name])
    masks = shapes(len(known), 780, 1040, seed=5)
    picture = finished(known_design(known), {f"wax-{at}.png": mask for at, mask in enumerate(masks)})
    plan = plan_picture(picture, DYES, FromPictureOptions(steps=len(known), pots=1, width_mm=WIDTH_MM))
    made, told = made_of(plan)
    assert len(plan.dyeings) == len(known)
    assert mean_difference(picture, finished(made.design, made.masks)) < 1.5
    assert told.miss < 1.5
    for asked, given in zip(open_after(masks), open_after(plan.wax), strict=True):
        assert overlap(asked, given) > 0.97


def test_given_dyeings_need_only_their_masks():
    known = as_plan(PLANS["warm to navy"])
    masks = shapes(3, 390, 520, seed=2)
    picture = finished(known_design(known), {f"wax-{at}.png": mask for at, mask in enumerate(masks)})
    plan = plan_picture(picture, DYES, FromPictureOptions(width_mm=WIDTH_MM), given=known)
    assert plan.dyeings == known
    for asked, given in zip(open_after(masks), open_after(plan.wax), strict=True):
        assert overlap(asked, given) > 0.94  # three pixels to two lines


def test_pots_side_by_side_are_found_where_one_row_of_dyeings_cannot_do():
    """Red and green both on bare cloth, apart from each other by white: one over the other would be brown."""
    picture = flat_picture(["#f1ede2", "#cf3a34", "#f1ede2", "#20845f", "#f1ede2"], rows=120)
    alone = plan_picture(picture, DYES, FromPictureOptions(steps=1, pots=1))
    beside = plan_picture(picture, DYES, FromPictureOptions(steps=1, pots=2))
    assert sorted(map(len, beside.dyeings)) == [2]
    assert made_of(beside)[1].miss < 4 < made_of(alone)[1].miss
    made, _ = made_of(beside)
    brushes = [mask.astype(int) for name, mask in made.masks.items() if name.startswith("brush")]
    assert len(brushes) == 2
    assert np.abs(sum(brushes) - 255).max() <= 1  # together they cover the cloth once


def test_pots_that_would_meet_are_kept_apart_by_wax():
    picture = flat_picture(["#cf3a34", "#20845f"])
    plan = plan_picture(picture, DYES, FromPictureOptions(steps=1, pots=2, line_mm=6.0))
    assert plan.shape == (2,)
    first, second = (paint > 127 for paint in plan.paint[0])
    reach = ndimage.binary_dilation(first, iterations=1) & second
    assert reach.any()
    assert plan.wax[0][reach].min() > 200
    assert plan.drawn.parted > 0


@pytest.mark.parametrize("shape", [(1, 1), (2, 1), (2, 3)])
def test_the_palette_is_what_the_engine_dyes(shape):
    rng = np.random.default_rng(sum(shape))
    names = list(DYES.dyes)
    plan = tuple(tuple(((str(rng.choice(names)), float(rng.uniform(0.1, 1))),) for _ in range(pots)) for pots in shape)
    ways = all_ways(shape)
    masks = {}
    for at, pots in enumerate(shape):
        masks[f"wax-{at}.png"] = np.array([[255 * (len(way) <= at) for way in ways]], np.uint8)
        for pot in range(pots):
            masks[f"brush-{at}-{pot}.png"] = np.array([[255 * (way[at : at + 1] == (pot,)) for way in ways]], np.uint8)
    cloth = finished(known_design(plan, painted=[True] * len(shape)), masks)
    assert delta_e_2000(lab(cloth)[0], palette(DYES, plan)).max() < 1.0  # rounded to 8 bits, and brought into sRGB


@pytest.mark.full
def test_one_more_dyeing_never_serves_worse():
    wanted = TargetColours(
        lab=np.array([hex_to_lab(one) for one in ("#f1ede2", "#eecf4b", "#d9702b", "#8c2f39", "#2a2536")]),
        share=np.full(5, 0.2),
    )

    def miss(steps):
        plan = search_plan(DYES, wanted, steps=steps)
        return float(delta_e_2000(wanted.lab[:, None], palette(DYES, plan)).min(axis=1).mean())

    misses = [miss(steps) for steps in (1, 2, 3, 4)]
    assert all(later <= before + 0.2 for before, later in zip(misses[:-1], misses[1:], strict=True))
    assert misses[-1] < 4 < misses[0]


def in_words(messages):
    return " ".join(map(str, messages))


def test_what_cannot_be_is_told_in_words():
    picture = flat_picture(["#ffffff", "#39ff14", "#1c2f57", "#d8552d"])
    plan = plan_picture(picture, DYES, FromPictureOptions(steps=2, pots=1))
    _, told = made_of(plan)
    words = {one.target: in_words(one.impossible) for one in told.regions}
    assert "needs another dye" in words["#39ff14"]  # no cloth is as vivid as a lit screen
    assert len(told.regions) == 4
    assert sum(one.share for one in told.regions) == pytest.approx(1, abs=0.03)
    for one in told.regions:
        apart = float(delta_e_2000(hex_to_lab(one.target), hex_to_lab(one.reachable)))
        assert one.difference == pytest.approx(apart, abs=1.0)
        assert (one.difference <= 6) or one.impossible


def test_what_is_paler_than_the_cloth_is_told():
    picture = flat_picture(["#ffffff", "#24489c"])
    dyes = cloth_dyes(Cloth(width_mm=WIDTH_MM, colour="#c9bfa4"), BOOK.dyes)
    plan = plan_picture(picture, dyes, FromPictureOptions(steps=1, pots=1))
    told = picture_report(plan, dyes, pot_names(plan, []))
    white = next(one for one in told.regions if one.target == "#ffffff")
    assert "paler than the bare cloth" in in_words(white.impossible)


def test_pale_specks_in_the_dark_too_fine_to_wax_are_told():
    picture = flat_picture(["#f1ede2", "#1c2f57"], rows=300, cols=400)
    picture[10::12, 210::12] = [216, 85, 45]
    picture[11::12, 210::12] = [216, 85, 45]
    given = as_plan([[[("scarlet", 0.6), ("golden yellow", 0.3)]], [[("navy", 1.0)]]])
    plan = plan_picture(picture, DYES, FromPictureOptions(width_mm=400, line_mm=4.0), given=given)
    _, told = made_of(plan)
    speck = next(one for one in told.regions if one.target == "#d8552d")
    assert "finer than your finest line, 4 mm" in in_words(speck.impossible)
    assert "lines of 2 mm" in in_words(speck.impossible)
    assert speck.at_mm[0] >= 200


def test_places_of_colours_lie_in_them():
    hexes = ["#f1ede2", "#eecf4b", "#1c2f57"]
    picture = flat_picture(hexes)
    plan = plan_picture(picture, DYES, FromPictureOptions(steps=2, pots=1))
    for one in made_of(plan)[1].regions:
        x, y = (round(value * picture.shape[1] / WIDTH_MM) for value in one.at_mm)
        assert "#" + bytes(picture[y, x]).hex() == one.target


def test_dyeings_are_read_from_words():
    known = {"deep sea": Pot(name="deep sea", parts={"navy": 4, "turquoise": 1}, strength=0.9)}
    found = read_dyeings("lemon 60% > turquoise | deep sea > black 7.5%", DYES.dyes, known)
    assert [[pot.name for pot in one] for one in found] == [["lemon 60%"], ["turquoise", "deep sea"], ["black 7.5%"]]
    assert found[0][0].loads() == {"lemon": pytest.approx(0.6)}
    assert found[2][0].loads() == {"black": pytest.approx(0.075)}


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("lemmon 60%", "did you mean 'lemon'"),
        ("lemon > ", "isn't a dye or pot here"),
        ("lemon 900%", "strength in .* is out of range"),
        (" > ".join(["lemon"] * 7), "dyeings are too many"),
        ("lemon | navy | black | violet", "pots are too many"),
    ],
)
def test_words_that_are_no_dyeings(text, says):
    with pytest.raises(BatikError, match=says) as caught:
        read_dyeings(text, DYES.dyes, {})
    assert caught.value.field == "where"


@pytest.mark.parametrize(
    "asked", [{"steps": 0}, {"steps": 7}, {"pots": 4}, {"width_mm": 5}, {"line_mm": 0.01}, {"line_mm": 60}]
)
def test_numbers_out_of_range(asked):
    with pytest.raises(BatikError, match="out of range"):
        FromPictureOptions(**asked)


def test_a_picture_of_one_colour_and_a_single_pixel():
    for picture in (flat_picture(["#24489c"]), np.full((1, 1, 3), 90, np.uint8)):
        made, told = made_of(plan_picture(picture, DYES, FromPictureOptions(steps=2)))
        assert told.miss < 4
        assert len(made.design.steps) >= 1


# A little of a colour


def landscape(spot):
    """Sky, meadow and a yellow field, with a round spot of a colour on 0.3 % of it."""
    rows, cols = np.ogrid[:300, :420]
    rgb = np.empty((300, 420, 3), np.uint8)
    rgb[:150], rgb[150:] = (60, 110, 170), (40, 110, 60)
    rgb[60:120, 60:240] = (240, 215, 90)
    rgb[np.hypot(rows - 90, cols - 348) < 11] = spot
    return rgb


def told_of(rgb, **asked):
    plan = plan_picture(rgb, DYES, FromPictureOptions(width_mm=WIDTH_MM, **asked))
    return picture_report(plan, DYES, pot_names(plan, list(DYES.dyes)))


def test_a_small_vivid_colour_that_is_lost_is_told():
    told = told_of(landscape((215, 35, 30)), steps=2, pots=1)
    (note,) = (str(note) for note in told.notes if "gets lost" in str(note))
    assert note.startswith("A little deep reddish orange gets lost: 0.3% of the picture, around 37")
    assert "Allow one more dyeing" in note


@pytest.mark.full
def test_a_lost_colour_is_not_told_to_wait_for_dyeings_that_were_to_be_had():
    rgb = np.full((200, 300, 3), (241, 237, 226), np.uint8)
    rgb[20:150, 20:120], rgb[40:180, 150:280], rgb[60:66, 60:66] = (192, 64, 96), (32, 80, 128), (48, 160, 64)
    told = told_of(rgb, steps=3)
    (lost,) = (str(note) for note in told.notes if "gets lost" in str(note))
    assert "Allow one more" not in lost
    assert "add it by hand" in lost
    assert say("from_picture.note.enough_for_the_rest", count=2) in told.notes


@pytest.mark.full
def test_a_small_colour_that_is_kept_or_much_like_its_place_is_not_told():
    for rgb, asked in ((landscape((215, 35, 30)), {"steps": 3, "pots": 2}), (landscape((70, 120, 180)), {"steps": 2})):
        assert not any("gets lost" in str(note) for note in told_of(rgb, **asked).notes)


@pytest.mark.full
def test_a_colour_far_off_is_told_to_wait_for_a_dyeing_only_if_none_was_left():
    rgb = np.full((200, 300, 3), (241, 237, 226), np.uint8)
    rgb[20:150, 20:120], rgb[40:180, 150:280], rgb[60:84, 180:204] = (192, 64, 96), (32, 80, 128), (240, 215, 90)
    plan = plan_picture(rgb, DYES, FromPictureOptions(width_mm=WIDTH_MM, steps=3))
    for spare in (0, 1):
        options = replace(plan.options, steps=len(plan.dyeings) + spare)
        told = picture_report(replace(plan, options=options), DYES, pot_names(plan, list(DYES.dyes)))
        (why,) = (in_words(one.impossible) for one in told.regions if one.difference > 6)
        assert why.startswith("This order can't give it")
        assert ("allow one more dyeing" in why) == (not spare)
        assert ("too small for a dyeing of its own" in why) == bool(spare)
        assert any(note.key == "from_picture.note.enough_for_the_rest" for note in told.notes) == bool(spare)
        assert not any(note.key == "from_picture.note.enough" for note in told.notes)
