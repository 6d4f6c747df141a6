"""What a hand can wax: lines kept and thickened, no crumbs, shapes within shapes, smooth edges; rims and grain."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import ndimage
from skimage import morphology

from batiksim.colour.ciede2000 import delta_e_2000
from batiksim.picture_plan.drawable import drawable_stages, wax_to_lay
from batiksim.picture_plan.labels import reassign_edge_labels, smooth_labels
from batiksim.picture_plan.paint_masks import masks_to_paint, pots_to_brush
from batiksim.picture_plan.quantise import picture_colours
from tests.picture_plan.known_cloths import overlap

LINE_PX = 5.0


def closed(stages, dyeing=0, *, dyeings=1):
    return drawable_stages(stages, dyeings=dyeings, line_px=LINE_PX).closed[dyeing] > 0.5


def test_a_fine_line_is_drawn_thicker_and_keeps_its_ends():
    stages = np.ones((120, 160), np.uint8)
    stages[60, 30:130] = 0
    wax = closed(stages)
    columns = np.flatnonzero(wax.any(axis=0))
    assert abs(columns[0] - 30) <= 3
    assert abs(columns[-1] - 129) <= 3
    assert wax[:, 40:120].sum(axis=0).min() >= LINE_PX - 2
    assert ndimage.label(wax)[1] == 1


def test_crumbs_are_left_out_and_told():
    stages = np.ones((120, 160), np.uint8)
    stages[30:80, 30:80] = 0
    stages[100, 100] = stages[20, 140] = 0  # crumbs of wax
    stages[50, 50] = 1  # and of open cloth
    found = drawable_stages(stages, dyeings=1, line_px=LINE_PX)
    wax = found.closed[0] > 0.5
    assert ndimage.label(wax)[1] == 1
    assert ndimage.label(~wax)[1] == 1
    assert found.dropped_wax == pytest.approx(2 / stages.size)
    assert found.dropped_gaps == pytest.approx(1 / stages.size)
    assert found.crumbs[100, 100]
    assert found.crumbs[50, 50]


def test_shapes_wide_enough_stay_as_they_are():
    rows, cols = np.mgrid[:200, :200]
    stages = (np.hypot(rows - 100, cols - 100) > 60).astype(np.uint8)
    assert overlap(closed(stages), stages == 0) > 0.99


@settings(max_examples=15, deadline=None)
@given(seed=st.integers(0, 10_000), sigma=st.floats(0.6, 6))
def test_whatever_comes_can_be_waxed(seed, sigma):
    """Every shape lies within the next, and hardly any wax is thinner than half the line."""
    rng = np.random.default_rng(seed)
    field = ndimage.gaussian_filter(rng.normal(size=(90, 110)), sigma)
    stages = np.digitize(field, np.quantile(field, [0.3, 0.55, 0.8])).astype(np.uint8)
    found = drawable_stages(stages, dyeings=3, line_px=LINE_PX)
    assert (np.diff(found.closed, axis=0) >= -1e-6).all()
    for field in found.closed:
        wax = np.pad(field > 0.5, 4, mode="edge")
        thin = wax & ~morphology.opening(wax, morphology.disk(1))
        assert thin[4:-4, 4:-4].mean() < 0.01
    masks = wax_to_lay(found, (90, 110), scale=1, line_px=LINE_PX, overlap_px=6)
    laid = np.cumsum(masks > 127, axis=0) > 0
    assert (laid != (found.closed > 0.5)).mean() < 0.02  # the masks together close what is to be closed


def test_edges_are_smooth_when_masks_are_larger_than_what_was_worked_on():
    rows, cols = np.mgrid[:100, :100]
    stages = (np.hypot(rows - 50, cols - 50) > 30).astype(np.uint8)
    found = drawable_stages(stages, dyeings=1, line_px=LINE_PX)
    mask = wax_to_lay(found, (400, 400), scale=4, line_px=LINE_PX, overlap_px=6)[0]
    far = np.hypot(*(axis - 201.5 for axis in np.mgrid[:400, :400]))
    assert (mask[far < 116] == 255).all()
    assert (mask[far > 124] == 0).all()
    edge = (mask > 0) & (mask < 255)
    assert edge.sum() < 3.5 * 2 * np.pi * 120  # and no wider than about three pixels


def test_new_wax_runs_onto_old_wax_but_nowhere_else():
    stages = np.full((80, 120), 2, np.uint8)
    stages[:, :40], stages[:, 40:80] = 0, 1
    found = drawable_stages(stages, dyeings=2, line_px=LINE_PX)
    first, second = wax_to_lay(found, (80, 120), scale=1, line_px=LINE_PX, overlap_px=6) > 127
    assert first[:, :39].all()
    assert not first[:, 41:].any()
    assert second[:, 36:79].all()
    assert not second[:, 81:].any()
    assert not second[:, :28].any()


def soft_stripes():
    """White, then blue, with a soft edge; and a thin red line in the white."""
    share = np.clip((np.arange(120) - 58) / 4, 0, 1)
    row = (1 - share)[:, None] * [241, 237, 226] + share[:, None] * [28, 47, 140]
    picture = np.broadcast_to(row, (60, 120, 3)).copy()
    picture[:, 20:22] = [200, 30, 40]
    return np.rint(picture).astype(np.uint8)


def test_rims_of_soft_edges_go_and_lines_stay():
    picture = soft_stripes()
    colours = picture_colours(picture)
    shown = colours.lab[[colours.number[0, 5], colours.number[0, 59], colours.number[0, 100], colours.number[0, 20]]]
    loss = delta_e_2000(colours.lab[:, None], shown).astype(np.float32)
    labels = loss.argmin(axis=1).astype(np.uint8)[colours.number]
    assert set(np.unique(labels)) == {0, 1, 2, 3}
    found = reassign_edge_labels(labels, colours, loss, narrow_px=4)
    assert set(np.unique(found)) == {0, 2, 3}
    assert (found[:, 20:22] == 3).all()
    assert (found[:, :18] == 0).all()
    assert (found[:, 64:] == 2).all()


def test_edges_are_known_from_colours_of_their_own():
    colours = picture_colours(soft_stripes())
    kept = colours.clusters.lab[~colours.rim]
    assert len(kept) == 3
    assert colours.rim.any()


def test_grain_is_calmed_and_lines_stay():
    rng = np.random.default_rng(3)
    picture = np.full((80, 100, 3), 120, np.uint8)
    picture += rng.integers(0, 16, (80, 100, 1), dtype=np.uint8)
    picture[40] = 20
    colours = picture_colours(picture)
    shown = np.array([[50.0, 0, 0], [54.0, 0, 0], [6.0, 0, 0]])
    loss = delta_e_2000(colours.lab[:, None], shown).astype(np.float32)
    labels = loss.argmin(axis=1).astype(np.uint8)[colours.number]
    found = smooth_labels(labels, colours, loss)

    def pieces(some):
        return sum(ndimage.label(some == one)[1] for one in (0, 1))

    assert pieces(found) < 0.1 * pieces(labels)
    assert (found[40] == 2).all()
    assert (found == 2).sum() == 100


def test_pots_cover_the_cloth_once_and_small_patches_go():
    wanted = np.full((90, 120), 255, np.uint8)
    wanted[10:80, 5:50], wanted[10:80, 70:115] = 0, 1
    wanted[40:43, 20:23] = 1
    shares = pots_to_brush(wanted, 2, line_px=3.0)
    assert shares.sum(axis=0) == pytest.approx(np.ones((90, 120)), abs=1e-5)
    assert (shares[0] > 0.5)[10:80, 5:50].all()
    assert (shares[1] > 0.5)[10:80, 70:115].all()
    masks = masks_to_paint(shares, (180, 240), scale=2, line_px=3.0)
    whole = sum(mask.astype(int) for mask in masks)
    assert abs(whole - 255).max() <= 1
