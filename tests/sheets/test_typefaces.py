"""Letters of all scripts: which face has them, marks beside their letter, and what is told of those that none has.

The faces that a computer happens to have are left out of most: matplotlib's DejaVu is there for all.
"""

import io
import shutil
from pathlib import Path

import matplotlib
import numpy as np
import pytest
from click.testing import CliRunner
from PIL import Image, ImageDraw, features

from batiksim import jobs
from batiksim.cli import main
from batiksim.sheets import typefaces
from batiksim.sheets.charts.figures import figure_bytes, quiet_style, titled_figure
from batiksim.sheets.lettering import Lettering
from batiksim.sheets.pages import Label, Page, page_pdf
from batiksim.sheets.typefaces import FONT_FOLDER, runs, settable
from batiksim.texts.catalogue import speaking
from batiksim.texts.letters import hearing

DEJAVU = Path(matplotlib.get_data_path(), "fonts", "ttf", "DejaVuSans.ttf")
ARABIC, JAVANESE = "ليلة القمر", "ꦧꦠꦶꦏ꧀"


@pytest.fixture
def only(monkeypatch):
    """Faces of Alegreya and those of the given files, no others."""

    def set_files(*files):
        monkeypatch.setattr(typefaces, "_package_files", lambda: tuple(map(str, files)))
        monkeypatch.setattr(typefaces, "_system_files", tuple)
        typefaces._placed.cache_clear()
        typefaces._face_of.cache_clear()

    yield set_files
    monkeypatch.undo()
    typefaces._placed.cache_clear()
    typefaces._face_of.cache_clear()


def named(text):
    return [(Path(file).stem, part) for file, part in runs(text)]


def told(text):
    with hearing() as left_out:
        shown = settable(text)
    return shown, list(map(str, left_out()))


@pytest.mark.parametrize("file", sorted(FONT_FOLDER.glob("*.ttf")), ids=lambda file: file.stem)
def test_faces_have_the_letters_that_batik_needs(file):
    usual = [chr(code) for code in range(0xA0, 0x149)] + list(typefaces._USUAL)
    assert {letter for letter in [*usual, *"×·²½¼¾Δ€αΩЖ"] if ord(letter) not in typefaces._letters(str(file))} == set()
    assert not typefaces._has(str(file), "蝋")


def test_the_licence_lies_beside_the_faces():
    for name in ("OFL-Alegreya.txt", "OFL-AlegreyaSans.txt"):
        assert "SIL OPEN FONT LICENSE Version 1.1" in (FONT_FOLDER / name).read_text(encoding="utf-8")


def test_usual_letters_need_no_other_face():
    assert named("Ångström × 5 – “ŝ”") == [("AlegreyaSans-Regular", "Ångström × 5 – “ŝ”")]


def test_a_run_of_one_script_takes_one_face_with_its_spaces_and_figures(only):
    only(DEJAVU)
    # Written from the right: were each word a piece of its own, they would stand in the wrong order.
    assert named("x ليلة 5 القمر y") == [
        ("AlegreyaSans-Regular", "x "), ("DejaVuSans", "ليلة 5 القمر"), ("AlegreyaSans-Regular", " y"),
    ]  # fmt: skip


def test_marks_follow_their_letter(only):
    only(DEJAVU)
    assert named("x 3b\u0483") == [("DejaVuSans", "x 3b\u0483")]
    assert named("\u05d1\u05bc") == [("DejaVuSans", "\u05d1\u05bc")]


def test_a_mark_that_no_face_has_beside_its_letter_is_left_out_and_told(only):
    only(DEJAVU)
    shown, (note,) = told("pa\u0bcdn")
    assert shown == "pan"
    assert "(Tamil)" in note


def test_marks_never_stand_without_their_letter(only):
    only(DEJAVU)
    assert told("a \u0e2a\u0e27\u0e31\u0e2a b")[0] == "a  b"


def test_what_is_missing_is_told_by_script_with_what_to_install(only):
    only(DEJAVU)
    shown, notes = told(f"{JAVANESE} 蝋 sky")
    assert shown.strip() == "sky"
    assert len(notes) == 2
    java = next(note for note in notes if "Javanese" in note)
    assert "ꦧ, ꦠ, ꦶ, ꦏ and ꧀ (Javanese)" in java
    assert f"“{JAVANESE} 蝋 sky”" in java
    assert "Noto Sans Javanese" in java
    assert any("Noto Sans CJK" in note for note in notes)


def test_the_note_is_in_the_language_that_is_spoken(only):
    only(DEJAVU)
    with speaking("id"):
        assert "(Jawa)" in told(JAVANESE)[1][0]


def test_many_letters_and_long_texts_are_told_shortened(only):
    only()
    (note,) = told("".join(map(chr, range(0xA98F, 0xA9A9))) + "x" * 90)[1]
    assert "…" in note
    assert len(note) < 250


def test_measuring_tells_nothing(only):
    only(DEJAVU)
    with hearing() as left_out:
        Lettering("sans", 20).width(JAVANESE)
    assert left_out() == ()


def test_a_face_of_the_computer_is_found_and_broken_files_are_passed_over(only, tmp_path, monkeypatch):
    only()
    (tmp_path / "Broken Sans.ttf").write_bytes(b"no face")
    shutil.copy(DEJAVU, tmp_path / "LastResort.ttf")
    shutil.copy(DEJAVU, tmp_path / "My Sans.ttf")
    files = [str(file) for file in tmp_path.iterdir()]
    monkeypatch.setattr("matplotlib.font_manager.findSystemFonts", lambda: files)
    monkeypatch.setattr(typefaces, "_system_files", lambda: tuple(map(str, typefaces._plainest(map(Path, files)))))
    assert named("ⴰⴱ") == [("My Sans", "ⴰⴱ")]


def test_joiners_spaces_and_controls_are_never_told(only):
    only()
    assert told("e\u200d \u2003\ufe0f\n\x00é") == ("e\u200d \u0020\ufe0f\né", [])


def test_signs_of_no_script_are_told_as_signs(only):
    only()
    assert "🧵 (symbols)" in told("thread 🧵")[1][0]


def test_eighths_are_figures_over_figures():
    assert settable("2⅜ ⅛ é") == "2\u00a03/8 1/8 é"


# --- the three ways of drawing


def ink(picture):
    return np.asarray(picture.convert("L")) < 128


@pytest.mark.skipif(not features.check_feature("raqm"), reason="Pillow was built without shaping")
def test_pictures_shape_and_leave_out(only):
    only(DEJAVU)

    def drawn(text):
        sheet = Image.new("RGB", (400, 60), "white")
        Lettering("sans", 30, "#000000").write(ImageDraw.Draw(sheet), (5, 40), text)
        return ink(sheet)

    assert drawn(ARABIC).any()
    isolated = sum(Lettering("sans", 30).width(letter) for letter in ARABIC)
    assert Lettering("sans", 30).width(ARABIC) < 0.9 * isolated  # letters join
    with hearing() as left_out:
        assert not drawn(JAVANESE).any()
    assert len(left_out()) == 1


def test_charts_have_the_letters_and_leave_out_the_rest(only):
    only(DEJAVU)

    def drawn(title):
        with quiet_style():
            return ink(Image.open(io.BytesIO(figure_bytes(titled_figure(3, 1, title), "png", dpi=100))))

    assert drawn(ARABIC).any()
    with hearing() as left_out:
        assert (drawn(f"a{JAVANESE}") == drawn("a")).all()
    assert len(left_out()) == 1


def test_typeset_pages_have_the_letters_and_leave_out_the_rest(only, read_pdf):
    only(DEJAVU)
    look = Lettering("sans", 30)
    labels = (Label((10, 50), ARABIC, look), Label((10, 90), f"a{JAVANESE}b", look))
    with hearing() as left_out:
        reading = read_pdf(page_pdf(Page(drawn=Image.new("RGB", (400, 100), "white"), labels=labels, title="t")))
    assert any("DejaVu" in str(font.FontName) for font in reading.fonts())
    assert "ab" in reading.plumbed.pages[0].extract_text()
    assert len(left_out()) == 1


def test_handouts_in_many_scripts_come_about(only, build, on_disk, tmp_path, read_pdf, accessible):
    only(DEJAVU)
    # A Tamil mark stands on cuneiform, and on a Latin letter: no face has both.
    title = f"Луна {ARABIC} \u0b95\u0bcd \u0e2a\u0e31 \U00012000\u0bcd 藍染 a\u0bcd end"
    folder = on_disk(build.design(build.wax("lines"), build.dye("sun"), title=title))
    with hearing() as left_out:
        reading = read_pdf(jobs.handout(folder, tmp_path / "c.pdf", one_page=True).file.read_bytes())
    accessible(reading)
    heading = reading.headings[0][1]
    assert heading.startswith("Луна ")
    assert heading.endswith(" a end")
    assert {dict(note.parts)["typeface"].removeprefix("Noto Sans ") for note in left_out()} == {
        "Tamil",
        "Thai",
        "Cuneiform",
        "CJK",
    }


def test_the_command_tells_what_is_left_out(only, build, on_disk, tmp_path):
    only(DEJAVU)
    folder = on_disk(build.design(build.dye("sun"), title=JAVANESE))
    done = CliRunner().invoke(main, ["preview", str(folder), "--out", str(tmp_path / "p"), "--width", "60"])
    assert done.exit_code == 0, done.output
    assert done.stderr.count("No font on this computer has ꦧ") == 1
