"""The page in the language that is spoken: its HTML with every word put in, and the catalogue for its modules."""

import html
import json
import re
from collections.abc import Mapping
from functools import lru_cache
from pathlib import Path
from typing import Any

from starlette.datastructures import Headers
from starlette.requests import cookie_parser
from starlette.types import ASGIApp, Receive, Scope, Send

from batiksim.texts.catalogue import ENGLISH, languages, speaking, spoken, texts

COOKIE = "batiksim-language"  # what the maker has chosen
HEADER = "x-worktable-language"  # of the page that asks: another page may have chosen another one since
TABLE = "page"
PAGE = Path(__file__).resolve().parent / "page"
_FIELD = re.compile(r"\{([\w.]+)\}")


class InLanguage:
    """ASGI middleware: every request is worked in the language of the page that sends it."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Let a request through."""
        with speaking(chosen(Headers(scope=scope)) if scope["type"] == "http" else spoken()):
            await self.app(scope, receive, send)


def chosen(headers: Mapping[str, str]) -> str:
    """The language of a request: that its page is in, else that its cookie names, else the one that is spoken.

    English for one that there is no catalogue of.
    """
    named = headers.get(HEADER, cookie_parser(headers.get("cookie", "")).get(COOKIE))
    if named is None:
        return spoken()
    return named if named in languages() else ENGLISH


def page_words() -> dict[str, Any]:
    """What the page's modules need to speak: every text of theirs by key, and how the language counts."""
    speaker = texts()
    return {
        "code": speaker.language,
        "language": speaker.locale.replace("_", "-"),
        "languages": [(code, texts(code)("page.language.own_name")) for code in languages()],
        "plurals": speaker.plurals,
        "texts": {f"{TABLE}.{key}": text for key, text in speaker.forms(TABLE).items()},
    }


@lru_cache(maxsize=8)
def page_html(language: str) -> bytes:
    """The page, in the language that is spoken: it is asked for by that."""
    words = page_words()
    data = json.dumps(words, ensure_ascii=False).replace("<", "\\u003c")  # nothing in it may end the script
    fields: Mapping[str, str] = {"words": data, "language": html.escape(words["language"])}
    speaker = texts(language)
    page = (PAGE / "index.html").read_text(encoding="utf-8")
    return _FIELD.sub(lambda field: fields.get(field[1]) or html.escape(speaker(field[1])), page).encode()
