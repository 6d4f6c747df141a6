"""Which dropped pictures are proposed for cleaning: photos and scans, never what was drawn on a screen."""

from __future__ import annotations

import io

import numpy as np
import pytest
from PIL import Image, ImageDraw, ImageFilter
from scipy import ndimage

from batiksim.document.uploads.pictures import Dropped, picture_data
from batiksim.files.pictures import images
from batiksim.files.starter import STARTER


def waves(ink: int, ground: int, *, size: tuple[int, int] = (800, 600), smooth: bool = True) -> Image.Image:
    """Waves as a drawing program leaves them, with soft edges or hard ones."""
    times = 4 if smooth else 1
    wide, high = (side * times for side in size)
    sheet = Image.new("L", (wide, high), ground)
    pen = ImageDraw.Draw(sheet)
    x = np.linspace(0, wide, 200)
    for row in np.linspace(0.1, 0.9, 5):
        y = high * (row + 0.03 * np.sin(6 * np.pi * x / wide))
        pen.line(list(zip(x, y, strict=True)), fill=ink, width=high // 18)
    return sheet.resize(size, Image.Resampling.BOX)


def fish(ink: int, ground: int) -> Image.Image:
    """One shape on much ground."""
    sheet = Image.new("L", (800, 600), ground)
    ImageDraw.Draw(sheet).ellipse((250, 220, 550, 380), fill=ink)
    return sheet.filter(ImageFilter.GaussianBlur(0.7))


def wash() -> Image.Image:
    """Grey that means part, from nothing to all."""
    return Image.fromarray(np.tile(np.linspace(255, 0, 16).repeat(50).astype(np.uint8), (600, 1)))


def packed(sheet: Image.Image) -> Image.Image:
    file = io.BytesIO()
    sheet.save(file, "JPEG", quality=85)
    return Image.open(file)


def photo(sheet: Image.Image, *, noise: float = 4, shade: float = 0.4, seed: int = 1) -> Image.Image:
    """Light falling off to one side, paper grain and a sensor's noise, packed as cameras pack it."""
    rng = np.random.default_rng(seed)
    seen = np.asarray(sheet, np.float64)
    grain = ndimage.gaussian_filter(rng.standard_normal(seen.shape), 1.5)
    seen = seen * (1 + 0.03 * grain / grain.std()) * np.linspace(0.85, 0.85 - shade, seen.shape[1])
    return packed(Image.fromarray(np.clip(seen + rng.normal(0, noise, seen.shape), 0, 255).astype(np.uint8)))


def proposed(sheet: Image.Image) -> bool:
    picture = images.Picture(grey=np.array(sheet.convert("L")), alpha=None, notes=())
    return bool(picture_data(Dropped(key="1", name="sheet.png", picture=picture))["clean"])


@pytest.mark.parametrize(("ink", "ground"), [(0, 255), (20, 255), (90, 200), (255, 0)])
@pytest.mark.parametrize("draw", [waves, fish])
def test_drawings_of_any_ink_and_ground_are_left_as_they_are(draw, ink: int, ground: int) -> None:
    sheet = draw(ink, ground)
    assert not proposed(sheet)
    assert not proposed(packed(sheet))


@pytest.mark.full
@pytest.mark.parametrize(("ink", "ground"), [(20, 250), (20, 235), (60, 240)])
def test_a_ground_that_is_not_quite_bare_is_to_be_cleaned(ink: int, ground: int) -> None:
    assert proposed(waves(ink, ground))
    assert proposed(packed(waves(ink, ground)))


@pytest.mark.full
@pytest.mark.parametrize("noise", [0, 4, 14])
@pytest.mark.parametrize("shade", [0.05, 0.4])
@pytest.mark.parametrize("draw", [waves, fish])
def test_photos_of_the_same_drawings_are_to_be_cleaned(draw, shade: float, noise: float) -> None:
    assert proposed(photo(draw(30, 235), noise=noise, shade=shade))


@pytest.mark.full
def test_a_large_photo_that_the_camera_smoothed_is_to_be_cleaned() -> None:
    small = photo(waves(30, 235)).filter(ImageFilter.MedianFilter(5))
    assert proposed(packed(small.resize((3200, 2400), Image.Resampling.BICUBIC)))


def test_a_drawn_wash_and_the_sample_s_pictures_keep_their_greys() -> None:
    assert not proposed(wash())
    drawn = [path for path in STARTER.rglob("*.png") if "history" not in path.parts]
    assert drawn
    for path in drawn:
        assert not picture_data(Dropped(key="1", name=path.name, picture=images.read_picture(path)))["clean"], path.name
