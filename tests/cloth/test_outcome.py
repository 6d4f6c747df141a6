"""Regions: which spots share a history, how many there are, what colour they end in."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from batiksim.cloth import outcome as outcomes
from batiksim.cloth import render
from batiksim.cloth.dyes_on_cloth import dyes_on_cloth
from batiksim.cloth.journeys import journeys
from batiksim.cloth.loads import LOAD_KNEE
from batiksim.cloth.outcome import LEAST_SHARE, outcome_of, survey
from batiksim.cloth.program import DISCHARGE, DYE, LEAST_REACH
from batiksim.cloth.rules import history_keys, key_classes, walk
from batiksim.cloth.stages import stages
from batiksim.colour import names, spaces
from batiksim.colour.ciede2000 import delta_e_2000
from batiksim.colour.gamut import lab_to_hex, xyz_to_hex
from batiksim.colour.spaces import xyz_to_lab
from batiksim.colour.spectra import reflectance_to_xyz
from batiksim.values import RemoveWax

SOME = settings(max_examples=40, deadline=None)


@pytest.fixture(scope="module")
def bank(build):
    return np.concatenate([build.soft(7, 20, 30), build.noisy(3, 20, 30)])


@pytest.fixture
def flat(build):
    """Masks without soft edges: everything is marked or not."""
    return (build.soft(6, 40, 50, seed=8) > 127).astype(np.uint8) * np.uint8(255)


def sequences(program, masks):
    """Pixels of each sequence of operations by the plain rule."""
    classes = key_classes(history_keys(program, masks), len(program.ops))
    classes = classes.reshape(len(program.ops), np.prod(masks.shape[1:])).T
    counts = {}
    for row in classes:
        reached = tuple(np.flatnonzero(row).tolist())
        counts[reached] = counts.get(reached, 0) + 1
    return counts


def outcome(planned, masks):
    return outcome_of(planned, dyes_on_cloth(planned), masks)


def shown(hexed):
    return np.array(list(bytes.fromhex(hexed[1:])), int)


def grey_steps(build, count, seed=8):
    """Masks of flat patches: unmarked, thin (40 % and 70 %) and fully marked."""
    return np.array([0, 102, 178, 255], np.uint8)[build.soft(count, 40, 50, seed=seed) // 64]


@SOME
@given(data=st.data(), band=st.sampled_from([1, 70, 1 << 19]), compiled=st.booleans())
def test_the_survey_counts_what_the_rule_says(build, bank, data, band, compiled):
    planned = build.design(*data.draw(build.some_steps(most=8)))
    program, masks = build.program(planned), build.stack(planned, bank)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(outcomes, "BAND_PIXELS", band)
        if not compiled:
            patch.setattr(outcomes, "compiled", lambda name: None)
        histories, numbers, thresholds = survey(program, masks)
    counts = {}
    for history in histories:
        assert not history.mixed
        counts[history.reached] = counts.get(history.reached, 0) + history.pixels
    assert counts == sequences(program, masks)
    keys = history_keys(program, masks, thresholds)
    of_pixels = [numbers[keys[:, row, col].tobytes()] for row, col in np.ndindex(*masks.shape[1:])]
    assert np.bincount(of_pixels, minlength=len(histories)).tolist() == [history.pixels for history in histories]


@SOME
@given(data=st.data(), seed=st.integers(0, 5))
def test_every_colour_told_lies_on_the_cloth(build, data, seed):
    """Thin wax, grey brushing, half covers, bleach, wax removal: what the outcome says, the engine paints."""
    planned = build.design(*data.draw(build.some_steps(masks=6, most=7)))
    masks = build.stack(planned, grey_steps(build, 6, seed))
    made = outcome(planned, masks)
    program = build.program(planned, wax_shown=False)
    plates, labels = render.render(program, masks), made.labels(masks)
    assert np.array_equal(np.bincount(labels.ravel()), [history.pixels for history in made.histories])
    plain = np.ones(labels.shape, bool)  # spots that are all open or all sealed, and that no trace of dye came to
    for moment in walk(program, masks / 255.0):
        plain &= np.isin(moment.cover.opened, (0, 1))
        if moment.code in (DYE, DISCHARGE):
            plain &= (moment.amount == 0) | (moment.amount >= LEAST_REACH) | moment.cover.sealed
    for number, history in enumerate(made.histories):
        mine = labels == number
        seen = np.unique(plates[-1][mine], axis=0)
        if plain[mine].all() and history.pixels >= 0.1 * labels.size:
            told = xyz_to_hex(reflectance_to_xyz(made.dyes.reflectance(made.ks(history))))
            spots = xyz_to_lab(spaces.linear_srgb_to_xyz(spaces.decode_srgb(seen / 255)))
            assert delta_e_2000(spaces.hex_to_lab(told), spots).min() <= outcomes.PLAINLY / 2


def test_thin_wax_over_half_the_cloth_makes_two_regions(build):
    """60 % thin wax on the left half, then pink all over: .4 and 1 full strengths, never .7."""
    left = np.zeros((1, 10, 20), np.uint8)
    left[:, :, :10] = 153
    planned = build.design(build.wax(0, grey="thin"), build.dye("pink"))
    made = outcome(planned, left)
    strong, weak = sorted(made.regions, key=lambda region: -region.loads["pink"])
    assert (strong.share, weak.share) == (0.5, 0.5)
    assert strong.loads == pytest.approx({"pink": 1.0})
    assert weak.loads == pytest.approx({"pink": 0.4})
    finished = render.render(made.program, left)[-1].astype(int)
    assert np.abs(finished[0, 0] - shown(weak.hex)).max() <= 1
    assert np.abs(finished[0, 19] - shown(strong.hex)).max() <= 1
    labels = made.labels(left)
    assert (labels[:, :10] == labels[0, 0]).all()
    assert labels[0, 19] != labels[0, 0]
    for stage in stages(made)[2:]:
        assert sorted(hexed for _, hexed, _ in stage.colours) == sorted([strong.hex, weak.hex])
    assert {journey.hex for journey in journeys(made)} == {strong.hex, weak.hex}


def test_bleach_at_two_strengths_makes_two_regions(build):
    spots = np.zeros((1, 10, 20), np.uint8)
    spots[:, :, :10], spots[:, :, 10:16] = 255, 128
    made = outcome(build.design(build.dye("night"), build.bleach(0)), spots)
    held = {round(region.loads["night"], 2): region.share for region in made.regions}
    assert held == pytest.approx({0.0: 0.5, 0.5: 0.3, 1.0: 0.2})


def test_a_soft_edge_is_no_region_of_its_own(build):
    """A brushed disc with a rim some pixels wide: its colour is that of its middle, its share has the rim."""
    y, x = np.mgrid[0:200, 0:200] - 99.5
    disc = np.clip(255 * (61 - np.hypot(x, y)) / 4, 0, 255).astype(np.uint8)[None]
    made = outcome(build.design(build.dye(("pink", 0))), disc)
    assert [region.history for region in made.regions] == [(), ("pink",)]
    assert made.regions[1].loads == pytest.approx({"pink": 1.0}, abs=0.02)
    assert made.regions[1].share == pytest.approx((disc >= 26).mean())


def found_regions(planned, masks):
    return outcome(planned, masks).regions


@SOME
@given(data=st.data())
def test_shares_sum_to_one_and_come_largest_first(build, bank, data):
    planned = build.design(*data.draw(build.some_steps(most=6)))
    found = found_regions(planned, build.stack(planned, bank))
    assert sum(region.share for region in found) == pytest.approx(1, abs=1e-12)
    shares = [region.share for region in found if region.history != ("edges",)]
    assert shares == sorted(shares, reverse=True)
    for region in found:
        lab = np.array(region.lab)
        assert region.hex == lab_to_hex(lab)
        named = names.colour_name(lab)
        assert (region.name, region.plain) == (named.name, named.plain)
        assert all(load >= 0 for load in region.loads.values())


def test_the_rule_by_hand(build):
    """Half cover closes, less doesn't; a tenth of a strength counts, less doesn't; bare cloth can't be bleached."""
    planned = build.design(
        build.bleach(), build.wax("keep"), build.dye(("sun", "brush"), "sea"), build.bleach("pale", 0.5)
    )
    program = build.program(planned)
    codes = [o for o, op in enumerate(program.ops.tolist()) if op[0] in (DYE, DISCHARGE)]
    assert len(codes) == 4
    #                  open  half  closed  weak  open
    masks = np.array([[0, 126, 128, 0, 0], [255, 255, 255, 25, 26], [51, 50, 255, 255, 255]], np.uint8)[:, None]
    wanted = [(1, 2, 3), (1, 2), (), (2, 3), (1, 2, 3)]
    classes = key_classes(history_keys(program, masks), len(program.ops))[codes, 0].T
    for spot, history in zip(classes, wanted, strict=True):
        assert np.flatnonzero(spot).tolist() == list(history)


@pytest.mark.parametrize("seed", range(4))
def test_a_regions_colour_is_that_of_its_spots_on_the_cloth(build, flat, seed):
    random = np.random.default_rng(seed)
    pots = ["leaf", "sun", "pink", "sea", "plum", "night"]
    steps = []
    for mask in range(4):
        steps += [build.wax(mask), build.dye(pots[random.integers(6)], (pots[random.integers(6)], (mask + 1) % 6))]
        steps += [build.bleach(5, 0.4)] * (mask == 1) + [RemoveWax()] * (mask == 2)
    planned = build.design(*steps)
    masks = build.stack(planned, flat)
    made = outcome(planned, masks)
    finished, labels = render.render(made.program, masks)[-1].astype(int), made.labels(masks)
    assert len(made.histories) > 4
    for number, history in enumerate(made.histories):
        colour = shown(xyz_to_hex(reflectance_to_xyz(made.dyes.reflectance(made.ks(history)))))
        spots = finished[labels == number]
        assert len(spots) == history.pixels
        assert np.abs(spots - colour).max() <= 1


def test_loads_and_names_of_a_history(build):
    planned = build.design(build.dye("leaf"), build.wax(0), build.dye(("pink", 1)), build.bleach(None, 0.25))
    masks = np.array([[[0, 255]], [[255, 0]]], np.uint8)
    one, other = sorted(found_regions(planned, masks), key=lambda region: -len(region.history))
    assert one.history == ("leaf", "pink", "discharge")
    assert one.loads == pytest.approx({"sun": 0.5, "sea": 0.1, "pink": 0.75})
    assert other.history == ("leaf",)  # under the wax
    assert other.loads == pytest.approx({"sun": 0.8 * 5 / 6, "sea": 0.8 / 6})
    assert (one.share, other.share) == (0.5, 0.5)


def test_loads_stop_near_the_ceiling(build):
    (region,) = found_regions(build.design(*[build.dye("sea")] * 4), np.zeros((0, 2, 2), np.uint8))
    assert region.loads == pytest.approx({"sea": LOAD_KNEE + 1 - np.exp(-1.5)})


def test_bare_cloth_is_a_region_too(build):
    (region,) = found_regions(build.design(), np.zeros((0, 6, 8), np.uint8))
    assert (region.share, region.history, dict(region.loads), region.hex) == (1, (), {}, "#f1ede2")


def test_small_ones_are_joined_as_edges(build):
    planned = build.design(*(build.dye((pot, mask)) for mask, pot in enumerate(["sun", "pink", "sea", "night"])))
    masks = np.zeros((4, 50, 100), np.uint8)
    masks[0, :20] = 255
    for mask in range(1, 4):
        masks[mask, 0, mask : mask + 2] = 255  # 2 of 5000 pixels each, overlapping
    masks[1, 30, 10:15] = 255  # exactly 0.1 %: a region of its own
    found = found_regions(planned, masks)
    assert [region.history for region in found] == [(), ("sun",), ("pink",), ("edges",)]
    assert found[2].share == LEAST_SHARE
    assert found[3].share == pytest.approx(4 / 5000)


def test_more_than_sixty_four_operations(build, flat):
    planned = build.design(
        *[build.dye("water")] * 70, build.wax(0), build.dye(("sun", 1)), build.dye(("pink", 2)), build.wax(3)
    )
    program, masks = build.program(planned), build.stack(planned, flat)
    assert len(program.ops) > 64
    histories = survey(program, masks)[0]
    assert {history.reached for history in histories} == set(sequences(program, masks))
    assert max(op for history in histories for op in history.reached) > 64


def test_histories_without_number_count_as_edges(build, monkeypatch):
    """Speckled masks make more histories than the survey keeps: the rest are edges, never bare cloth."""
    planned = build.design(*(build.dye((pot, mask)) for mask, pot in enumerate(["sun", "pink", "sea", "night"] * 2)))
    masks = build.noisy(8, 40, 40, seed=4)
    masks[:, 0, :30] = 0
    monkeypatch.setattr(outcomes, "MOST_HISTORIES", 9)
    made = outcome(planned, masks)
    assert [history.mixed for history in made.histories] == [False] * 8 + [True]
    assert made.pixels == 1600
    assert made.regions[-1].history == ("edges",)
    assert made.regions[-1].share > 0.3
    assert sum(region.share for region in made.regions) == pytest.approx(1)
    bare = sum(region.share for region in made.regions if region.history == ())
    assert bare == pytest.approx(30 / 1600)
    assert all(share <= 0.7 for _, _, share in stages(made)[-1].colours)
    assert set(np.unique(made.labels(masks))) == set(range(-1, 8))


def test_noise_has_too_many_strengths_and_keeps_its_sequences(build):
    planned = build.design(*(build.dye((pot, mask)) for mask, pot in enumerate(["sun", "pink", "sea", "night"])))
    masks = build.noisy(4, 200, 200, seed=4)
    made = outcome(planned, masks)
    assert len(made.histories) == 16
    assert made.pixels == masks[0].size
    assert not any(history.mixed for history in made.histories)


def test_one_walk_serves_every_plate_of_a_speckled_cloth(build, monkeypatch):
    """Thousands of histories: what they hold after every step comes from one walk."""
    planned = build.design(*(build.dye((pot, mask)) for mask, pot in enumerate(["sun", "pink", "sea"] * 4)))
    masks = np.where(build.noisy(12, 100, 100, seed=4) > 127, 255, 0).astype(np.uint8)
    made = outcome(planned, masks)
    assert len(made.histories) > 3000
    walks, walk = [], outcomes.walk
    monkeypatch.setattr(outcomes, "walk", lambda *given, **keys: walks.append(1) or walk(*given, **keys))
    assert len(stages(made)) == 14
    assert len(made.regions) >= 1
    assert len(walks) == 1
