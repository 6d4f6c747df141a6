"""What is wrong with an option is told under the name that was used: the argument's in Python, the option's on the
command line."""

from __future__ import annotations

import re
import shutil
from pathlib import Path

import numpy as np
import pytest
from babel.messages.pofile import read_po
from click.testing import CliRunner
from PIL import Image

from batiksim import jobs
from batiksim.cli import main
from batiksim.errors import BatikError, in_file
from batiksim.files.starter import new_design
from batiksim.texts.catalogue import LOCALE, languages, say, spelled_by

ROOM = Path(jobs.__file__).resolve().parents[1]
BOOK = 'format = 1\ntitle = "Mine"\n'
CORNERS = ((0.0, 0.0), (0.0, 9.0), (9.0, 9.0), (9.0, 0.0))  # the wrong way round
GIVEN = " ".join(f"{x:g},{y:g}" for x, y in CORNERS)


def plan(**asked):
    return jobs.from_picture("pic.png", **asked)


def class_of(**asked):
    return jobs.workshop("cloth", **asked)


def pages(**asked):
    return jobs.handout("cloth", "o.pdf", **asked)


# The argument, the maker's spelling, and one mistake in it: in Python, and as a command.
WRONG = (
    ("only", "--only", lambda: jobs.check("cloth", only=("nothing",)), "check cloth --only nothing"),
    ("skip", "--skip", lambda: jobs.check("cloth", skip=("nothing",)), "check cloth --skip nothing"),
    ("out", "--out", lambda: jobs.check("cloth").save("a.gif"), "check cloth --out a.gif"),
    ("step", "--step", lambda: jobs.save_preview("cloth", "o", step=99), "preview cloth --out o --step 99"),
    (
        "width_px",
        "--width",
        lambda: jobs.stages("cloth", "o.gif", animate=True, width_px=5),
        "stages cloth --animate --out o.gif --width 5",
    ),
    ("out", "--out", lambda: jobs.stages("cloth", "o.gif"), "stages cloth --out o.gif"),
    ("out", "--out", lambda: jobs.handout("cloth", "o.txt"), "handout cloth --out o.txt"),
    ("sections", "--sections", lambda: pages(sections=("steeps",)), "handout cloth --sections steeps"),
    ("only", "--only", lambda: jobs.overdye("demo", only=["navvy"]), "overdye demo --only navvy --out o.png"),
    ("use_pots", "--pots", lambda: jobs.overdye("demo", use_pots=True), "overdye demo --pots --out o.png"),
    ("strength", "--strength", lambda: jobs.overdye("demo", strength=9), "overdye demo --strength 9 --json"),
    ("under", "--under", lambda: jobs.overdye("demo", under=9), "overdye demo --under 9 --json"),
    ("cloth", "--cloth", lambda: jobs.overdye("demo", cloth="cream"), "overdye demo --cloth cream --json"),
    ("cloth", "--cloth", lambda: jobs.overdye("cloth", cloth="cream"), "overdye cloth --cloth cream --json"),
    ("dyes", "DESIGN-or-BOOK", lambda: jobs.overdye("none.toml"), "overdye none.toml --json"),
    (
        "out",
        "--out",
        lambda: jobs.overdye("cloth").save("cloth/outlines.png"),
        "overdye cloth --out cloth/outlines.png",
    ),
    (
        "light",
        "--light",
        lambda: jobs.chart("ladders", "demo", light="A", measured="swatches.csv"),
        "chart ladders demo --light A --table swatches.csv --json",
    ),
    ("source", "DESIGN-or-BOOK", lambda: jobs.chart("colours", "demo"), "chart colours demo --json"),
    (
        "strength",
        "--strength",
        lambda: jobs.chart("spectra", "demo", strength=0),
        "chart spectra demo --strength 0 --json",
    ),
    ("recipe", "RECIPE", lambda: jobs.pot("lemn=5"), "pot lemn=5"),
    ("recipe", "RECIPE", lambda: jobs.pot("lemon=-1"), "pot lemon=-1"),
    ("strength", "--strength", lambda: jobs.pot("lemon", strength=9), "pot lemon --strength 9"),
    ("ml", "--ml", lambda: jobs.pot("lemon", ml=2e6), "pot lemon --ml 2000000"),
    ("cloth", "--cloth", lambda: jobs.pot("lemon", cloth="cream"), "pot lemon --cloth cream"),
    ("colour", "COLOUR", lambda: jobs.match("zzz"), "match zzz"),
    ("colour", "COLOUR", lambda: jobs.match("lemn=2,navy"), "match lemn=2,navy"),
    ("ground", "--ground", lambda: jobs.match("moss", ground="lemn=2,navy"), "match moss --ground lemn=2,navy"),
    ("ground", "--ground", lambda: jobs.match("moss", ground="#zz"), "match moss --ground #zz"),
    ("most_dyes", "--dyes", lambda: jobs.match("moss", most_dyes=7), "match moss --dyes 7"),
    ("most_parts", "--parts", lambda: jobs.match("moss", most_parts=70), "match moss --parts 70"),
    ("cloth", "--cloth", lambda: jobs.match("#c05f7a", cloth="cream"), "match #c05f7a --cloth cream"),
    ("dyes", "--book", lambda: jobs.match("#c05f7a", dyes="none.toml"), "match #c05f7a --book none.toml"),
    ("card", "--card", lambda: jobs.strip("demo", "o", card=7), "strip demo --out o --card 7"),
    ("only", "--only", lambda: jobs.strip("demo", "o", only=["navvy"]), "strip demo --out o --only navvy"),
    ("cloth", "--cloth", lambda: jobs.strip("demo", "o", cloth="cream"), "strip demo --out o --cloth cream"),
    ("book", "--book", lambda: jobs.calibrate("b", table="swatches.csv"), "calibrate --table swatches.csv --book b"),
    ("strip", "--strip", lambda: jobs.calibrate("b.toml", picture="pic.png"), "calibrate pic.png --book b.toml"),
    (
        "corners",
        "--corners",
        lambda: jobs.calibrate("b.toml", picture="pic.png", strip="strip.toml", corners=CORNERS),
        ["calibrate", "pic.png", "--book", "b.toml", "--strip", "strip.toml", "--corners", GIVEN],
    ),
    (
        "corners",
        "--corners",
        lambda: jobs.compare("cloth", "pic.png", corners=CORNERS),
        ["compare", "cloth", "pic.png", "--out", "o", "--corners", GIVEN],
    ),
    ("choose", "--choose", lambda: jobs.orders("cloth", choose=(3, 2)), "orders cloth --choose 3-2"),
    ("choose", "--choose", lambda: jobs.orders("cloth", choose=(9, 9)), "orders cloth --choose 9"),
    ("derive", "--masks", lambda: jobs.orders("stripped.toml", derive=True), "orders stripped.toml --masks derive"),
    ("book", "--book", lambda: jobs.orders("cloth", book="none.toml"), "orders cloth --book none.toml"),
    ("rank", "--rank", lambda: jobs.orders("cloth").write("o", rank=99), "orders cloth --write o --rank 99"),
    ("steps", "--steps", lambda: plan(steps=9), "from-picture pic.png --out o --steps 9"),
    ("width_mm", "--width", lambda: plan(width_mm=-3), "from-picture pic.png --out o --width -3"),
    ("line_mm", "--line", lambda: plan(line_mm=90), "from-picture pic.png --out o --line 90"),
    ("where", "--where", lambda: plan(where="navvy"), "from-picture pic.png --out o --where navvy"),
    ("cloth", "--cloth", lambda: plan(cloth="cream"), "from-picture pic.png --out o --cloth cream"),
    (
        "cloth",
        "--cloth",
        lambda: plan(dyes="cloth", cloth="cream"),
        "from-picture pic.png --out o --book cloth --cloth cream",
    ),
    ("dyes", "--book", lambda: plan(dyes="none.toml"), "from-picture pic.png --out o --book none.toml"),
    ("title", "--title", lambda: plan(title="t" * 500), f"from-picture pic.png --out o --title {'t' * 500}"),
    ("makers", "--makers", lambda: class_of(makers=0), "workshop cloth --makers 0"),
    ("room_c", "--room", lambda: class_of(room_c=60), "workshop cloth --room 60"),
    ("sessions", "--sessions", lambda: class_of(sessions="long"), "workshop cloth --sessions long"),
    ("waste", "--waste", lambda: class_of(waste=7), "workshop cloth --waste 7"),
)


@pytest.fixture(scope="module")
def made(tmp_path_factory):
    desk = tmp_path_factory.mktemp("desk")
    new_design(desk / "cloth")
    for picture in (desk / "cloth").glob("*.png"):
        shutil.copy(picture, desk)
    text = (desk / "cloth" / "design.toml").read_text(encoding="utf-8")
    dyes = [line for line in text.splitlines() if line.startswith("dye = ")]
    (desk / "stripped.toml").write_text(
        f"{text}\n[[step]]\nremove_wax = true\n\n[[step]]\n{dyes[0]}\n", encoding="utf-8"
    )
    Image.fromarray(np.random.default_rng(1).integers(0, 255, (60, 80, 3), np.uint8)).save(desk / "pic.png")
    (desk / "none.toml").write_text(BOOK, encoding="utf-8")
    (desk / "swatches.csv").write_text("dyes,hex\nundyed,#f4efe2\nlemon 1,#e0d040\n", encoding="utf-8")
    jobs.strip("demo", desk / "strips", only=["navy"])
    shutil.copy(desk / "strips" / "strip.toml", desk)
    return desk


@pytest.fixture
def desk(made, monkeypatch):
    monkeypatch.chdir(made)
    return made


def told(line):
    """The one message of a command that must refuse."""
    words = line.split() if isinstance(line, str) else line
    done = CliRunner(catch_exceptions=False).invoke(main, words, prog_name="batiksim")
    assert (done.exit_code, done.stdout) == (2, "")
    (message,) = done.stderr.splitlines()
    return message


@pytest.mark.parametrize(("name", "option", "python", "line"), WRONG, ids=[str(one[3])[:60] for one in WRONG])
def test_an_error_names_the_argument_or_its_option(desk, name, option, python, line):
    with pytest.raises(BatikError) as caught:
        python()
    error = caught.value
    assert (error.field, error.file) == (name, None)
    assert "--" not in str(error)
    message = told(line)
    assert message.startswith(f"batiksim: {option}: ")
    rest = str(error).partition(": ")[2]
    assert message.partition(": ")[2].partition(": ")[2].split(";")[0] == rest.split(";")[0]


def test_advice_names_the_argument_or_its_option(desk):
    for python, line, names, options in (
        (lambda: jobs.stages("cloth", "o.gif"), "stages cloth --out o.gif", ["animate"], ["--animate"]),
        (lambda: jobs.overdye("demo", use_pots=True), "overdye demo --pots --json", ["use_pots"], ["--pots"]),
        (
            lambda: jobs.calibrate("b.toml"),
            "calibrate --book b.toml",
            ["picture", "strip", "table"],
            ["PHOTO", "--strip", "--table"],
        ),
        (lambda: jobs.compare("cloth", "pic.png"), "compare cloth pic.png --out o", ["corners"], ["--corners"]),
        (lambda: jobs.overdye("many.toml"), "overdye many.toml --json", ["only"], ["--only"]),
    ):
        if "many" in line:
            dyes = (f'[[dye]]\nname = "d{n}"\ncolour = "#{n:02x}a0{n:02x}"\n' for n in range(80))
            Path("many.toml").write_text(BOOK + "".join(dyes), encoding="utf-8")
        with pytest.raises(BatikError) as caught:
            python()
        advice = str(caught.value.fix)
        assert "--" not in str(caught.value)
        assert all(name in advice for name in names)
        message = told(line)
        assert all(option in message for option in options)


def test_a_setting_of_a_file_keeps_its_name(desk):
    """`title` is an option of from-picture, and what stands in a design's file under that name is none."""
    Path("untitled").mkdir(exist_ok=True)
    text = Path("cloth/design.toml").read_text(encoding="utf-8")
    Path("untitled/design.toml").write_text(text.replace("title = ", "title = 7 # "), encoding="utf-8")
    message = told("from-picture pic.png --out o --book untitled")
    assert message.startswith(f"batiksim: {Path('untitled/design.toml')}: title: ")


def test_an_error_of_an_argument_stands_in_no_file():
    with pytest.raises(BatikError) as caught, in_file("photo.jpg", but=("corners",)):
        raise BatikError("photo.error.corners_reversed", field="corners")
    assert caught.value.file is None
    with pytest.raises(BatikError) as caught, in_file("photo.jpg", but=("corners",)):
        raise BatikError("photo.error.grey_photo", field="photo")
    assert caught.value.file == "photo.jpg"


def test_an_error_is_spelt_anew():
    error = BatikError("jobs.error.animate", field="out", got="o.gif")
    assert str(error.spelt({"out": "--out"}.get)).startswith("--out: 'o.gif'")
    with spelled_by(lambda name: f"--{name}"):
        assert "--animate" in str(error)
    assert "animate=..." in str(error)
    placed = BatikError("settings.error.missing", file="a.toml", field="out", fix=say("error.no_choices"))
    assert placed.spelt({"out": "--out"}.get).field == "out"


def test_no_room_below_the_command_line_spells_an_option():
    """No error's field, nor any sentence outside the command's own and what is printed for makers, has an option."""
    below = [path for path in ROOM.rglob("*.py") if "cli" not in path.relative_to(ROOM).parts]
    assert [path for path in below if re.search(r'field=f?"--', path.read_text(encoding="utf-8"))] == []
    for code in languages():
        with (LOCALE / f"{code}.po").open("rb") as file:
            sentences = {str(message.id): str(message.string) for message in read_po(file) if message.id}
        dashed = {key for key, text in sentences.items() if "--" in text and not key.startswith("cli.")}
        assert {key for key in dashed if ".error." in key or ".note." in key} == set()
