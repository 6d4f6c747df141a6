"""[[want]] of a design: read, written back, and told where it is wrong."""

from __future__ import annotations

import re

import pytest
from PIL import Image

from batiksim.errors import BatikError
from batiksim.files.toml.designs import read_design, write_design
from batiksim.values import Cloth, Design, MaskUse, Want

HEAD = 'format = 1\ntitle = "Wants"\n[cloth]\nwidth_mm = 300\n'


@pytest.fixture
def folder(tmp_path):
    Image.new("L", (8, 6), 255).save(tmp_path / "leaves.png")
    return tmp_path


def wants(folder, text):
    (folder / "design.toml").write_text(f"{HEAD}[[want]]\n{text}\n", encoding="utf-8")
    return read_design(folder).wants


def test_a_spot_and_an_area_are_read(folder):
    text = 'at = [120, 80.5]\ncolour = "#4D7D32"\n[[want]]\nname = "leaves"\nwhere = "leaves.png"\nmarks = "light"\n'
    spot, leaves = wants(folder, text + 'colour = "strong yellow green"\nweight = 2')
    assert spot == Want(at_mm=(120, 80.5), colour="#4d7d32")
    assert leaves.where == MaskUse(picture="leaves.png", marks="light")
    assert (leaves.name, leaves.colour, leaves.weight) == ("leaves", "strong yellow green", 2)


def test_what_is_written_is_read_again(folder):
    design = Design(
        title="Wants",
        cloth=Cloth(width_mm=300),
        wants=(
            Want(at_mm=(12.5, 8), colour="#4d7d32", weight=0.5),
            Want(name="leaves", where=MaskUse(picture="leaves.png", marks="dark", clean=True), colour="deep green"),
        ),
    )
    write_design(design, folder)
    assert read_design(folder) == design


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ('at = [1, 2]\ncolour = "#12345"', "want 1: colour: needs a colour (found '#12345')"),
        ('colour = "#123456"', "want 1: needs either a spot or a picture"),
        ('at = [1, 2]\nwhere = "leaves.png"\ncolour = "#123456"', "want 1: needs either a spot or a picture"),
        ('at = [1]\ncolour = "#123456"', "want 1: at: needs x and y in mm"),
        ('at = [1, true]\ncolour = "#123456"', "want 1: at: needs x and y in mm"),
        ('at = [-1, 2]\ncolour = "#123456"', "want 1: at: x: out of range"),
        ('name = "leaf"\nwhere = "leafs.png"\ncolour = "#123456"', "did you mean 'leaves.png'?"),
        ('name = "leaf"\nat = [1, 2]', "want 'leaf': colour: is missing"),
        ('at = [1, 2]\ncolour = "#123456"\nweight = 0', "want 1: weight: out of range"),
        ('at = [1, 2]\nmarks = "dark"\ncolour = "#123456"', "want 1: 'marks' needs a picture to go with"),
        ('at = [1, 2]\ncolor = "#123456"', "did you mean 'colour'?"),
    ],
)
def test_mistakes_are_told_with_their_place(folder, text, said):
    with pytest.raises(BatikError, match=re.escape(said)) as told:
        wants(folder, text)
    assert str(told.value).startswith(str(folder / "design.toml"))


def test_a_want_is_called_by_its_name_its_picture_or_its_spot():
    where = MaskUse(picture="masks/keep-leaves.png")
    assert Want(colour="#123456", where=where, name="leaves").called == "leaves"
    assert Want(colour="#123456", where=where).called == "leaves"
    assert Want(colour="#123456", at_mm=(120, 80.5)).called == "the spot at 120, 80.5 mm"
