"""The cloths in a folder, broken ones among them, and a cloth as it is shown small."""

from __future__ import annotations

import os
from dataclasses import replace
from pathlib import Path

from batiksim.document.cloth_list import designs_in, newest_in, small_cloth
from batiksim.files.toml.designs import read_design, write_design


def test_the_cloth_saved_last_is_first_and_broken_ones_are_left_out(folder) -> None:
    home = folder.parent
    other = home / "waves"
    write_design(replace(read_design(folder), title="Waves", steps=()), other)
    (home / "broken").mkdir()
    (home / "broken" / "design.toml").write_text("title = ", encoding="utf-8")
    for age, name in enumerate(("leaves", "broken", "waves")):
        os.utime(home / name / "design.toml", (1_000_000 - age, 1_000_000 - age))
    assert [path.name for path in newest_in(home)] == ["leaves", "broken", "waves"]
    assert designs_in(home) == [{"name": "leaves", "title": "Leaves"}, {"name": "waves", "title": "Waves"}]
    assert designs_in(home, but=folder / "design.toml") == [{"name": "waves", "title": "Waves"}]
    assert newest_in(home / "leaves") == []


def test_a_small_cloth_shows_the_wax_taken_out(folder: Path) -> None:
    small = small_cloth(folder)
    assert small.shape == (60, 80, 4), "not made larger than its pictures"
    assert small[30, 25].min() > 200, "bare cloth under the wax"
    assert small[30, 60].min() < 150, "dyed beside it"
    assert small_cloth(None).shape[1] == 200, "the sample"
