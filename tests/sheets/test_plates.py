"""The sheet of stages and the marked cloth, looked at pixel by pixel. All plates here are invented."""

from __future__ import annotations

import itertools
import subprocess
import sys
from collections.abc import Iterable

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.testing import assert_array_equal
from PIL import Image, ImageColor

from batiksim.cloth.program import Emit
from batiksim.sheets.colours import GROUND, INK, MADDER, PAPER
from batiksim.sheets.drawing import step_mark, swatch
from batiksim.sheets.lettering import Lettering
from batiksim.sheets.marked import Mark, marked_picture
from batiksim.sheets.plates.captions import UNDER_PLATE, Caption
from batiksim.sheets.plates.stages import StagePicture, StagesSheet, drawn_size, stages_sheet

LONG = "Donaudampfschifffahrtsgesellschaftsfarbbad, mit dem breiten Pinsel gestrichen, zweimal und noch einmal mehr "
STEPS = ("wax", "dye", "discharge", "remove_wax")


def flat(number: int, *, shape: tuple[int, int] = (60, 90)) -> np.ndarray:
    """A cloth of one colour that no frame, text or other plate has."""
    return np.full((*shape, 3), (3 + 5 * number, 250 - 3 * number, 90 + 3 * number), np.uint8)


def stage(number: int, *, shape: tuple[int, int] = (60, 90), **other) -> StagePicture:
    kind = "bare" if number == 0 else STEPS[(number - 1) % 3]
    given = {
        "emit": Emit(step=number),
        "title": f"Step {number}",
        "detail": "",
        "kind": kind,
        "pots": (("leaf", "#4f9a26"),) if kind == "dye" else (),
        "colours": (("pale yellowish green", "#d8e8b0", 0.7), ("deep blue", "#102a66", 0.3)),
    }
    return StagePicture(**({"picture": flat(number, shape=shape)} | given | other))


def sheet_of(count: int, *, shape: tuple[int, int] = (60, 90), title: str = "Tide pools", **other) -> StagesSheet:
    stages = tuple(stage(number, shape=shape, **other) for number in range(count))
    finished = stage(49, shape=shape, kind="remove_wax", title="The finished cloth")
    return StagesSheet(title=title, size="Cotton, 45 × 30 cm", stages=stages, finished=finished)


def keys(page: np.ndarray) -> np.ndarray:
    """Each pixel as one number, quick to compare."""
    wide = page.astype(np.uint32)
    return (wide[..., 0] << 16) | (wide[..., 1] << 8) | wide[..., 2]


def key(colour: str) -> int:
    return int(colour[1:], 16)


def boxes_of(page: np.ndarray, numbers: Iterable[int]) -> list[tuple[int, int, int, int]]:
    """Where plates of `flat` lie on the page: top, foot, left, right."""
    packed, boxes = keys(page), []
    for number in numbers:
        found = packed == keys(flat(number))[0, 0]
        rows = np.flatnonzero(found.any(axis=1))
        assert rows.size, f"plate {number} is missing"
        cols = np.flatnonzero(found[rows[0] : rows[-1] + 1].any(axis=0))
        boxes.append((int(rows[0]), int(rows[-1]) + 1, int(cols[0]), int(cols[-1]) + 1))
    return boxes


def rgb(colour: str) -> tuple[int, ...]:
    return ImageColor.getrgb(colour)


def has(page: np.ndarray, colour: str) -> bool:
    return bool((keys(page) == key(colour)).any())


@pytest.mark.some(5)
@pytest.mark.parametrize(
    ("count", "shape"),
    [*itertools.product([1, 2, 5, 10], [(60, 90), (90, 60), (20, 120), (120, 20)]), (41, (60, 90)), (41, (90, 60))],
)
def test_plates_hang_in_order_and_apart(count, shape):
    page = stages_sheet(sheet_of(count, shape=shape))
    assert page.dtype == np.uint8
    assert page.shape[1:] == (2400, 3)
    *boxes, finished = boxes_of(page, [*range(count), 49])
    for before, after in itertools.pairwise(boxes):
        same_line = abs(after[0] - before[0]) < 20
        assert after[2] > before[3] + 60 if same_line else (after[0] > before[1] + 60 and after[2] < 200)
    assert finished[0] > max(box[1] for box in boxes)
    assert finished[3] - finished[2] >= max(box[3] - box[2] for box in boxes)
    assert finished[1] - finished[0] > max(box[1] - box[0] for box in boxes)


@pytest.mark.parametrize("shape", [(60, 90), (200, 33)])
def test_plates_keep_their_proportions(shape):
    [(top, foot, left, right)] = boxes_of(stages_sheet(sheet_of(5, shape=shape)), [3])
    assert (right - left) / (foot - top) == pytest.approx(shape[1] / shape[0], rel=0.04)


@pytest.mark.some(1)
@pytest.mark.parametrize("count", [3, 9, 24])
def test_long_words_stay_in_their_own_column(count):
    names = (("moderate yellowish green " * 4, "#88aa55", 0.6), ("x" * 90, "#aa5588", 0.4))
    page = stages_sheet(sheet_of(count, title=LONG * 3, detail=LONG * 5, colours=names, pots=()))
    *boxes, finished = boxes_of(page, [*range(count), 49])
    for number, box in enumerate(boxes):
        below = min([b[0] for b in boxes if b[0] > box[1]] + [finished[0]])
        strip = page[box[1] + 200 : below - 130, box[3] + 12 : box[3] + 30]
        assert strip.shape[0] > 40, number
        assert np.all(strip == rgb(GROUND)), number
    assert np.all(page[:, -100:-60][: boxes[0][0] - 40] == rgb(GROUND))


def test_each_pot_of_a_dyeing_hangs_as_a_round_and_the_rest_are_counted():
    colours = ("#4f9a26", "#b0305a", "#2040c0", "#c0a000", "#00a0a0")
    pots = tuple((f"pot {place}", colour) for place, colour in enumerate(colours))
    plain = StagesSheet(title="t", stages=(stage(0), stage(1, kind="dye", pots=pots[:3])))
    page = stages_sheet(plain)
    assert [has(page, colour) for colour in colours] == [True, True, True, False, False]
    more = StagesSheet(title="t", stages=(stage(0), stage(1, kind="dye", pots=pots)))
    assert not np.array_equal(stages_sheet(more), page)


def test_marks_differ_by_shape_in_a_grey_print():
    shapes = []
    for kind in STEPS:
        ground = Image.new("RGB", (58, 58), GROUND)
        mark = step_mark(kind, 58, "#efe6a0")
        ground.paste(mark, (0, 0), mark)
        shapes.append(np.asarray(ground.convert("L")) < 200)
    for one, other in itertools.combinations(shapes, 2):
        assert np.mean(one ^ other) > 0.08


def test_a_pale_dye_and_a_pale_swatch_have_a_visible_edge():
    for piece in (step_mark("dye", 58, GROUND), swatch(GROUND, 46, 36)):
        ground = Image.new("RGB", piece.size, GROUND)
        ground.paste(piece, (0, 0), piece)
        assert np.asarray(ground.convert("L")).min() < 190


def test_only_marks_that_are_used_are_explained():
    bare = stages_sheet(StagesSheet(title="t", size="s", stages=(stage(0),)))
    waxed = stages_sheet(StagesSheet(title="t", size="s", stages=(stage(0, kind="wax"),)))
    assert np.all(bare[150:300, 1500:] == rgb(GROUND))
    assert not np.all(waxed[150:300, 1500:] == rgb(GROUND))


def test_the_finished_cloth_lies_on_paper_and_may_be_left_out():
    with_it = stages_sheet(sheet_of(4))
    without = stages_sheet(StagesSheet(title="Tide pools", size="Cotton, 45 × 30 cm", stages=sheet_of(4).stages))
    assert tuple(with_it[-1, -1]) == rgb(PAPER)
    assert tuple(without[-1, -1]) == rgb(GROUND)
    assert with_it.shape[0] > without.shape[0] + 1000


def test_strips_of_the_finished_cloth_are_as_long_as_their_share():
    pieces = (("half", "#205080", 0.5), ("quarter", "#802050", 0.25))
    finished = stage(49, kind="cloth", colours=pieces)
    page = stages_sheet(StagesSheet(title="t", stages=(stage(0),), finished=finished))
    half, quarter = ((keys(page) == key(piece[1])).any(axis=0).sum() for piece in pieces)
    assert half / quarter == pytest.approx(2, rel=0.08)


def test_drawing_twice_gives_the_same_and_leaves_the_plates_alone():
    sheet = sheet_of(6)
    before = [part.picture.copy() for part in sheet.stages]
    assert_array_equal(stages_sheet(sheet), stages_sheet(sheet))
    for part, picture in zip(sheet.stages, before, strict=True):
        assert_array_equal(part.picture, picture)


@pytest.mark.some(6)
@pytest.mark.parametrize("plates", [1, 2, 5, 9, 14])
@pytest.mark.parametrize("aspect", [0.4, 1.0, 1.5, 3.0])
def test_a_plate_is_drawn_at_the_size_it_is_told(aspect, plates):
    """A plate of that size with a border of one pixel lies on the sheet pixel by pixel."""
    wide, high = drawn_size(aspect, plates=plates)
    assert wide / high == pytest.approx(aspect, rel=0.02)
    plate = np.full((high, wide, 3), 200, np.uint8)
    plate[[0, -1]] = plate[:, [0, -1]] = (255, 0, 255)
    picture = stage(0, picture=plate, title="Bare cloth", colours=())
    sheet = stages_sheet(StagesSheet(title="Sizes", stages=(picture,) * plates))
    assert (sheet == (255, 0, 255)).all(axis=-1).sum() > 0.85 * plates * 2 * (wide + high)  # pegs hide some of it


def test_the_finished_cloth_is_drawn_large():
    wide, high = drawn_size(1.5, plates=0)
    assert wide > 2 * drawn_size(1.5, plates=9)[0]
    assert wide / high == pytest.approx(1.5, rel=0.01)


def test_every_kind_can_be_drawn():
    stages = tuple(stage(number, kind=kind) for number, kind in enumerate(("bare", *STEPS, "cloth")))
    page = stages_sheet(StagesSheet(title="t", stages=stages))
    assert len(boxes_of(page, range(6))) == 6


# --- letters

SANS = Lettering("sans", 26)


@settings(max_examples=60, deadline=None)
@given(text=st.text(max_size=60), width=st.integers(60, 500), lines=st.integers(1, 4))
def test_lines_are_never_wider_than_their_room(text, width, lines):
    for broken in (SANS.wrapped(text, width, lines=lines), SANS.balanced(text, width, lines=lines)):
        assert len(broken) <= lines
        assert all(SANS.width(line) <= width for line in broken)


@settings(max_examples=60, deadline=None)
@given(words=st.lists(st.text("abcdefgh", min_size=1, max_size=8), max_size=12))
def test_no_word_is_lost_where_there_is_room(words):
    text = " ".join(words)
    for broken in (SANS.wrapped(text, 200, lines=40), SANS.balanced(text, 200, lines=40)):
        assert " ".join(broken) == text


def test_a_number_stays_with_its_unit():
    for width in range(120, 500, 20):
        for line in Lettering("sans", 30).wrapped("about 18 ml of navy on 45 × 30 cm of cloth", width, lines=20):
            assert not line.endswith(("18", "45", "30", "×"))


def test_balanced_lines_need_no_more_lines():
    text = "Petals kept in wax for the night"
    look = Lettering("sans", 30)
    plain, even = look.wrapped(text, 300, lines=4), look.balanced(text, 300, lines=4)
    assert len(even) == len(plain)

    def longest(lines):
        return max(look.width(line) for line in lines)

    assert longest(even) <= longest(plain)


def test_what_is_cut_ends_in_an_ellipsis():
    assert SANS.fitted("short", 400) == "short"
    assert SANS.fitted("", -5) == ""
    cut = SANS.fitted(LONG, 200)
    assert cut.endswith("…")
    assert LONG.startswith(cut[:-1])


def test_one_long_name_sets_only_its_own_row_apart():
    def high(*names):
        swatches = tuple((name, "#808080", 0.2) for name in names)
        return Caption(looks=UNDER_PLATE, wide=240, title="5. Teal", detail="", swatches=swatches).high

    more = high("dark greyish yellowish brown", "olive", "olive") - high("olive", "olive", "olive")
    assert more > 0
    assert high("olive", "dark greyish yellowish brown", "olive") - high("olive", "olive", "olive") == more
    both = high("dark greyish yellowish brown", "olive", "dark greyish yellowish brown")
    assert both - high("olive", "olive", "olive") == 2 * more


# --- the marked cloth

CLOTH = np.full((300, 450, 3), (30, 140, 60), np.uint8)


def test_colour_stays_inside_the_rings_and_pales_outside():
    page = marked_picture(CLOTH, [Mark(100, 150, 60, 1, "warn")], notes=["Pink over green turns brown here."])
    assert has(page, "#1e8c3c")
    inside = np.flatnonzero((keys(page) == 0x1E8C3C).any(axis=0))
    assert inside[-1] - inside[0] == pytest.approx(120 * 1180 / 450, rel=0.06)


def test_many_findings_stand_below_the_cloth_and_leave_no_page_empty():
    told = "Pink over green turns brown here, on a tenth of the cloth. Wax the leaves before the pink, or use coral."
    marks = [Mark(40 * number, 150, 20, number, "warn") for number in range(1, 11)]
    few, many = (marked_picture(CLOTH, marks[:count], notes=[told] * count) for count in (3, 10))
    assert few.shape[0] < 0.6 * few.shape[1]  # beside it
    assert many.shape[0] < 1.6 * many.shape[1]
    right = many[many.shape[0] // 2 :, 1100:1900]
    left = many[many.shape[0] // 2 :, 200:1000]
    written = [(np.abs(half.astype(int) - rgb(PAPER)).max(axis=2) > 90).any(axis=1).sum() for half in (left, right)]
    assert min(written) > 0.8 * max(written) > 0


def test_without_marks_the_cloth_is_left_as_it_is():
    page = marked_picture(CLOTH, [], notes=["Nothing troubles this cloth."])
    assert (keys(page) == 0x1E8C3C).sum() == 1180 * round(1180 * 300 / 450)


@pytest.mark.parametrize(("severity", "red"), [("note", False), ("warn", False), ("serious", True)])
def test_madder_is_only_for_what_would_spoil_the_cloth(severity, red):
    page = marked_picture(CLOTH, [Mark(200, 150, 40, 3, severity)])
    assert has(page, MADDER) is red
    assert has(page, INK) is not red


def test_severities_differ_in_a_grey_print():
    greys = []
    for severity in ("note", "warn", "serious"):
        page = Image.fromarray(marked_picture(CLOTH, [Mark(200, 150, 40, 3, severity)])).convert("L")
        greys.append(np.asarray(page) < 110)
    for one, other in itertools.combinations(greys, 2):
        assert (one ^ other).sum() > 1500


def test_marks_at_the_edge_and_beyond_are_drawn_within_the_page():
    marks = [Mark(0, 0, 1, 1, "warn"), Mark(449, 299, 500, 2, "note"), Mark(-40, 900, 5, 103, "serious")]
    page = marked_picture(CLOTH, marks, notes=["a", "b", "c", "d"], title=LONG)
    assert page.shape[1] == 2000
    assert_array_equal(page[:, :60], np.broadcast_to(np.uint8(rgb(PAPER)), page[:, :60].shape))


@pytest.mark.parametrize("shape", [(100, 900), (900, 100), (1, 1)])
def test_any_cloth_can_be_marked(shape):
    page = marked_picture(np.full((*shape, 3), 90, np.uint8), [Mark(0, 0, 3, 1, "note")], notes=[LONG * 3])
    assert page.shape[1] == 2000


def test_the_sheet_needs_no_plotting_library():
    code = (
        "import sys, batiksim.sheets.plates.stages\n"
        "print([m for m in ('matplotlib', 'scipy', 'numba') if m in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
