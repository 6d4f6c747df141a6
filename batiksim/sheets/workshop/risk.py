"""The risk sheet for a class: what can hurt, whom, precautions, what to do if; for the tutor to complete."""

from typing import Any

from batiksim.sheets.typesetting import typeset
from batiksim.texts.catalogue import Texts
from batiksim.workshop.cautions import CAUTIONS, DEFER, KINDS
from batiksim.workshop.measures import amount_words
from batiksim.workshop.values import Workshop

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
    kinds = ["powders", "soak" if workshop.presoak else "fixative"] if workshop.pots else []
    kinds += ["wax"] if workshop.waxes else []
    kinds += ["dye"] if workshop.pots else []
    kinds += ["discharge"] if workshop.bleaches else []
    kinds += ["remove_wax"] if workshop.waxes else []
    kinds += ["wash"] if workshop.pots else []
    found = dict.fromkeys(key for kind in kinds for key in KINDS[kind])
    return tuple(sorted(found, key=list(CAUTIONS).index))


def risk_pdf(workshop: Workshop, *, texts: Texts, paper: str) -> bytes:
    """The sheet as a tagged PDF, landscape, the same bytes for the same class.

    paper : "a4" or "letter"
    """
    works = _works(workshop)
    words = [texts(f"risk.work_{one}") for one in works] or [texts("risk.work_nothing")]
    work = f" {texts('handout.and')} ".join(part for part in (", ".join(words[:-1]), words[-1]) if part)
    checks = [texts(f"risk.check.{key}") for key, kinds in _CHECKS.items() if kinds & set(works)]
    data = {
        "language": texts.language,
        "paper": {"a4": "a4", "letter": "us-letter"}[paper],
        "title": texts("risk.title", title=workshop.title),
        "subject": texts("risk.subject", title=workshop.title),
        "author": "",
        "by": "",
        "what": texts("risk.what", count=workshop.request.makers, work=work),
        "defer": texts.shown(DEFER),
        "complete": texts("risk.complete"),
        "pregnant": texts("risk.pregnant") if works else "",
        "fields": list(texts.lines("risk.fields")),
        "heads": list(texts.lines("risk.heads")),
        "levels": list(texts.lines("risk.levels")),
        "added": texts("risk.added"),
        "before": texts("risk.before"),
        "checks": checks,
        "sign": list(texts.lines("risk.sign")),
        "words": {"page": texts.under("risk")["page"]},
        "rows": [_row(workshop, key, texts) for key in risk_keys(workshop)] + [_room(key, texts) for key in _ROOM],
    }
    return typeset("risk.typ", data, {})


def _works(workshop: Workshop) -> list[str]:
    found = {"wax": workshop.waxes, "dye": workshop.pots, "discharge": workshop.bleaches}
    return [work for work, there in found.items() if there]


def _row(workshop: Workshop, key: str, texts: Texts) -> dict[str, Any]:
    caution, name = CAUTIONS[key], key.replace(" ", "_")
    return {
        "title": texts.shown(caution.title),
        "used": _used(workshop, key, texts),
        "harm": texts(f"risk.{name}.harm"),
        "who": texts(f"risk.{name}.who"),
        "text": texts.shown(caution.text),
        "act": texts(f"risk.{name}.act"),
    }


def _room(key: str, texts: Texts) -> dict[str, Any]:
    return {part: texts(f"risk.{key}.{part}") for part in ("title", "harm", "who", "text", "act")} | {"used": ""}


def _used(workshop: Workshop, key: str, texts: Texts) -> str:
    """How much of it is in the room; "" where that can't be said."""
    metric = workshop.mixes[0]
    if key == "wax":
        grams = sum(use.beeswax_g + use.paraffin_g for use in workshop.waxes) + sum(workshop.pot_fill_g)
        pots = texts("risk.pots", count=workshop.wax_pots)
        return texts("risk.used_wax", grams=amount_words(grams, "weight"), pots=pots)
    if key == "powder":
        grams = sum(stock.powder_g for stock in metric.stocks)
        return texts("risk.used_powder", grams=amount_words(grams, "weight"))
    if key == "soda":
        grams = sum(water.soda_g for water in metric.waters)
        grams += workshop.presoak.soda_g if workshop.presoak else 0.0
        return texts("risk.used_soda", grams=amount_words(grams, "weight"))
    if key == "bleach":
        ml = sum(one.ml for one in workshop.bleaches)
        return texts("risk.used_bleach", ml=amount_words(ml, "volume"))
    return ""
