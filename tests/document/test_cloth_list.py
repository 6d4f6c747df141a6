"""The cloths of a folder: their order, their titles, a small picture of each."""

from __future__ import annotations

import os

import numpy as np
import pytest

from batiksim.document.cloth_list import designs_in, newest_in, small_cloth


@pytest.fixture
def folder(plain_design, on_disk):
    return on_disk(plain_design)


def test_cloths_are_listed_by_name_and_the_newest_first(build, on_disk, tmp_path):
    for place, name in enumerate(("b", "a", "c")):
        folder = on_disk(build.design(build.wax("lines"), title=name.upper()), name=name)
        os.utime(folder / "design.toml", (1000 + place, 1000 + place))
    (tmp_path / "d").mkdir()
    (tmp_path / "d" / "design.toml").write_text("nonsense")
    os.utime(tmp_path / "d" / "design.toml", (1, 1))
    assert [folder.name for folder in newest_in(tmp_path)] == ["c", "a", "b", "d"]
    assert designs_in(tmp_path) == [{"name": name, "title": name.upper()} for name in "abc"]
    assert [one["name"] for one in designs_in(tmp_path, but=tmp_path / "b" / "design.toml")] == ["a", "c"]


def test_a_small_picture_of_a_cloth(folder):
    small = small_cloth(folder)
    assert small.shape == (30, 40, 4)
    assert (small[..., 3] == 255).all()
    assert len(np.unique(small.reshape(-1, 4), axis=0)) > 3
    assert small_cloth(None).shape[1] == 200


def test_two_hundred_cloths_are_listed(build, on_disk, tmp_path):
    """Of 201, the last by name isn't; those that can't be read count too."""
    on_disk(build.design(build.wax("lines"), title="Last"), name="z")
    for number in range(200):
        (tmp_path / f"a{number:03}").mkdir()
        (tmp_path / f"a{number:03}" / "design.toml").write_text("nonsense")
    assert designs_in(tmp_path) == []
    (tmp_path / "a000" / "design.toml").unlink()
    assert designs_in(tmp_path) == [{"name": "z", "title": "Last"}]


def test_a_cloth_that_goes_while_it_is_looked_at_stands_last(tmp_path, monkeypatch):
    for name in "ab":
        (tmp_path / name).mkdir()
        (tmp_path / name / "design.toml").write_text("")
        os.utime(tmp_path / name / "design.toml", (1000, 1000))
    real = type(tmp_path).stat

    def stat(self, **keys):
        if self == tmp_path / "a" / "design.toml":
            raise FileNotFoundError
        return real(self, **keys)

    monkeypatch.setattr(type(tmp_path), "glob", lambda self, pattern: [tmp_path / n / "design.toml" for n in "ab"])
    monkeypatch.setattr(type(tmp_path), "stat", stat)
    assert [folder.name for folder in newest_in(tmp_path)] == ["b", "a"]


def test_the_finished_cloth_is_shown_the_wax_taken_out(build, on_disk):
    """Waxed at the left before the dye; a design whose wax isn't taken out in a step."""
    mask = np.zeros((1, 30, 40), np.uint8)
    mask[..., :20] = 255
    bare = small_cloth(on_disk(build.design(build.wax("half")), mask, name="bare"))
    dyed = small_cloth(on_disk(build.design(build.wax("half"), build.dye("night")), mask, name="dyed"))
    assert (bare == bare[0, 0]).all()
    assert (dyed[15, 5] == bare[0, 0]).all()
    assert dyed[15, 35, :3].max() < 80
