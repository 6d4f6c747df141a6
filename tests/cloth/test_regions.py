"""Regions: which spots share a history, how many there are, what colour they end in."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from batiksim.cloth import outcome, render
from batiksim.cloth.dyes_on_cloth import dyes_on_cloth
from batiksim.cloth.loads import LOAD_KNEE
from batiksim.cloth.outcome import LEAST_SHARE, reached_bits, regions_of, survey
from batiksim.cloth.program import DISCHARGE, DYE, compile_design
from batiksim.cloth.stages import stages
from batiksim.colour import names, spaces
from batiksim.values import RemoveWax

SOME = settings(max_examples=40, deadline=None)


@pytest.fixture(scope="module")
def bank(build):
    return np.concatenate([build.soft(7, 20, 30), build.noisy(3, 20, 30)])


@pytest.fixture
def flat(build):
    """Masks without soft edges: everything is marked or not."""
    return (build.soft(6, 40, 50, seed=8) > 127).astype(np.uint8) * np.uint8(255)


def by_rule(program, masks):
    """Histories by the plain rule: (operations, pixels, mean mask bytes), counted pixel by pixel."""
    bits = reached_bits(program, masks)
    spots = {}
    for row, col in np.ndindex(*masks.shape[1:]):
        key = tuple(o for o in range(len(program.ops)) if int(bits[o // 64, row, col]) >> (o % 64) & 1)
        spots.setdefault(key, []).append(masks[:, row, col])
    return {key: (len(levels), np.mean(levels, axis=0)) for key, levels in spots.items()}


def found_regions(planned, masks):
    dyes = dyes_on_cloth(planned)
    program = compile_design(planned, dyes)
    return regions_of(program, survey(program, masks), dyes, planned)


@SOME
@given(data=st.data(), band=st.sampled_from([1, 70, 1 << 19]), compiled=st.booleans())
def test_the_survey_counts_what_the_rule_says(build, bank, data, band, compiled):
    planned = build.design(*data.draw(build.some_steps(most=8)))
    program, masks = build.program(planned), build.stack(planned, bank)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(outcome, "BAND_PIXELS", band)
        if not compiled:
            patch.setattr(outcome, "compiled", lambda name: None)
        found = survey(program, masks)
    wanted = by_rule(program, masks)
    assert [history.pixels for history in found] == sorted((count for count, _ in wanted.values()), reverse=True)
    for history in found:
        count, levels = wanted[history.reached]
        assert (history.pixels, history.mixed) == (count, False)
        np.testing.assert_allclose(history.levels, levels, atol=1e-9)


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
        assert region.hex == spaces.lab_to_hex(lab)
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
    bits = reached_bits(program, masks)[0, 0]
    for spot, history in zip(bits.tolist(), wanted, strict=True):
        assert [number for number, o in enumerate(codes) if spot >> o & 1] == list(history)


@pytest.mark.parametrize("seed", range(4))
def test_a_regions_colour_is_that_of_its_spots_on_the_cloth(build, flat, seed):
    random = np.random.default_rng(seed)
    pots = ["leaf", "sun", "pink", "sea", "plum", "night"]
    steps = []
    for mask in range(4):
        steps += [build.wax(mask), build.dye(pots[random.integers(6)], (pots[random.integers(6)], (mask + 1) % 6))]
        steps += [build.bleach(5, 0.4)] * (mask == 1) + [RemoveWax()] * (mask == 2)
    planned = build.design(*steps)
    program, masks = build.program(planned), build.stack(planned, flat)
    finished = render.render(program, masks)[-1].astype(int)
    bits = reached_bits(program, masks)
    dyes = dyes_on_cloth(planned)
    found = survey(program, masks)
    assert len(found) > 4
    for history in found:
        word = sum(1 << o for o in history.reached)
        (region,) = regions_of(program, [history], dyes, planned)
        shown = np.array(list(bytes.fromhex(region.hex[1:])))
        spots = finished[bits[0] == np.uint64(word)]
        assert len(spots) == history.pixels
        assert np.abs(spots - shown).max() <= 1


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
        *[build.dye("water")] * 64, build.wax(0), build.dye(("sun", 1)), build.dye(("pink", 2)), build.wax(3)
    )
    program, masks = build.program(planned), build.stack(planned, flat)
    assert len(program.ops) > 64
    found = survey(program, masks)
    assert {history.reached for history in found} == set(by_rule(program, masks))
    assert max(o for history in found for o in history.reached) > 64


def test_histories_without_number_count_as_edges(build, monkeypatch):
    """Speckled masks make more histories than the survey keeps: the rest are edges, never bare cloth."""
    planned = build.design(*(build.dye((pot, mask)) for mask, pot in enumerate(["sun", "pink", "sea", "night"] * 2)))
    masks = build.noisy(8, 40, 40, seed=4)
    masks[:, 0, :30] = 0
    monkeypatch.setattr(outcome, "MOST_HISTORIES", 9)
    program, dyes = build.program(planned), dyes_on_cloth(planned)
    found = survey(program, masks)
    assert [history.mixed for history in found] == [False] * 8 + [True]
    assert sum(history.pixels for history in found) == 1600
    listed = regions_of(program, found, dyes, planned)
    assert listed[-1].history == ("edges",)
    assert listed[-1].share > 0.3
    assert sum(region.share for region in listed) == pytest.approx(1)
    bare = sum(region.share for region in listed if region.history == ())
    assert bare == pytest.approx(30 / 1600)
    told = stages(planned, dyes, found)
    assert all(share <= 0.7 for _, _, share in told[-1].colours)


def test_a_cloth_of_speckles_is_told_in_good_time(build):
    """Thousands of histories: only the largest have their colours worked out for every plate."""
    planned = build.design(*(build.dye((pot, mask)) for mask, pot in enumerate(["sun", "pink", "sea"] * 4)))
    masks = np.where(build.noisy(12, 100, 100, seed=4) > 127, 255, 0).astype(np.uint8)
    program, dyes = build.program(planned), dyes_on_cloth(planned)
    found = survey(program, masks)
    assert len(found) > 3000
    calls, held = [], outcome.held_dye
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("batiksim.cloth.stages.held_dye", lambda *given: calls.append(1) or held(*given))
        told = stages(planned, dyes, found)
    assert len(told) == 14
    assert len(calls) <= 14 * 100
