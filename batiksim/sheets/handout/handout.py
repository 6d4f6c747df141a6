"""The handout for a class as a PDF: cover, steps, overdye chart, amounts, timetable, words; long or on one page."""

from collections.abc import Sequence

from batiksim.sheets.charts.overdye import chart_plaid, cross
from batiksim.sheets.drawing import picture_bytes
from batiksim.sheets.handout.lesson import SECTIONS, HandoutOptions, Lesson
from batiksim.sheets.handout.pictures import cloth_jpeg
from batiksim.sheets.handout.pictures_store import Data, HandoutPictures, colours, map_data, marks
from batiksim.sheets.handout.tables import amounts_data, chart_data, glossary_data, timetable_data
from batiksim.sheets.handout.words import StepWords, finish_words, step_sayings
from batiksim.sheets.plates.weave import plaid_picture
from batiksim.sheets.typesetting import typeset
from batiksim.texts.catalogue import say, texts
from batiksim.texts.phrases import capital
from batiksim.values.papers import TYPST_PAPERS
from batiksim.values.plain_data import plain_data
from batiksim.workplan.cautions import DEFER, Caution, cautions_for

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
    finish = finish_words(lesson)
    told: set[str] = set()
    works = [_work_data(pictures, number, one, told) for number, one in enumerate(step_sayings(lesson), start=1)]
    works += [] if finish is None else [_work_data(pictures, pictures.last, finish, told)]
    parts: Data = {
        "cover": _cover_data(pictures),
        "steps": works,
        "chart": None if options.one_page else _chart(pictures),
        "amounts": _amounts(pictures, told),
        "timetable": timetable_data(lesson),
        "glossary": glossary_data(lesson),
    }
    return {
        "paper": TYPST_PAPERS[options.paper],
        "title": design.title,
        "subject": tell("handout.subject", title=design.title),
        "size": str(size),
        "by": tell("handout.by", maker=design.maker) if design.maker else "",
        "author": design.maker,
        "note": design.note,
        "learner": options.learner,
        "defer": str(DEFER),
        "words": {key: text for key, text in tell.under("handout").items() if "." not in key},
        **{name: parts[name] if name in (options.sections or SECTIONS) else None for name in SECTIONS},
    }


def _cover_data(pictures: HandoutPictures) -> Data:
    lesson, tell, last = pictures.lesson, texts(), pictures.last
    strip = [
        pictures.plates[place] | {"number": stage.emit.step, "marks": marks(pictures, place)}
        for place, stage in enumerate(lesson.stages[:-1])
    ]
    return {
        "finished": pictures.plates[last],
        "heading": tell("handout.finished_blank" if pictures.options.learner else "handout.finished"),
        "strip": strip if lesson.design.steps else [],
        "colours_title": tell("handout.colours_blank" if pictures.options.learner else "handout.colours_finished"),
        "colours": colours(pictures, last),
    }


def _work_data(pictures: HandoutPictures, place: int, words: StepWords, told: set[str]) -> Data:
    """A step, or what is to do after the last. place : of the plate that it makes, the step's number."""
    finish = place == pictures.last
    return {
        "number": "" if finish else texts()("handout.step.name", number=place),
        **plain_data(words),
        "marks": marks(pictures, place),
        "plate": pictures.plates[place],
        "map": None if finish else map_data(pictures, place),
        "colours": colours(pictures, place),
        **_cautions(words.cautions, told),
    }


def _cautions(cautions: Sequence[Caution], told: set[str]) -> Data:
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
    return amounts_data(pictures.lesson) | _cautions(cautions_for(*kinds), told)


def _chart(pictures: HandoutPictures) -> Data | None:
    data, chart = chart_data(pictures.lesson), pictures.lesson.chart
    if data is None or chart is None:
        return None
    pitch = round(max(40, min(210, 1300 / len(chart.dyes))))
    plaid = chart_plaid(chart, pitch=pitch, hem=max(18, round(pitch * 0.36)), fringe=max(12, round(pitch * 0.16)))
    picture = plaid_picture(plaid)
    return data | {
        "picture": pictures.keep("chart.jpg", cloth_jpeg(picture)),
        "cross": pictures.keep("cross.png", picture_bytes(cross(96), "PNG")),
        "wide": picture.width,
        "high": picture.height,
        "start": plaid.hem + plaid.fringe,
        "pitch": plaid.pitch,
        "band": plaid.band,
    }
