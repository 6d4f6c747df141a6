"""Sheets, amounts and times in another language than English: the one that is spoken when they are made."""

import io
import shutil

import numpy as np
import pdfplumber
import pikepdf
import pytest
from babel.messages.catalog import Catalog
from babel.messages.mofile import write_mo

from batiksim.sheets.trace.lines import tracing_of
from batiksim.sheets.trace.sheets import large_svg, sheets_pdf
from batiksim.texts import catalogue
from batiksim.texts.phrases import clock, hours_words, minutes_words
from batiksim.values import Cloth, Design, MaskUse, Wax
from batiksim.workplan.measures import measured

SAID = {
    "phrase.hours_range": "{least} sampai {most} jam",
    "phrase.hours_minutes": "{hours} jam {minutes} menit",
    "phrase.clock": "{hours}.{minutes:00}",
    "workshop.amount.ml": "{amount} ml",
    "trace.title": "{design}: yang diberi lilin",
    "trace.row.first": "baris atas",
    "trace.svg": "{design}: {step}",
    "handout.step.titled": "Langkah {number}. {title}",
    "steps.only_wax_named": "Lilin: {name}",
}


@pytest.fixture
def indonesian(monkeypatch, tmp_path):
    """A few Indonesian sentences, English behind them, spoken within the test."""
    made = Catalog(locale="id")
    for key, text in SAID.items():
        made.add(key, text)
    with (tmp_path / "id.mo").open("wb") as file:
        write_mo(file, made)
    shutil.copy(catalogue.LOCALE / "en.mo", tmp_path)
    monkeypatch.setattr(catalogue, "LOCALE", tmp_path)
    cached = (catalogue.languages, catalogue._texts, catalogue._entries)
    for function in cached:
        function.cache_clear()
    with catalogue.speaking("id"):
        yield
    for function in cached:
        function.cache_clear()


def test_times_and_amounts_are_written_as_the_language_does(indonesian):
    assert str(hours_words(1.6, 2.2)) == "1,5 sampai 2 jam"
    assert str(minutes_words(100)) == "1 jam 40 menit"
    assert clock(65) == "1.05"
    assert str(measured(2.5, "volume").text) == "2,6 ml"


def test_a_message_made_before_is_said_in_the_language_spoken_then(indonesian):
    waxed = measured(2.5, "volume").text
    with catalogue.speaking("en"):
        assert str(waxed) == "2.6 ml"
    assert str(waxed) == "2,6 ml"


def test_tracing_sheets_speak_it_and_say_so_to_screen_readers(indonesian):
    use = MaskUse(picture="ring.png")
    mask = np.zeros((480, 660), np.uint8)
    mask[100:300, 100:500] = 255
    tracing = tracing_of(Design(title="Moon", cloth=Cloth(width_mm=660), steps=(Wax(mask=use),)), {use: mask})
    pdf = sheets_pdf(tracing, paper="a4").pdf
    with pikepdf.open(io.BytesIO(pdf)) as read:
        assert str(read.Root.Lang) == "id"
    with pdfplumber.open(io.BytesIO(pdf)) as read:
        words = read.pages[0].extract_text()
    assert all(said in words for said in ("Moon: yang diberi lilin", "Langkah 1. Lilin: ring", "baris atas"))
    assert "How to use the sheets" in words  # what isn't translated yet stays English
    assert "<title>Moon: Langkah 1. Lilin: ring</title>" in large_svg(tracing, tracing.waxings[0])
