"""The handout for a class as a PDF: cover, steps, overdye chart, amounts, timetable, words; long or on one page."""

import io
from collections.abc import Sequence

from batiksim.sheets.charts.overdye import chart_plaid, cross
from batiksim.sheets.colours import QUIET
from batiksim.sheets.handout.lesson import SECTIONS, HandoutOptions, Lesson
from batiksim.sheets.handout.pictures import cloth_jpeg, mark_png
from batiksim.sheets.handout.pictures_store import Data, HandoutPictures, colours, map_data, marks, plate_data
from batiksim.sheets.handout.tables import amounts_data, chart_data, glossary_data, timetable_data
from batiksim.sheets.handout.words import StepWords, finish_words, step_sayings
from batiksim.sheets.plates.weave import plaid_picture
from batiksim.sheets.typesetting import typeset
from batiksim.texts.catalogue import say, texts
from batiksim.texts.phrases import capital
from batiksim.values import Wax
from batiksim.values.plain_data import plain_data
from batiksim.workshop.cautions import DEFER, Caution, cautions_for

PLATE_PX, FINISHED_PX, MAP_PX = 1000, 1800, 800  # widths of what is printed 85, 174 and 50 mm wide


def handout_pdf(lesson: Lesson, options: HandoutOptions) -> bytes:
    """The handout: a tagged PDF whose text can be selected; the same bytes for the same lesson."""
    pictures = HandoutPictures(lesson=lesson, options=options)
    data = _data(pictures)
    template = "handout_page.typ" if options.one_page else "handout.typ"
    return typeset(template, data, pictures.files)


def _data(pictures: HandoutPictures) -> Data:
    lesson = pictures.lesson
    design, options = lesson.design, pictures.options
    tell, areas = texts(), lesson.workshop.areas
    size = say(
        "handout.size", width=areas.width_mm / 10, height=areas.height_mm / 10, grams=round(design.cloth.grams_per_m2)
    )
    if design.steps:
        size = say("handout.size_and_steps", count=len(design.steps), size=size)
    sayings = step_sayings(lesson)
    finish = finish_words(lesson)
    told: set[str] = set()
    blocks = [_step_data(pictures, number, one, told) for number, one in enumerate(sayings, start=1)]
    blocks += [] if finish is None else [_finish_data(pictures, finish, told)]
    parts: Data = {
        "cover": _cover_data(pictures),
        "steps": blocks,
        "chart": None if pictures.options.one_page else _chart(pictures),
        "amounts": _amounts(pictures, told),
        "timetable": timetable_data(lesson),
        "glossary": glossary_data(lesson),
    }
    return {
        "language": tell.language,
        "paper": {"a4": "a4", "letter": "us-letter"}[pictures.options.paper],
        "title": design.title,
        "subject": tell("handout.subject", title=design.title),
        "size": str(size),
        "by": tell("handout.by", maker=design.maker) if design.maker else "",
        "author": design.maker,
        "note": design.note,
        "learner": pictures.options.learner,
        "defer": str(DEFER),
        "words": {key: text for key, text in tell.under("handout").items() if "." not in key},
        **{name: parts[name] if options.prints(name) else None for name in SECTIONS},
    }


def _cover_data(pictures: HandoutPictures) -> Data:
    lesson = pictures.lesson
    design, last = lesson.design, pictures.last
    finished = plate_data(pictures, last)
    strip = []
    for place, stage in enumerate(lesson.stages[:-1]):
        strip.append({
            **plate_data(pictures, place),
            "number": stage.emit.step,
            "marks": marks(pictures, place),
        })  # fmt: skip
    colours_title = texts()("handout.colours_blank" if pictures.options.learner else "handout.colours_finished")
    return {
        "finished": finished,
        "heading": texts()("handout.finished_blank" if pictures.options.learner else "handout.finished"),
        "strip": strip if design.steps else [],
        "colours_title": colours_title,
        "colours": colours(pictures, last),
    }


def _step_data(pictures: HandoutPictures, number: int, words: StepWords, told: set[str]) -> Data:
    return {
        "number": texts()("handout.step.name", number=number),
        **plain_data(words),
        "marks": marks(pictures, number),
        "plate": plate_data(pictures, number),
        "map": map_data(pictures, number),
        "colours": colours(pictures, number),
        **_cautions(pictures, words.cautions, told),
    }


def _finish_data(pictures: HandoutPictures, words: StepWords, told: set[str]) -> Data:
    waxed = any(isinstance(step, Wax) for step in pictures.lesson.design.steps)
    return {
        "number": "",
        **plain_data(words),
        "marks": [pictures.keep("mark-finish.png", mark_png("remove_wax", QUIET))] if waxed else [],
        "plate": plate_data(pictures, pictures.last),
        "map": None,
        "colours": colours(pictures, pictures.last),
        **_cautions(pictures, words.cautions, told),
    }


def _cautions(pictures: HandoutPictures, cautions: Sequence[Caution], told: set[str]) -> Data:
    """Cautions in two even columns, in full when they come up first; later by their titles."""
    fresh = [caution for caution in cautions if caution.key not in told]
    again = tuple(caution.title for caution in cautions if caution.key in told)
    told.update(caution.key for caution in cautions)
    entries = [{"title": capital(caution.title), "text": str(caution.text)} for caution in fresh]
    long = [sum(map(len, entry.values())) + 40 for entry in entries]
    split = min(range(len(long) + 1), key=lambda at: max(sum(long[:at]), sum(long[at:])))
    return {
        "cautions": [column for column in (entries[:split], entries[split:]) if column],
        "again": texts()("handout.take_care_again", cautions=again) if again else "",
    }


def _amounts(pictures: HandoutPictures, told: set[str]) -> Data:
    kinds = ["powders"] if pictures.lesson.workshop.mixes[0].stocks else []
    kinds += ["soak" if pictures.lesson.workshop.presoak else "fixative"] if kinds else []
    cautions = tuple(dict.fromkeys(one for kind in kinds for one in cautions_for(kind)))
    return amounts_data(pictures.lesson) | _cautions(pictures, cautions, told)


def _chart(pictures: HandoutPictures) -> Data | None:
    data, chart = chart_data(pictures.lesson), pictures.lesson.chart
    if data is None or chart is None:
        return None
    pitch = round(max(40, min(210, 1300 / len(chart.dyes))))
    plaid = chart_plaid(chart, pitch=pitch, hem=max(18, round(pitch * 0.36)), fringe=max(12, round(pitch * 0.16)))
    picture = plaid_picture(plaid)
    crossed = io.BytesIO()
    cross(96).save(crossed, "PNG")
    return data | {
        "picture": pictures.keep("chart.jpg", cloth_jpeg(picture)),
        "cross": pictures.keep("cross.png", crossed.getvalue()),
        "wide": picture.width,
        "high": picture.height,
        "start": plaid.hem + plaid.fringe,
        "pitch": plaid.pitch,
        "band": plaid.band,
    }
