"""Sentences by key, in the language that is spoken.

`locale/en.po` holds every sentence under its key ("trace.check_line"), with what is put in between braces ("{mm} mm");
`locale/id.po` holds the same keys in Indonesian. They are gettext catalogues, read compiled (`.mo`), so that any editor
of translations opens them; plurals, numbers and lists follow the rules of Unicode's CLDR by way of Babel.

A value carries a `Message`: the key and what is put in. It becomes a sentence only where it is shown.
"""

import gettext
import string
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Any, NoReturn

LOCALE = Path(__file__).parent / "locale"
ENGLISH = "en"
COUNT = "count"  # the part whose number chooses between singular and plural
_REGIONS = {"en": "en_GB"}  # whose numbers and lists are meant, where a language alone doesn't say


@dataclass(frozen=True)
class Message:
    """A sentence by its key, with what is put in.

    parts : (name, value) in order of their names; a value is a text, a number, a `Message` or a tuple of those

    `str` gives it in the language that is spoken. Two messages are equal when key and parts are.
    """

    key: str
    parts: tuple[tuple[str, Any], ...] = ()

    def __str__(self) -> str:
        return texts().shown(self)

    @property
    def values(self) -> dict[str, Any]:
        """What is put in, by name, as plain data: messages among it become their sentences."""
        return {name: _plain(value) for name, value in self.parts}


def say(key: str, /, **parts: Any) -> Message:
    """The message of a key. A part `count` chooses the plural form."""
    kept = {name: tuple(value) if isinstance(value, list) else value for name, value in parts.items()}
    return Message(key, tuple(sorted(kept.items())))


def _plain(value: Any) -> Any:
    if isinstance(value, Message):
        return str(value)
    return [_plain(part) for part in value] if isinstance(value, tuple) else value


ARGUMENT = "argument"
_SPELLING: ContextVar[Callable[[str], str]] = ContextVar("spelled_by", default="{}=...".format)


@contextmanager
def spelled_by(spelled: Callable[[str], str]) -> Iterator[None]:
    """Spell arguments of jobs in a block as whoever gave them knows them: "only" may be "--only"."""
    token = _SPELLING.set(spelled)
    try:
        yield
    finally:
        _SPELLING.reset(token)


class _Formatter(string.Formatter):
    """Braces in a text.

    {name}; {name:capital} with a large first letter; {name:0.0} with a CLDR number pattern; {argument:only} an argument
    of a job by its name in Python, spelled as whoever gave it knows it (see `spelled_by`).
    """

    def __init__(self, texts: "Texts") -> None:
        self.texts = texts

    def get_value(self, key: int | str, args: Sequence[Any], kwargs: Mapping[str, Any]) -> Any:
        return ARGUMENT if key == ARGUMENT else super().get_value(key, args, kwargs)

    def format_field(self, value: Any, format_spec: str) -> str:
        if value is ARGUMENT:
            return _SPELLING.get()(format_spec)
        if isinstance(value, int | float) and not isinstance(value, bool):
            return self.texts.number(value, format_spec)
        shown = self.texts.listed(value) if isinstance(value, tuple | list) else self.texts.shown(value)
        if format_spec == "capital":
            return capital(shown)
        if format_spec:
            raise ValueError(f"{format_spec!r} is for numbers, and this is a text: {shown!r}")
        return shown


class _NotThere(gettext.NullTranslations):
    """What is asked when no catalogue has a key: a mistake in the code, or a key left out."""

    def gettext(self, message: str) -> NoReturn:
        raise KeyError(message)

    def ngettext(self, msgid1: str, msgid2: str, n: int) -> NoReturn:
        raise KeyError(msgid1)


class Texts:
    """The sentences of one language. language : its code ("id"); translations : its catalogue, English behind it."""

    def __init__(self, language: str, translations: gettext.NullTranslations) -> None:
        self.language = language
        self._translations = translations
        self._formatter = _Formatter(self)

    def __call__(self, key: str, /, **parts: Any) -> str:
        """A sentence with `parts` put in. Raises KeyError for a key or part that isn't there: a mistake in the code."""
        text = self._text(key, parts.get(COUNT))
        return self._formatter.vformat(text, (), parts) if "{" in text or "}" in text else text

    def _text(self, key: str, count: int | None = None) -> str:
        if count is None:
            return self._translations.gettext(key)
        return self._translations.ngettext(key, key, count)

    def has(self, key: str) -> bool:
        """Whether there is a text of that key, without plural."""
        try:
            self._translations.gettext(key)
        except KeyError:
            return False
        return True

    def shows(self, key: str, part: str) -> bool:
        """Whether a part is put into the text of a key, which may have a plural."""
        text = self._text(key) if self.has(key) else self._text(key, 2)
        return part in (name for _, name, _, _ in string.Formatter().parse(text))

    def shown(self, value: object) -> str:
        """A message as its sentence, anything else as Python writes it."""
        return self(value.key, **dict(value.parts)) if isinstance(value, Message) else str(value)

    def lines(self, key: str, **parts: Any) -> tuple[str, ...]:
        """The lines of a text of several."""
        return tuple(self(key, **parts).split("\n"))

    def number(self, value: float, pattern: str = "") -> str:
        """A number as this language writes it. pattern : of CLDR ("0.0"); "" = with no digit more than it has."""
        if isinstance(value, int) and not pattern:
            return str(value)
        from babel.numbers import format_decimal

        return format_decimal(value, format=pattern or "0.############", locale=self.locale)

    def listed(self, words: Sequence[object]) -> str:
        """Words in a row: "a", "a and b", "a, b and c"."""
        shown = [self.shown(word) for word in words]
        if len(shown) < 2:
            return "".join(shown)
        from babel.lists import format_list

        return format_list(shown, locale=self.locale)

    def ordinal(self, number: int) -> str:
        """A number that says a place in a row: "2nd", "13th", "21st"."""
        from babel import Locale

        return self(f"ordinal.{Locale.parse(self.locale).ordinal_form(number)}", number=number)

    def step(self, number: int, title: object) -> str:
        """A step by number and title, as lists name it: "Step 4. Wax 2: leaves"."""
        return self("handout.step.titled", number=number, title=title)

    def under(self, table: str) -> dict[str, str]:
        """All texts of a table that have no plural, by the rest of their key; nothing is put in."""
        return {key: text for key, text in self.forms(table).items() if isinstance(text, str)}

    def forms(self, table: str) -> dict[str, str | tuple[str, ...]]:
        """All texts of a table by the rest of their key, as they are written; of a plural all its forms."""
        start = f"{table}."
        return {key.removeprefix(start): text for key, text in _entries(self.language).items() if key.startswith(start)}

    @property
    def plurals(self) -> tuple[str, ...]:
        """The plural categories of the language, as CLDR names them, in the order of a catalogue's forms."""
        from babel import Locale

        used = {*Locale.parse(self.locale).plural_form.tags, "other"}
        return tuple(category for category in ("zero", "one", "two", "few", "many", "other") if category in used)

    @property
    def locale(self) -> str:
        """The language with the region whose numbers and lists are meant: "en_GB"."""
        return _REGIONS.get(self.language, self.language)


def capital(text: object) -> str:
    """The text with its first letter large."""
    shown = str(text)
    return shown[:1].upper() + shown[1:]


@lru_cache(maxsize=8)
def _entries(language: str) -> Mapping[str, str | tuple[str, ...]]:
    """Every text of a language as it is written, in English where it has none; by key, in the catalogue's order."""
    from babel.messages.mofile import read_mo

    entries: dict[str, str | tuple[str, ...]] = {}
    for code in dict.fromkeys((ENGLISH, language)):
        with (LOCALE / f"{code}.mo").open("rb") as file:
            for message in read_mo(file):
                if isinstance(message.id, str):
                    entries[message.id] = str(message.string)
                else:
                    entries[message.id[0]] = tuple(str(form) for form in message.string or ())
    return entries


@lru_cache(maxsize=1)
def languages() -> tuple[str, ...]:
    """The codes of the languages that there is a catalogue for ("en", "id")."""
    return tuple(sorted(file.stem for file in LOCALE.glob("*.mo")))


def texts(language: str | None = None) -> Texts:
    """The sentences of a language; None = of the one that is spoken. Raises KeyError for one that there is none of."""
    return _texts(language or spoken())


@lru_cache(maxsize=8)
def _texts(language: str) -> Texts:
    if language not in languages():
        raise KeyError(language)
    translations: gettext.NullTranslations = _NotThere()
    for code in dict.fromkeys((ENGLISH, language)):
        with (LOCALE / f"{code}.mo").open("rb") as file:
            read = gettext.GNUTranslations(file)
        read.add_fallback(translations)
        translations = read
    return Texts(language, translations)


_spoken: ContextVar[str | None] = ContextVar("language", default=None)
_everywhere = ENGLISH


def spoken() -> str:
    """The language that sentences are shown in: of this context, else of the whole process."""
    return _spoken.get() or _everywhere


def speak(language: str) -> None:
    """Show sentences of this process in a language from now on."""
    global _everywhere
    _everywhere = texts(language).language


@contextmanager
def speaking(language: str) -> Iterator[None]:
    """Show the sentences of a block in a language. A thread started in it has to be given the context."""
    token = _spoken.set(texts(language).language)
    try:
        yield
    finally:
        _spoken.reset(token)


def message_data(message: Message) -> Mapping[str, Any]:
    """A message for programs: its key and the values put in."""
    return {"key": message.key, "values": message.values}
