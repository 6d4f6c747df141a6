"""`batiksim from-picture`: a picture goes in; a design comes out that previews and checks at once."""

import json
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner
from PIL import Image, ImageDraw

from batiksim import jobs
from batiksim.cli import main
from batiksim.errors import BatikError
from batiksim.files.pictures.images import read_rgb
from batiksim.files.toml.designs import read_design
from batiksim.jobs import pictures
from batiksim.values import DyeBath, Wax

ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture(scope="module")
def sketch(tmp_path_factory):
    """Two fruits on a dark ground, drawn with soft edges."""
    large = Image.new("RGB", (1200, 900), "#1c2f57")
    draw = ImageDraw.Draw(large)
    draw.ellipse((120, 200, 560, 700), fill="#f1ede2")
    draw.ellipse((150, 230, 530, 670), fill="#eecf4b")
    draw.ellipse((640, 200, 1080, 700), fill="#f1ede2")
    draw.ellipse((670, 230, 1050, 670), fill="#cf4a2c")
    path = tmp_path_factory.mktemp("sketch") / "two-fruits.png"
    large.resize((400, 300), Image.Resampling.LANCZOS).save(path)
    return path


def run(*words):
    return CliRunner().invoke(main, [str(word) for word in words])


@pytest.mark.full
def test_a_picture_becomes_a_design_that_previews_and_checks(sketch, tmp_path):
    done = run("from-picture", sketch, "--out", tmp_path / "plan", "--steps", 3)
    assert done.exit_code == 0, done.output
    assert "two-fruits" not in done.output
    design = read_design(tmp_path / "plan")
    assert design.title == "two fruits"
    assert 1 <= sum(isinstance(step, DyeBath) for step in design.steps) <= 3
    assert any(isinstance(step, Wax) for step in design.steps)
    assert design.wants
    assert run("preview", tmp_path / "plan", "--out", tmp_path / "plates").exit_code == 0
    assert run("check", tmp_path / "plan").exit_code == 0
    given = read_rgb(tmp_path / "plates" / "cloth.png").astype(int)
    asked = read_rgb(sketch).astype(int)
    by = given.shape[0] // asked.shape[0]
    assert np.abs(given[by // 2 :: by, by // 2 :: by] - asked).mean() < 20
    assert read_rgb(tmp_path / "plan" / "from-picture.png").shape[1] == 2400


@pytest.mark.full
def test_json_tells_the_same_as_the_file(sketch, tmp_path):
    done = run("from-picture", sketch, "--out", tmp_path, "--json", "--steps", 2)
    told = json.loads(done.output)
    assert told == json.loads((tmp_path / "from-picture.json").read_text())
    assert {"design", "dyeings", "regions", "notes", "mean_difference"} <= set(told)
    for region in told["regions"]:
        assert {"wanted", "reachable", "difference", "impossible", "share", "at_mm"} <= set(region)


@pytest.mark.full
def test_settled_dyeings_stay_as_they_are(sketch, tmp_path):
    words = "golden yellow 50% > scarlet > navy 80%"
    done = run("from-picture", sketch, "--out", tmp_path / "plan", "--where", words)
    assert done.exit_code == 0, done.output
    pots = [step.paints[0].pot for step in read_design(tmp_path / "plan").steps if isinstance(step, DyeBath)]
    assert pots == ["golden yellow 50%", "scarlet", "navy 80%"]
    done = run("from-picture", sketch, "--out", tmp_path / "again", "--where", tmp_path / "plan")
    assert done.exit_code == 0, done.output
    first, again = read_design(tmp_path / "plan"), read_design(tmp_path / "again")
    assert (again.dyes, again.pots, again.steps) == (first.dyes, first.pots, first.steps)


@pytest.mark.full
def test_a_book_of_ones_own_comes_along(sketch, tmp_path):
    book = tmp_path / "mine.toml"
    book.write_text(
        'format = 1\ntitle = "Mine"\n'
        + "".join(
            f'[[dye]]\nname = "{name}"\ncolour = "{colour}"\n'
            for name, colour in (("sun", "#f0d92e"), ("brick", "#a23a20"), ("night", "#20284a"), ("unused", "#ffe0f0"))
        )
    )
    done = run("from-picture", sketch, "--out", tmp_path / "plan", "--book", book, "--steps", 3)
    assert done.exit_code == 0, done.output
    names = {dye.name for dye in read_design(tmp_path / "plan").dyes}
    assert names <= {"sun", "brick", "night", "unused"}
    assert (tmp_path / "plan" / "mine.toml").exists()


def test_nothing_is_written_over(sketch, tmp_path):
    (tmp_path / "design.toml").write_text("mine")
    done = run("from-picture", sketch, "--out", tmp_path, "--steps", 1)
    assert done.exit_code == 2
    assert "already exists" in done.output
    assert sorted(path.name for path in tmp_path.iterdir()) == ["design.toml"]
    assert (tmp_path / "design.toml").read_text() == "mine"


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (["--steps", "9"], "steps: out of range (found 9); use a number from 1 to 6"),
        (["--pots", "0"], "pots: out of range (found 0); use a number from 1 to 3"),
        (["--where", "lemmon"], "did you mean 'lemon'"),
        (["--where", "gone.toml"], "there is no such design"),
        (["--book", "gone.toml"], "gone.toml"),
        (["--cloth", "pale"], "needs a colour"),
    ],
)
def test_mistakes_are_told(sketch, tmp_path, words, says):
    done = run("from-picture", sketch, "--out", tmp_path / "plan", *words)
    assert done.exit_code == 2
    assert says in done.output
    assert not (tmp_path / "plan").exists()


@pytest.mark.full
def test_progress_goes_forward(sketch):
    seen = []
    jobs.from_picture(sketch, steps=2, progress=lambda done, whole, what: seen.append((done / whole, what)))
    shares = [share for share, _ in seen]
    assert shares == sorted(shares)
    assert len({what for _, what in seen}) >= 4


def test_a_picture_that_is_none(tmp_path):
    (tmp_path / "note.png").write_text("no picture")
    with pytest.raises(BatikError, match=r"note\.png"):
        jobs.from_picture(tmp_path / "note.png")


def test_a_picture_too_large_to_work_on_is_reduced_and_told(monkeypatch, tmp_path):
    picture = np.full((120, 200, 3), (240, 230, 90), np.uint8)
    picture[:, 100:] = (40, 60, 140)
    Image.fromarray(picture).save(tmp_path / "two halves.png")
    monkeypatch.setattr(pictures, "MOST_PIXELS", 6000)
    made = jobs.from_picture(tmp_path / "two halves.png", steps=2, width_mm=100)
    assert made.original.shape == (60, 100, 3)
    assert {mask.shape for mask in made.masks.values()} == {(60, 100)}
    assert "100 × 60 pixels" in str(made.report.notes[0])


def test_it_has_one_name_everywhere_a_maker_reads():
    """The command, its help, the notes that come with the project and the page all say `from-picture`."""
    said = [run("--help").output, run("from-picture", "--help").output]
    pages = [*ROOT.glob("*.md"), *(ROOT / "batiksim" / "worktable" / "page").glob("*.[jh]*")]
    said += [file.read_text(encoding="utf-8") for file in [*pages, *(ROOT / "batiksim" / "data").glob("*.toml")]]
    assert len(said) > 20
    for text in said:
        assert "separat" not in text.lower()
    assert run("separate", "a.png", "--out", "b").exit_code == 2
    assert "from-picture" in run("--help").output
