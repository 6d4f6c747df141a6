import io

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image

from batiksim.files.pictures.png import PngWriter


def written(rgb: np.ndarray, cuts: list[int], width_mm: float | None = None) -> bytes:
    file = io.BytesIO()
    with PngWriter(file, *rgb.shape[:2], width_mm=width_mm) as writer:
        for part in np.split(rgb, cuts):
            if len(part):
                writer.write(part)
    return file.getvalue()


@settings(max_examples=40, deadline=None)
@given(st.integers(1, 40), st.integers(1, 40), st.integers(0, 2**32 - 1), st.integers(1, 256), st.data())
def test_pillow_reads_back_what_was_written(rows, cols, seed, levels, data):
    rgb = np.random.default_rng(seed).integers(0, levels, (rows, cols, 3)).astype(np.uint8)
    cuts = sorted(data.draw(st.lists(st.integers(0, rows), max_size=4)))
    with Image.open(io.BytesIO(written(rgb, cuts))) as picture:
        assert picture.mode == "RGB"
        np.testing.assert_array_equal(np.asarray(picture), rgb)


def test_the_real_size_and_srgb_are_in_the_file():
    rgb = np.zeros((8, 400, 3), np.uint8)
    with Image.open(io.BytesIO(written(rgb, [3], width_mm=200))) as picture:
        picture.load()
        assert picture.info["dpi"] == pytest.approx((50.8, 50.8), abs=0.02)
        assert picture.info["srgb"] == 0


def test_a_picture_far_larger_than_zlibs_window_comes_back_whole():
    rgb = np.random.default_rng(1).integers(0, 3, (300, 700, 3)).astype(np.uint8)
    with Image.open(io.BytesIO(written(rgb, [1, 100, 299]))) as picture:
        np.testing.assert_array_equal(np.asarray(picture), rgb)
