"""The overdye chart as a picture: colours kept under the weave, names and signs in their places."""

import dataclasses
import shutil
import subprocess

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image

from batiksim.cloth.dyes_on_cloth import cloth_dyes
from batiksim.colour.ciede2000 import delta_e_2000
from batiksim.colour.spaces import decode_srgb, hex_to_lab, linear_srgb_to_xyz, xyz_to_lab
from batiksim.dyes.overdye import overdye
from batiksim.sheets.charts.overdye import overdye_page, reading_ink
from batiksim.sheets.lettering import Lettering
from batiksim.sheets.pages import Label, Page, page_pdf, page_picture
from batiksim.sheets.plates.weave import Plaid, plaid_picture
from batiksim.values import Cloth, Dye, Pot

COLOURS = ["#f0d92e", "#d6246e", "#1aa7b8", "#2e8b57", "#e2681f", "#20284a", "#6f4023", "#f3ece0"]


def chart(count, *, name="dye", **keys):
    """A chart of that many dyes: the colours above, and invented ones between them."""
    random = np.random.default_rng(1)
    shown = [*COLOURS, *("#" + bytes(random.integers(20, 240, 3).tolist()).hex() for _ in range(count))][:count]
    dyes = [Dye(name=f"{name} {at}", colour=colour) for at, colour in enumerate(shown)]
    pots = [Pot(name=dye.name, parts={dye.name: 1}) for dye in dyes]
    return overdye(cloth_dyes(Cloth(width_mm=100), dyes), pots, title="Test dyes", **keys)


def plaid(count=3, pitch=120):
    made = chart(count)
    hexes = lambda shades: tuple(shade.hex for shade in shades)  # noqa: E731
    cells = tuple(hexes(row) for row in made.cells)
    keys = {"bare": made.bare.hex, "down": hexes(made.firsts), "across": hexes(made.seconds), "cells": cells}
    return Plaid(**keys, pitch=pitch, band=100, hem=50, fringe=40)


def mean_lab(picture, left, top, wide, high):
    part = np.asarray(picture.convert("RGB"))[top : top + high, left : left + wide] / 255.0
    return xyz_to_lab(linear_srgb_to_xyz(decode_srgb(part).mean(axis=(0, 1))))


def test_a_step_back_every_patch_has_its_colour():
    cloth = plaid(8)
    picture = plaid_picture(cloth)
    for i in range(8):
        for j in range(8):
            left, top = (cloth.fringe + cloth.hem + at * cloth.pitch + 5 for at in (i, j))
            seen = mean_lab(picture, left, top, cloth.band - 10, cloth.band - 10)
            assert delta_e_2000(seen, hex_to_lab(cloth.cells[i][j])) < 1.0


def test_one_seed_one_cloth():
    first, again, other = plaid_picture(plaid()), plaid_picture(plaid()), plaid_picture(plaid(), seed=6)
    assert first.tobytes() == again.tobytes() != other.tobytes()
    assert first.size == (plaid().cols + 80, plaid().rows + 80)


def test_loose_ends_carry_the_colour_of_their_band():
    cloth = plaid()
    ends = plaid_picture(cloth)
    middle = cloth.fringe + cloth.hem + cloth.band // 2
    for row in (cloth.fringe - 3, cloth.fringe + cloth.rows + 2):
        found = np.asarray(ends)[row, middle - 30 : middle + 30]
        solid = found[found[:, 3] == 255][:, :3] / 255.0
        assert len(solid) > 20
        lab = xyz_to_lab(linear_srgb_to_xyz(decode_srgb(solid).mean(axis=0)))
        assert delta_e_2000(lab, hex_to_lab(cloth.down[0])) < 12


def boxes(labels):
    """Left, top, right, bottom of each label."""
    for label in labels:
        (x, y), size = label.place, label.look.size
        wide, up, below = label.look.width(label.text), 0.7 * size, 0.2 * size
        back = wide * {"left": 0.0, "middle": 0.5, "right": 1.0}[label.look.align]
        if label.turned:
            yield x - up, y + back - wide, x + below, y + back
        else:
            yield x - back, y - up, x - back + wide, y + below


@pytest.mark.some(3)
@pytest.mark.parametrize("name", ["dye", "a dye with quite a long name of its own, number"])
@pytest.mark.parametrize("count", [1, 2, 3, 8, 14, 24])
def test_words_stay_on_the_page_and_off_each_other(count, name):
    page = overdye_page(chart(count, name=name, under=0.5))
    wide, high = page.drawn.size
    found = list(boxes(page.labels))
    for left, top, right, bottom in found:
        assert 0 <= left < right <= wide
        assert 0 <= top < bottom <= high
    edges = np.array(found)
    over = (edges[:, None, :2] < edges[None, :, 2:]).all(-1) & (edges[None, :, :2] < edges[:, None, 2:]).all(-1)
    assert over.sum() == len(found), [
        (page.labels[i].text, page.labels[j].text) for i, j in zip(*np.nonzero(np.triu(over, 1)), strict=True)
    ]


@pytest.mark.some(1)
@pytest.mark.parametrize("count", [4, 24])
def test_the_sign_of_mud_is_seen_in_grey(count):
    made = chart(count)
    page = overdye_page(made)
    grey = np.asarray(page.drawn.convert("L")).astype(int)
    rows = [label.place[1] for label in page.labels if label.text in made.dyes and label.look.align == "right"]
    pitch = round(rows[1] - rows[0])
    band = round(pitch * 0.84)
    corner = _first_cell(page, made, band)
    signs = 0
    for i, row in enumerate(made.cells):
        for j, shade in enumerate(row):
            left, top = corner[0] + i * pitch + band * 3 // 4, corner[1] + j * pitch + 4
            part = grey[top : top + band // 4, left : left + band // 4 - 4]
            sewn = part.max() > 225 and part.min() < 60 and np.ptp(part) > 170
            assert sewn or not shade.mud
            signs += shade.mud
    assert signs


def _first_cell(page, made, band):
    """Left and top of the first cell, from where its own name's row and column labels stand."""
    row = next(label for label in page.labels if label.text == made.dyes[0] and label.look.align == "right")
    column = next(label for label in page.labels if label.text == made.dyes[0] and label is not row)
    lower = row.look.size * 0.32
    middle = column.place[0] - (lower if column.turned else 0)
    return round(middle - band / 2), round(row.place[1] - lower - band / 2)


@given(st.tuples(*[st.integers(0, 255)] * 3))
def test_ink_on_any_colour_can_be_read(colour):
    def light(text):
        return linear_srgb_to_xyz(decode_srgb(np.array(list(bytes.fromhex(text[1:]))) / 255.0))[1]

    shown = "#" + bytes(colour).hex()
    low, high = sorted((light(shown), light(reading_ink(shown))))
    assert (high + 0.05) / (low + 0.05) >= 4.5  # WCAG 2.2


def test_wet_and_lamp_are_told_on_the_chart():
    words = " ".join(label.text for label in overdye_page(chart(3, light="LED", look="wet", under=0.5)).labels)
    assert "under a white LED: what goes on first is at half strength, what goes on second at full strength" in words


def small_page():
    sheet = Image.new("RGB", (400, 200), "#f4efe4")
    labels = (
        Label((20, 60), "Rosé & madder: 12 g", Lettering("serif", 30)),
        Label((390, 120), "$x^2$ #set", Lettering("sans", 24, align="right")),
        Label((200, 100), "upwards", Lettering("sans", 24, align="middle"), turned=True),
    )
    return Page(drawn=sheet, labels=labels, title="Tiny", subject="a page to try")


def test_a_picture_is_painted_without_changing_the_page():
    page = small_page()
    before = page.drawn.tobytes()
    picture = page_picture(page)
    assert picture.shape == (200, 400, 3)
    assert page.drawn.tobytes() == before != picture.tobytes()


def test_the_pdf_is_tagged_and_carries_its_typefaces():
    made = page_pdf(small_page())
    assert made.startswith(b"%PDF")
    assert b"/StructTreeRoot" in made
    assert made.count(b"/FontFile2") == 2


def test_the_pdf_does_not_carry_the_time_it_was_made_at():
    made = page_pdf(small_page())
    assert b"CreationDate" not in made
    assert b"CreateDate" not in made


@pytest.mark.skipif(shutil.which("pdftotext") is None, reason="pdftotext is not on this machine")
def test_words_of_the_pdf_can_be_selected(tmp_path):
    (tmp_path / "page.pdf").write_bytes(page_pdf(small_page()))
    told = subprocess.run(["pdftotext", tmp_path / "page.pdf", "-"], capture_output=True, text=True, check=True).stdout
    for words in ("Rosé & madder: 12 g", "$x^2$ #set", "upwards"):
        assert words in told


def test_a_long_title_stands_in_two_lines_above_all_else():
    long = "Harvest banner for the parish hall, hung between the two windows"
    page = overdye_page(dataclasses.replace(chart(3), title=long))
    title = [label for label in page.labels if label.look.style == "serif-bold"]
    assert " ".join(label.text for label in title) == f"{long}: every dye over every dye"
    assert len(title) == 2
    others = [label.place[1] - label.look.size for label in page.labels if label not in title]
    assert max(label.place[1] for label in title) < min(others)
    one_line = overdye_page(chart(3))
    assert page.drawn.height > one_line.drawn.height
