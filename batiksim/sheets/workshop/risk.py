"""The risk sheet for a class: what can hurt, whom, precautions, what to do if; for the tutor to complete."""

from typing import Any

from batiksim.sheets.typesetting import typeset
from batiksim.texts.catalogue import say, texts
from batiksim.texts.phrases import capital
from batiksim.values.papers import TYPST_PAPERS
from batiksim.workplan.cautions import CAUTIONS, DEFER, cautions_for
from batiksim.workplan.measures import amount_words
from batiksim.workplan.values import Workshop

# Hazards of the room that belong to no kind of work, told in the catalogue alone. Common practice, no source.
_ROOM = ("electric", "slips")
_CHECKS = {
    "wax": {"wax"},
    "fire": {"wax"},
    "air": {"wax", "discharge"},
    "water": {"wax", "dye", "discharge"},
    "electric": {"wax"},
    "gloves": {"dye", "discharge"},
    "powder": {"dye"},
    "bleach": {"discharge"},
    "labels": {"wax", "dye", "discharge"},
    "food": {"wax", "dye", "discharge"},
    "people": {"wax", "dye", "discharge"},
    "waste": {"wax", "dye"},
}


def risk_keys(workshop: Workshop) -> tuple[str, ...]:
    """The hazards of a class, keys of `CAUTIONS`, in the order of its work."""
    kinds = ["powders", "soak" if workshop.presoak else "fixative", "dye", "wash"] if workshop.pots else []
    kinds += ["wax", "remove_wax"] if workshop.waxes else []
    kinds += ["discharge"] if workshop.bleaches else []
    found = cautions_for(*kinds)
    return tuple(key for key, caution in CAUTIONS.items() if caution in found)


def risk_pdf(workshop: Workshop, *, paper: str) -> bytes:
    """The sheet as a tagged PDF, landscape, the same bytes for the same class.

    paper : "a4" or "letter"
    """
    works = _works(workshop)
    work = tuple(say(f"risk.work_{work}") for work in works or ["nothing"])
    tell = texts()
    data = {
        "paper": TYPST_PAPERS[paper],
        "title": tell("risk.title", title=workshop.title),
        "subject": tell("risk.subject", title=workshop.title),
        "what": tell("risk.what", count=workshop.request.makers, work=work),
        "defer": str(DEFER),
        "complete": tell("risk.complete"),
        "pregnant": tell("risk.pregnant") if works else "",
        "fields": list(tell.lines("risk.fields")),
        "heads": list(tell.lines("risk.heads")),
        "levels": list(tell.lines("risk.levels")),
        "added": tell("risk.added"),
        "before": tell("risk.before"),
        "checks": [tell(f"risk.check.{key}") for key, kinds in _CHECKS.items() if kinds & set(works)],
        "sign": list(tell.lines("risk.sign")),
        "rows": [_row(workshop, key) for key in risk_keys(workshop)] + [_room(key) for key in _ROOM],
    }
    return typeset("risk.typ", data, {})


def _works(workshop: Workshop) -> list[str]:
    found = {"wax": workshop.waxes, "dye": workshop.pots, "discharge": workshop.bleaches}
    return [work for work, there in found.items() if there]


def _row(workshop: Workshop, key: str) -> dict[str, Any]:
    caution = CAUTIONS[key]
    words = {part: texts()(f"risk.{key}.{part}") for part in ("harm", "who", "act")}
    return words | {"title": capital(caution.title), "text": str(caution.text), "used": _used(workshop, key)}


def _room(key: str) -> dict[str, Any]:
    return {part: texts()(f"risk.{key}.{part}") for part in ("title", "harm", "who", "text", "act")} | {"used": ""}


def _used(workshop: Workshop, key: str) -> str:
    """How much of it is in the room; "" where that can't be said."""
    metric, tell = workshop.mixes[0], texts()
    if key == "wax":
        grams = sum(use.beeswax_g + use.paraffin_g for use in workshop.waxes) + sum(workshop.pot_fill_g)
        return tell("risk.used_wax", count=workshop.wax_pots, grams=amount_words(grams, "weight"))
    if key == "powder":
        grams = sum(stock.powder_g for stock in metric.stocks)
        return tell("risk.used_powder", grams=amount_words(grams, "weight"))
    if key == "soda":
        grams = sum(water.soda_g for water in metric.waters)
        grams += workshop.presoak.soda_g if workshop.presoak else 0.0
        return tell("risk.used_soda", grams=amount_words(grams, "weight"))
    if key == "bleach":
        ml = sum(bleach.ml for bleach in workshop.bleaches)
        return tell("risk.used_bleach", ml=amount_words(ml, "volume"))
    return ""
