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
