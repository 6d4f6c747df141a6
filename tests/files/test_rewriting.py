"""A design file changed in place: comments, order and spacing stay where nothing has changed."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from PIL import Image

from batiksim.files.toml import rewriting
from batiksim.files.toml.designs import read_design, write_design
from batiksim.values import Design, Dye, DyeBath, MaskUse, Paint, Pot, RemoveWax, Wax

TEXT = """\
# Made for the spring class; keep the stamps from last year.
format = 1
title = "Harbour wall"   # working title

[cloth]
width_mm = 400.0  # measured on the frame
grams_per_m2 = 120
colour = "#f4efe2"

# --- dyes ---

[[dye]]
name = "straw"
colour = "#f2e08a"

# bought in May, stronger than the old one
[[dye]]
name = "tide"
colour = "#3d9fb4"


# thin it: it looked too heavy
[[pot]]
name = "weed"
parts = { "straw" = 4, "tide" = 1 }
strength = 0.8   # was 1

[[step]]
# by hand, not with the stamp
wax = "lines.png"
grey = "cover"
tool = "canting"

[[step]]
dye = [
    { pot = "weed", where = "plants.png" },
    { pot = "straw", where = "lines.png" },  # only the kelp
]

# what is green now stays green
[[step]]
wax = "plants.png"

[[step]]
dye = "tide"
# the end
"""


@pytest.fixture
def file(tmp_path: Path) -> Path:
    for name in ("lines.png", "plants.png", "new.png"):
        Image.new("L", (8, 6), 255).save(tmp_path / name)
    path = tmp_path / "design.toml"
    path.write_bytes(TEXT.encode())
    return path


def saved(file: Path, design: Design) -> str:
    write_design(design, file, in_place=True)
    assert read_design(file) == design
    return file.read_bytes().decode()


def test_what_has_not_changed_is_kept_to_the_letter(file) -> None:
    assert saved(file, read_design(file)) == TEXT


def test_a_changed_value_changes_its_line_alone(file) -> None:
    design = read_design(file)
    weed = replace(design.pot("weed"), strength=0.65)
    assert saved(file, replace(design, pots=(weed,))) == TEXT.replace("strength = 0.8 ", "strength = 0.65 ")
    assert saved(file, replace(design, pots=(weed,), title="Quay")) == TEXT.replace(
        "strength = 0.8 ", "strength = 0.65 "
    ).replace("Harbour wall", "Quay")


def test_a_step_takes_the_comment_above_it_along(file) -> None:
    design = read_design(file)
    one, two, three, four = design.steps
    text = saved(file, replace(design, steps=(three, one, two, four)))
    for kept in ('# what is green now stays green\n[[step]]\nwax = "plants.png"', "# only the kelp", "# the end"):
        assert kept in text
    assert text.index("stays green") < text.index("not with the stamp") < text.index("only the kelp")


def test_a_dye_learnt_anew_meanwhile_costs_no_comment(file) -> None:
    """The book has changed since the design was read: the file names the book, and that is all it says."""
    book = 'format = 1\ntitle = "Mine"\n[[dye]]\nname = "straw"\ncolour = "#f2e08a"\n'
    file.with_name("mine.toml").write_text(book)
    text = TEXT.replace('colour = "#f2e08a"', 'book = "mine.toml"')
    file.write_text(text)
    before = read_design(file)
    file.with_name("mine.toml").write_text(book.replace("f2e08a", "e2c05a"))
    write_design(replace(before, title="Quay"), file, in_place=True)
    assert file.read_text() == text.replace("Harbour wall", "Quay")


def test_what_is_new_and_what_is_taken_out(file) -> None:
    design = read_design(file)
    steps = (*design.steps[:2], RemoveWax(), Wax(mask=MaskUse(picture="new.png")), design.steps[3])
    dyes = (*design.dyes, Dye(name="rust", colour="#a0522d"))
    text = saved(file, replace(design, steps=steps, dyes=dyes, note="Two afternoons."))
    assert '[[dye]]\nname = "rust"\ncolour = "#a0522d"\n\n# thin it' in text.replace("\n\n\n", "\n\n")
    for kept in ("# Made for the spring class", "# bought in May", "# was 1", "# only the kelp", "# the end"):
        assert kept in text
    back = saved(file, replace(design, steps=(design.steps[3],), pots=(), dyes=design.dyes[1:]))
    assert "# bought in May" in back
    assert "thin it" not in back


def test_a_byte_order_mark_costs_no_comment(file) -> None:
    file.write_bytes(b"\xef\xbb\xbf" + TEXT.encode())
    assert saved(file, replace(read_design(file), title="Quay")) == TEXT.replace("Harbour wall", "Quay")


def test_line_ends_of_another_system_stay(file) -> None:
    file.write_bytes(TEXT.replace("\n", "\r\n").encode())
    text = saved(file, replace(read_design(file), title="Quay"))
    assert text == TEXT.replace("Harbour wall", "Quay").replace("\n", "\r\n")


@pytest.mark.parametrize(
    "text",
    [
        'format = 1\ntitle = "x"\ncloth = { width_mm = 100 }\nstep = [ { remove_wax = true } ]\n',
        'format = 1\ntitle = "x"\n[cloth]\nwidth_mm = 100\n[[dye]]\nname = "a"\ncolour = "#aabbcc"\n'
        '[[pot]]\nname = "p"\n[pot.parts]\na = 1\n[[step]]\n[[step.dye]]\npot = "p"\n',
        'title = "x"\nformat = 1\ncloth.width_mm = 100\n',
        '"title" = "x"\n"format" = 1\n["cloth"]\nwidth_mm = 100\n[[ step ]]\nremove_wax = true\n',
        'title = "x"\nformat = 1\ncloth.width_mm = 100\ncloth.colour = "#f1ede2"\n[[step]]\nremove_wax = true\n',
        'format = 1\ntitle = "x"\n[[step]]\nremove_wax = true\n[cloth]\nwidth_mm = 100\n[[step]]\nremove_wax = true\n',
    ],
)
def test_a_text_laid_out_in_another_way_is_still_written_right(file, text: str) -> None:
    file.write_text(text)
    design = replace(read_design(file), title="Other", steps=(RemoveWax(), RemoveWax()))
    saved(file, design)


def test_without_asking_a_file_is_written_afresh(file) -> None:
    write_design(read_design(file), file)
    assert "#" not in file.read_text().replace('"#', "")


POTS = st.sampled_from(["weed", "tide", "straw"])
STEPS = st.one_of(
    st.builds(lambda tool: Wax(mask=MaskUse(picture="new.png"), tool=tool), st.sampled_from(["brush", "canting"])),
    st.builds(lambda pot: DyeBath(paints=(Paint(pot=pot),)), POTS),
    st.just(RemoveWax()),
)


@given(
    order=st.permutations(range(4)), take=st.integers(0, 4), more=st.lists(STEPS, max_size=3),
    strength=st.floats(0, 4).map(lambda value: round(value, 3)), spare=st.booleans(),
)  # fmt: skip
@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_any_change_reads_back_and_keeps_the_words_of_what_stayed(file, order, take, more, strength, spare) -> None:
    file.write_bytes(TEXT.encode())
    design = read_design(file)
    steps = (*(design.steps[n] for n in order[:take]), *more)
    pots = (replace(design.pot("weed"), strength=strength), *((Pot(name="spare", parts={"tide": 1.0}),) * spare))
    text = saved(file, replace(design, steps=steps, pots=pots))
    for kept in ("# Made for the spring class", "# bought in May", "# thin it", "# measured on the frame"):
        assert kept in text
    for number, words in ((0, "not with the stamp"), (1, "only the kelp"), (2, "stays green")):
        if number in order[:take]:
            assert words in text


@pytest.mark.parametrize(
    ("old", "new", "order"),
    [
        (["step", "pot", "step"], ["step"] * 3 + ["pot"], ["step 1", "pot 1", "step 2", "step 3"]),
        (["step", "pot", "step"], ["step", "pot"], ["step 1", "pot 1"]),
        (["pot"], ["pot", "pot", "dye"], ["dye 1", "pot 1", "pot 2"]),
        (["dye", "step"], ["dye", "pot", "step"], ["dye 1", "pot 1", "step 1"]),
    ],
)
def test_tables_keep_their_places_among_those_of_other_kinds(old, new, order) -> None:
    """One for each old place of its kind, the rest behind the last; a new kind stands behind those before it."""
    kinds = ("dye", "pot", "step")
    laid = {kind: [rewriting._Block(kind, f"{kind} {n + 1}", "") for n in range(new.count(kind))] for kind in kinds}
    placed = rewriting._in_places([rewriting._Block(kind, "", "") for kind in old], laid, kinds)
    assert [block.text for block in placed] == order
