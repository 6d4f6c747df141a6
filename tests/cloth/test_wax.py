"""Cracks, tool edges and cool wax: what the network is like, how it lies in wax, and that it is always the same."""

from __future__ import annotations

import hashlib

import numpy as np
import pytest

from batiksim.cloth import masks
from batiksim.cloth.effects import wax as wax_module
from batiksim.cloth.effects.crackle import Cracks, crack_network
from batiksim.cloth.effects.crackle_drawing import draw_cracks
from batiksim.cloth.effects.crackle_growth import FREE, MET
from batiksim.cloth.effects.tool_edges import cool_wax, tool_edges
from batiksim.cloth.effects.wax import (
    brittleness,
    crack_openings,
    crack_spacing_mm,
    shaped_wax,
    split_at_cracks,
    wax_seed,
    wax_width_mm,
)
from batiksim.values import MaskUse, Wax

WIDE, HIGH = 220.0, 150.0  # mm


@pytest.fixture(scope="module", params=[12.0, 5.0])
def network(request) -> tuple[Cracks, float]:
    return crack_network(WIDE, HIGH, spacing_mm=request.param, seed=3), request.param


def owners(cracks: Cracks) -> np.ndarray:
    return np.repeat(np.arange(len(cracks)), np.diff(cracks.starts))


def lengths(cracks: Cracks) -> np.ndarray:
    steps = np.hypot(np.diff(cracks.x), np.diff(cracks.y))
    steps[np.diff(owners(cracks)) != 0] = 0
    return np.bincount(owners(cracks)[1:], steps, minlength=len(cracks))


def junction_angles(cracks: Cracks, span: float = 1.5) -> np.ndarray:
    """Degrees 0..90 between a crack's last `span` mm and the crack that it meets."""
    owner = owners(cracks)
    angles = []
    for c, end in zip(*np.nonzero(cracks.met >= 0), strict=True):
        point = cracks.met[c, end]
        own = np.arange(cracks.starts[c], cracks.starts[c + 1])[:: 1 if end == 0 else -1]
        away = np.hypot(cracks.x[own] - cracks.x[point], cracks.y[own] - cracks.y[point]) > span
        if not away.any():
            continue
        far = own[np.argmax(away)]
        struck = owner[point]
        low, high = max(cracks.starts[struck], point - 4), min(cracks.starts[struck + 1] - 1, point + 4)
        one = np.array([cracks.x[far] - cracks.x[point], cracks.y[far] - cracks.y[point]])
        two = np.array([cracks.x[high] - cracks.x[low], cracks.y[high] - cracks.y[low]])
        cosine = abs(one @ two) / (np.linalg.norm(one) * np.linalg.norm(two))
        angles.append(np.degrees(np.arccos(min(1.0, cosine))))
    return np.array(angles)


def mean_gap(cracks: Cracks) -> float:
    """Mean distance in mm between cracks along straight lines across the cloth."""
    inner = owners(cracks)[1:] == owners(cracks)[:-1]
    x0, x1 = cracks.x[:-1][inner], cracks.x[1:][inner]
    y0, y1 = cracks.y[:-1][inner], cracks.y[1:][inner]
    along, hits = 0.0, 0
    for share in np.linspace(0.03, 0.97, 40):
        hits += int((((y0 - share * HIGH) * (y1 - share * HIGH) < 0) & (x0 > 0) & (x0 < WIDE)).sum())
        hits += int((((x0 - share * WIDE) * (x1 - share * WIDE) < 0) & (y0 > 0) & (y0 < HIGH)).sum())
        along += WIDE + HIGH
    return along / hits


def test_cracks_meet_squarely(network):
    """Common practice, no source: the later crack meets the older near a right angle."""
    angles = junction_angles(network[0])
    assert len(angles) > 150
    assert np.median(angles) > 80
    assert (angles > 60).mean() > 0.95
    assert (angles < 30).mean() < 0.02


def test_cracks_stand_as_far_apart_as_asked(network):
    cracks, spacing = network
    assert 0.75 < mean_gap(cracks) / spacing < 1.25


def test_long_ones_come_first_and_later_ones_stop_at_them(network):
    cracks, _ = network
    assert (np.diff(cracks.room) <= 0).all()
    long = lengths(cracks)
    third = len(cracks) // 3
    assert np.median(long[:third]) > 1.8 * np.median(long[-third:])
    c, end = np.nonzero(cracks.ends == MET)
    assert (cracks.met[c, end] < cracks.starts[c]).all()
    assert len(c) > 0.5 * cracks.ends.size
    places = np.where(end == 0, cracks.starts[c], cracks.starts[c + 1] - 1)
    assert (cracks.x[places] == cracks.x[cracks.met[c, end]]).all()


def test_it_is_no_honeycomb(network):
    """Blocks between cracks vary, widths vary, some cracks run out, and main folds are broader than hairs."""
    cracks, _ = network
    assert 0.05 < (cracks.ends == FREE).mean() < 0.4
    width = np.array([np.median(cracks.width[a:b]) for a, b in zip(cracks.starts, cracks.starts[1:], strict=False)])
    assert np.median(width[cracks.room > 30]) > 1.7 * np.median(width[cracks.room < 8])
    assert 0.08 < np.median(cracks.width) < 0.5
    c, end = np.nonzero(cracks.ends == FREE)
    places = np.where(end == 0, cracks.starts[c], cracks.starts[c + 1] - 1)
    assert cracks.width[places].max() == pytest.approx(0, abs=0.02)


def test_cracks_follow_folds():
    """Long cracks near each other run alike more often than not; the folds of another seed run elsewhere."""
    cracks = crack_network(300, 300, spacing_mm=30, seed=8)
    again = crack_network(300, 300, spacing_mm=30, seed=9)
    means = []
    for one in (cracks, again):
        turn = np.arctan2(np.diff(one.y), np.diff(one.x))[np.diff(owners(one)) == 0]
        means.append(abs(np.exp(2j * turn).mean()))
    assert max(means) > 0.2
    assert not np.array_equal(cracks.x[:500], again.x[:500])


def test_same_seed_same_cracks():
    one, two = (crack_network(100, 80, spacing_mm=6, seed=2**50 + 1) for _ in range(2))
    for field in ("x", "y", "width", "starts", "room", "ends", "met"):
        assert np.array_equal(getattr(one, field), getattr(two, field))
    # a pixel more at the border doesn't change them
    assert np.array_equal(one.x, crack_network(100.2, 79.8, spacing_mm=6, seed=2**50 + 1).x)


def test_cracks_stay_on_their_cloth():
    """Rough lines at the border stray by a hair and no more: nothing is marked off the cloth."""
    for seed in range(6):
        cracks = crack_network(100, 80, spacing_mm=4, seed=seed)
        assert cracks.x.min() > -0.5
        assert cracks.y.min() > -0.5
        assert cracks.x.max() < 150.5
        assert cracks.y.max() < 100.5


def full(rows: int = 320, cols: int = 480) -> np.ndarray:
    return np.full((rows, cols), 255, np.uint8)


def openings(mask: np.ndarray, px_per_mm: float = 4.0, crackle: float = 0.6, **keys: object) -> np.ndarray:
    return crack_openings(mask, px_per_mm=px_per_mm, crackle=crackle, **{"seed": 5, **keys})


def test_thin_lines_do_not_crack_and_wide_wax_cracks_finer():
    mask = np.zeros((400, 600), np.uint8)
    mask[20:26], mask[60:76], mask[120:380] = 255, 255, 255  # lines of 1.5 and 4 mm, a ground of 65 mm
    found = openings(mask, crackle=0.9)
    share = [float((found[rows] > 40).mean()) for rows in (slice(20, 26), slice(60, 76), slice(150, 350))]
    assert share[0] == 0
    assert 0 < share[1] < 0.6 * share[2]
    assert not found[:18].any()


def test_more_crumpling_more_cracks():
    shares = [float(openings(full(), crackle=much).mean()) for much in (0, 0.1, 0.3, 0.6, 1.0)]
    assert shares[0] == 0
    assert shares == sorted(shares)
    assert shares[1] < 0.25 * shares[4]
    assert shares[4] / 255 < 0.3


def test_paraffin_breaks_and_beeswax_bends():
    shares = [
        np.mean([openings(full(640, 960), paraffin=much, seed=seed).mean() for seed in range(3)])
        for much in (0.0, 0.33, 0.7)
    ]
    assert shares[0] < 0.6 * shares[1]
    assert shares[1] < 0.6 * shares[2]
    assert brittleness(0.5) == 1
    assert crack_spacing_mm(0.4, 0.7) < crack_spacing_mm(0.4, 0.33)
    assert 2 < crack_spacing_mm(1, 0.5) < 3


def test_dye_bleeds_beside_a_crack():
    """Beside what lets dye through in full lies a paler seam, no wider than a millimetre."""
    found = openings(full(600, 600), px_per_mm=12.0, crackle=0.2)
    core = found > 190
    assert core.any()
    reach = np.zeros_like(core)
    rows, cols = np.nonzero(core)
    for down, right in ((0, 5), (5, 0), (0, -5), (-5, 0)):
        reach[np.clip(rows + down, 0, 599), np.clip(cols + right, 0, 599)] = True
    seam = found[reach & ~core]
    assert 5 < np.median(seam) < 150
    assert (found == 0).mean() > 0.5


def test_what_lies_elsewhere_changes_no_crack():
    """Cracks depend on the cloth and the seed, not on what else is waxed."""
    part = full()
    part[:, 300:] = 0
    whole = openings(full())
    assert np.array_equal(openings(part)[:, :240], whole[:, :240])


@pytest.mark.parametrize("crackle", [0.3, 0.8])
def test_a_smaller_picture_shows_the_same_cracks(crackle):
    large = openings(full(640, 960), 8.0, crackle).reshape(320, 2, 480, 2).mean(axis=(1, 3))
    small = openings(full(), 4.0, crackle).astype(float)
    assert large.mean() == pytest.approx(small.mean(), rel=0.12)
    assert np.corrcoef(large.ravel(), small.ravel())[0, 1] > 0.97


def test_same_design_same_bytes():
    wax = Wax(mask=MaskUse(picture="a.png"), crackle=0.7, tool="brush", edges=0.5, cool=0.2)
    mask = full()
    mask[:, 240:250] = 0
    keys = {"px_per_mm": 4.0, "seed": wax_seed("Tide pools", 3, wax)}
    first = shaped_wax(mask, wax, **keys)[0].tobytes()
    assert first == shaped_wax(mask, wax, **keys)[0].tobytes()
    assert first != shaped_wax(mask, wax, px_per_mm=4.0, seed=wax_seed("Tide pools", 4, wax))[0].tobytes()
    own = Wax(mask=MaskUse(picture="a.png"), crackle=0.7, seed=7)
    assert wax_seed("Tide pools", 3, own) == wax_seed("Another", 5, own) != wax_seed("Tide pools", 3, wax)
    assert (mask == full()).sum() == mask.size - 320 * 10  # inputs stay as they were


def test_wax_is_measured_in_mm():
    mask = np.zeros((300, 300), np.uint8)
    mask[100:140] = 255
    mask[200:] = 255
    for px in (4.0, 10.0):
        width, cell = wax_width_mm(mask, px)
        row = int(120 / px / cell)
        assert width[row, 10] <= 40 / px + 0.6
        assert width[row, 10] >= min(9.0, 40 / px - 1.6)
        assert width[0, 0] == 0


def lines() -> np.ndarray:
    mask = np.zeros((300, 400), np.uint8)
    for row in range(40, 280, 40):
        mask[row : row + 6, 30:370] = 255  # 1 mm at 6 pixels to a mm
    mask[100:200, 150:260] = 255
    return mask


def test_canting_lines_creep_and_get_drops():
    """Hot wax only ever covers more: a little along all edges, drops here and there."""
    mask = lines()
    shaped = tool_edges(mask, "canting", 1.0, px_per_mm=6.0, seed=1)
    assert (shaped >= mask).all()
    gained = ((shaped > 127) & (mask < 128)).sum() / (mask > 127).sum()
    assert 0.1 < gained < 0.8
    line = (shaped[30:60, 40:140] > 127).sum(axis=0) / 6.0
    assert np.median(line) < 1.9
    drops = (shaped[:, 20:380] > 127).sum(axis=0)
    assert drops.max() > np.median(drops)
    subtle = tool_edges(mask, "canting", 0.2, px_per_mm=6.0, seed=1)
    assert ((subtle > 127) & (mask < 128)).sum() < 0.5 * ((shaped > 127) & (mask < 128)).sum()


@pytest.mark.parametrize("tool", ["brush", "stamp"])
def test_brush_and_stamp_leave_broken_cover(tool):
    mask = np.zeros((400, 600), np.uint8)
    mask[40:360, 40:560] = 255
    lost = [
        float((255 - tool_edges(mask, tool, much, px_per_mm=6.0, seed=2))[40:360, 40:560].mean() / 255)
        for much in (0.1, 0.5, 1.0)
    ]
    assert lost == sorted(lost)
    assert lost[0] < 0.02
    assert 0.01 < lost[2] < 0.5


@pytest.mark.parametrize("tool", ["canting", "brush", "stamp"])
def test_tools_look_alike_at_half_size(tool):
    large = np.kron(lines(), np.ones((2, 2), np.uint8))
    big = tool_edges(large, tool, 0.6, px_per_mm=12.0, seed=3).reshape(300, 2, 400, 2).mean(axis=(1, 3))
    small = tool_edges(lines(), tool, 0.6, px_per_mm=6.0, seed=3)
    assert big.mean() == pytest.approx(small.mean(), rel=0.05)
    assert np.abs(big - small).mean() < 8


def test_cool_wax_holds_back_less():
    mask = full()
    levels = [cool_wax(mask, much, px_per_mm=4.0, seed=1) for much in (0.2, 0.6, 1.0)]
    means = [float(one.mean()) / 255 for one in levels]
    assert means[0] == pytest.approx(0.84, abs=0.05)
    assert means[0] > means[1] > means[2]
    assert (levels[0] > 250).mean() > 0.1, "where it was still hot it seals"
    assert (levels[0] < 170).mean() > 0.05, "where it was coolest dye comes under it"
    assert not cool_wax(np.zeros_like(mask), 0.5, px_per_mm=4.0, seed=1).any()


# The parts, by hand


def test_a_seed_is_the_start_of_a_digest_of_title_and_step():
    """The same design gives the same bytes for good, on any machine: the first 56 bits, as written in hexadecimal."""
    digest = hashlib.sha256(b"Tide pools\n3").hexdigest()
    assert wax_seed("Tide pools", 3, Wax(mask=MaskUse(picture="a.png"))) == int(digest[:14], 16)
    digest = hashlib.sha256(b"seed 0").hexdigest()
    assert wax_seed("Tide pools", 3, Wax(mask=MaskUse(picture="a.png"), seed=0)) == int(digest[:14], 16)


def test_cracks_stand_between_four_centimetres_and_two_and_a_half_millimetres():
    """Half the crumpling takes half the way by its logarithm: 40, 10, 2.5."""
    assert [brittleness(share) for share in (0, 0.5, 1)] == pytest.approx([0.1, 1.0, 1.9])
    assert [crack_spacing_mm(hard, 0.5) for hard in (0, 0.5, 1)] == pytest.approx([40, 10, 2.5])
    assert crack_spacing_mm(1, 1) == pytest.approx(2.5)
    assert crack_spacing_mm(0.5, 0) == pytest.approx(40 * 16**-0.05)


def test_blocks_of_pixels_are_averaged_and_the_last_takes_what_is_over():
    mask = np.arange(35, dtype=np.uint8).reshape(5, 7)
    two = wax_module._averaged(mask, 2)
    assert two.tolist() == [[4, 6, 8.5], [21.5, 23.5, 26]]
    three = wax_module._averaged(mask, 3)
    assert three.tolist() == [[8, 11.5], [25.5, 29]]
    assert wax_module._averaged(mask, 1).tolist() == mask.tolist()
    assert wax_module._averaged(mask[:1, :1], 4).tolist() == [[0]]
    assert wax_module._averaged(mask[:1], 4).tolist() == [[1.5, 5]]
    assert wax_module._averaged(np.full((9, 9), 255, np.uint8), 4).tolist() == [[255, 255], [255, 255]]


@pytest.mark.parametrize(("cells", "width"), [(3, 0), (5, 2), (7, 3), (9, 4.5), (11, 4.5), (13, 6.5), (19, 9)])
@pytest.mark.parametrize("turned", [False, True])
def test_a_band_of_wax_is_as_wide_as_the_widest_that_fits(cells, width, turned):
    """At four pixels to the millimetre cells are half a millimetre: a band of n cells is n / 2 mm wide."""
    mask = np.zeros((60, 8), np.uint8)
    mask[10 : 10 + 2 * cells] = 255
    widths, cell = wax_width_mm(mask.T.copy() if turned else mask, 4.0)
    assert cell == 0.5
    wanted = np.zeros((30, 4))
    wanted[5 : 5 + cells] = width
    assert (widths == (wanted.T if turned else wanted)).all()


@pytest.mark.parametrize("turns", range(4))
def test_wax_at_a_border_goes_on_beyond_it(turns):
    """Five cells, 2.5 mm, up to the border: half of a band whose middle lies in the last cell, 4.5 mm wide."""
    mask = np.zeros((60, 60), np.uint8)
    mask[:10] = 255
    widths, _ = wax_width_mm(np.ascontiguousarray(np.rot90(mask, turns)), 4.0)
    wanted = np.zeros((30, 30))
    wanted[:5] = 4.5
    assert (widths == np.rot90(wanted, turns)).all()


def test_a_waxed_cloth_is_wide_however_small():
    widths, _ = wax_width_mm(full(6, 4), 4.0)
    assert widths.dtype == np.float32
    assert (widths == 9).all()
    assert widths.shape == (3, 2)
    half = np.zeros((6, 4), np.uint8)
    half[:3] = 255  # of the second row of cells, half
    assert wax_width_mm(half, 4.0)[0][:, 0].tolist() == [2, 2, 0]  # a millimetre, and as much beyond the border


@pytest.mark.parametrize(("px_per_mm", "cell"), [(1.0, 1.0), (4.0, 0.5), (5.0, 0.4), (10.0, 0.5), (13.0, 6 / 13)])
def test_widths_are_told_on_a_grid_of_about_half_a_millimetre(px_per_mm, cell):
    assert wax_width_mm(full(40, 40), px_per_mm)[1] == pytest.approx(cell)


def test_large_cloths_have_coarser_grids(monkeypatch):
    monkeypatch.setattr(wax_module, "MOST_CELLS", 100)
    widths, cell = wax_width_mm(full(40, 40), 4.0)
    assert (widths.shape, cell) == ((10, 10), 1.0)
    assert wax_width_mm(full(42, 40), 4.0)[1] == 1.25  # 1680 pixels by 100 are 4.1 to a side: five


def two_cracks(x: list[float], y: list[float], rooms: tuple[float, float]) -> Cracks:
    """Two cracks that share the points evenly."""
    half = len(x) // 2
    ends = np.zeros((2, 2), np.int64)
    return Cracks(
        x=np.array(x),
        y=np.array(y),
        width=np.ones(len(x)),
        starts=np.array([0, half, len(x)]),
        room=np.array(rooms),
        ends=ends,
        met=ends - 1,
    )


@pytest.mark.parametrize(
    ("room", "shares"),
    [
        (25.0, [0, (2 / 3 - 0.65) / 0.35, 1, 1, 1, 1]),  # long cracks need 3 mm
        (99.0, [0, (2 / 3 - 0.65) / 0.35, 1, 1, 1, 1]),
        (12.5, [0, 0, 0, (0.9 - 0.65) / 0.35, 1, 1]),  # half as fine, 5 mm
        (0.0, [0, 0, 0, 0, (6.5 / 7 - 0.65) / 0.35, 1]),  # the finest, 7 mm
    ],
)
@pytest.mark.parametrize("turned", [False, True])
def test_finer_cracks_need_wider_wax(room, shares, turned):
    """All of a crack where there is as much wax as it needs, nothing from .65 of that on."""
    widths = np.array([[0, 2, 3, 4.5, 6.5, 9]], np.float32)
    for place, share in enumerate(shares):
        along, across = [0.5 * place + 0.2] * 4, [0.3] * 4
        cracks = two_cracks(*((across, along) if turned else (along, across)), (room, 10.0))
        allowed = wax_module._allowed(cracks, widths.T.copy() if turned else widths, 0.5)
        assert allowed.dtype == np.float32
        assert allowed[:2] == pytest.approx([share, share], abs=1e-6)


def test_points_off_the_cloth_belong_to_its_border():
    widths = np.array([[9, 0], [0, 3]], np.float32)
    cracks = two_cracks([-3.0, -3.0, 7.0, 7.0], [-0.2, -9.0, 1.2, 8.0], (30.0, 30.0))
    assert wax_module._allowed(cracks, widths, 0.5).tolist() == [1, 1, 1, 1]
    cracks = two_cracks([-3.0, -3.0, 7.0, 7.0], [7.0, 7.0, -1.0, -1.0], (30.0, 30.0))
    assert wax_module._allowed(cracks, widths, 0.5).tolist() == [0, 0, 0, 0]


def test_along_a_crack_the_change_is_soft():
    """The mean of two points before and two after, of the same crack; where wax is too narrow there is none."""
    widths = np.array([[9, 0]], np.float32)
    first = [0.1, 0.1, 0.1, 0.1, 0.9, 0.9, 0.9]  # four points in wide wax, three where there is none
    second = [0.9, 0.1, 0.1, 0.9, 0.9, 0.9, 0.1]
    cracks = two_cracks(first + second, [0.1] * 14, (30.0, 30.0))
    allowed = wax_module._allowed(cracks, widths, 0.5)
    assert allowed[:7] == pytest.approx([1, 1, 4 / 5, 3 / 5, 0, 0, 0])
    assert allowed[7:] == pytest.approx([0, 2 / 4, 2 / 5, 0, 0, 0, 1 / 3])


@pytest.mark.parametrize(("crackle", "paraffin"), [(0.4, 0.5), (1.0, 0.9)])
def test_openings_are_the_network_of_the_cloth_drawn_where_wax_is_wide(crackle, paraffin):
    mask = full(60, 100)
    mask[20:34] = 0
    hard = min(1.0, crackle * brittleness(paraffin))
    seed = 2**40 + 7
    cracks = crack_network(25.0, 15.0, spacing_mm=40 / 16**hard, seed=seed)
    allowed = wax_module._allowed(cracks, *wax_width_mm(mask, 4.0))
    shown = np.full(len(cracks), min(1.0, 0.4 + 0.75 * hard))
    drawn = np.zeros_like(mask)
    points = (cracks.x, cracks.y, cracks.width, cracks.starts)
    draw_cracks(*points, shown, allowed, 4.0, wax_module.BLEED_MM, seed % 1_000_003, drawn)
    keys = {"px_per_mm": 4.0, "crackle": crackle, "paraffin": paraffin, "seed": seed}
    made = crack_openings(mask, **keys)
    assert made.any()
    assert (made == drawn).all()
    assert (crack_openings(mask, high_mm=15.0, **keys) == made).all()
    assert (crack_openings(mask, high_mm=40.0, **keys) != made).any()  # another cloth, with other cracks


def test_without_wide_wax_or_crumpling_nothing_cracks():
    thin = np.zeros((40, 60), np.uint8)
    thin[10:14] = 255  # a millimetre
    for mask, crackle in ((thin, 1.0), (np.zeros_like(thin), 1.0), (full(40, 60), 0.0)):
        made = openings(mask, crackle=crackle)
        assert (made.shape, made.dtype, made.any()) == (mask.shape, np.uint8, False)


def plain_wax(**keys: object) -> Wax:
    return Wax(mask=MaskUse(picture="a.png"), **keys)


def test_wax_without_effects_is_the_mask_itself():
    mask = full(20, 30)
    mask[:, 20:] = 0
    for wax in (plain_wax(), plain_wax(tool="brush", edges=0.0)):
        shaped, opened = shaped_wax(mask, wax, px_per_mm=4.0, seed=1)
        assert shaped is mask
        assert opened is None


def test_the_tool_comes_first_then_cracks_then_cold():
    mask = full(60, 100)
    mask[:, 70:] = 0
    keys = {"px_per_mm": 4.0, "seed": 9}
    drawn = tool_edges(mask, "brush", 0.5, **keys)
    assert (shaped_wax(mask, plain_wax(tool="brush", edges=0.5), **keys)[0] == drawn).all()
    opened = crack_openings(drawn, crackle=0.7, paraffin=0.6, high_mm=16.0, **keys)
    cracked = np.rint(drawn * (1 - opened / 255)).astype(np.uint8)
    assert opened.any()
    wax, cracks = shaped_wax(mask, plain_wax(tool="brush", edges=0.5, crackle=0.7, paraffin=0.6), high_mm=16.0, **keys)
    assert (cracks == opened).all()
    assert (wax == cracked).all()
    cold = plain_wax(tool="brush", edges=0.5, crackle=0.7, paraffin=0.6, cool=0.4)
    wax, cracks = shaped_wax(mask, cold, high_mm=16.0, **keys)
    assert (cracks == opened).all()
    assert (wax == cool_wax(cracked, 0.4, **keys)).all()


def test_cracked_wax_is_parted_from_sound():
    wax, opened = np.array([[255, 200, 0, 9]], np.uint8), np.array([[0, 55, 255, 0]], np.uint8)
    sound, cracked = np.full((2, 1, 4), 77, np.uint8)
    split_at_cracks(wax, opened, sound, cracked)
    assert sound.tolist() == [[255, 0, 0, 9]]
    assert cracked.tolist() == [[0, 200, 0, 0]]


def test_what_cracks_open_is_taken_off_to_the_nearest_byte(monkeypatch):
    monkeypatch.setattr(masks, "_BAND_ROWS", 100)
    mask, opened = np.meshgrid(np.arange(256, dtype=np.uint8), np.arange(256, dtype=np.uint8))
    assert (masks.less(mask, opened) == np.floor(mask * (255.0 - opened) / 255 + 0.5)).all()
