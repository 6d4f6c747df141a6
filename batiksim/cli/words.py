"""Commands whose words come from the catalogue, looked up when they are shown.

`cli.<command>.short` and `.help` say what a command does, `cli.option.<option>` what an option does, unless the command
has its own text for it (`cli.<command>.option.<option>`); `cli.metavar.<name>` is what stands for a value.
"""

from __future__ import annotations

import textwrap
from typing import Any

import click
from click.shell_completion import CompletionItem

from batiksim.errors import BatikError
from batiksim.texts.catalogue import Message, languages, say, texts

LANGUAGE = "--language"
_QUIET = "batiksim.quiet"  # in what the contexts of a command share


def quiet() -> bool:
    """Whether the command that runs is to say nothing but errors."""
    running = click.get_current_context(silent=True)
    return running is not None and _QUIET in running.meta


def _languages(_: click.Context, __: click.Parameter, incomplete: str) -> list[str]:
    return [code for code in languages() if code.startswith(incomplete)]


def _hush(ctx: click.Context, _: click.Parameter, asked: bool) -> None:
    if asked:
        ctx.meta[_QUIET] = True


class Command(click.Command):
    """A command that explains itself by the catalogue, and takes the options of every command: --language, --quiet.

    The group has looked for the language before.
    """

    allow_extra_args = True  # so that they come to `parse_args` here

    def __init__(self, *args: Any, **settings: Any) -> None:
        super().__init__(*args, **settings)
        language = click.Option([LANGUAGE], expose_value=False, metavar="language", shell_complete=_languages)
        self.params.append(language)
        self.params.append(click.Option(["--quiet"], is_flag=True, expose_value=False, callback=_hush))

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        """Read the arguments. Raises BatikError for more than the command takes."""
        try:
            extra = super().parse_args(ctx, args)
        except click.UsageError as error:
            error.ctx = error.ctx or ctx
            raise
        if extra and not ctx.resilient_parsing and not isinstance(self, click.Group):
            raise BatikError("cli.error.extra", got=extra[0], fix=see_help(ctx))
        return extra

    def format_usage(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """The line that shows how the command is called."""
        pieces = " ".join(self.collect_usage_pieces(ctx))
        formatter.write_usage(ctx.command_path, pieces, prefix=f"{texts()('cli.help.usage')} ")

    def collect_usage_pieces(self, ctx: click.Context) -> list[str]:
        """What the usage line names: options, then arguments."""
        arguments = [param for param in self.params if isinstance(param, click.Argument)]
        return [f"[{texts()('cli.metavar.options')}]", *(_usage(argument, ctx) for argument in arguments)]

    def format_help_text(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """What the command does."""
        formatter.write_paragraph()
        with formatter.indentation():
            formatter.write_text(texts()(f"cli.{_key(self)}.help", **self.help_parts()))

    def help_parts(self) -> dict[str, Any]:
        """What is put into the words of its help."""
        return {}

    def shell_complete(self, ctx: click.Context, incomplete: str) -> list[CompletionItem]:
        """What could come next where no value is begun; options with what they do."""
        offered = super().shell_complete(ctx, incomplete)
        options = {name: param for param in self.get_params(ctx) for name in param.opts}
        for item in offered:
            if isinstance(option := options.get(item.value), click.Option):
                item.help = self._option_words(option)
        return offered

    def format_options(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """Each option with what it does."""
        options = [param for param in self.get_params(ctx) if isinstance(param, click.Option)]
        with formatter.section(texts()("cli.help.options")):
            formatter.write_dl([(_spelling(option, ctx), self._option_words(option)) for option in options])

    def _option_words(self, option: click.Option) -> str:
        name = max(option.opts, key=len).lstrip("-").replace("-", "_")
        own = f"cli.{_key(self)}.option.{name}"
        words = say(own if texts().has(own) else f"cli.option.{name}")
        if option.required:
            words = say("cli.help.required", words=words)
        if option.show_default:
            words = say("cli.help.default", words=words, default=str(option.default))
        return str(words)

    def get_short_help_str(self, limit: int = 45) -> str:
        """What the command does, for the list of all."""
        return textwrap.shorten(texts()(f"cli.{_key(self)}.short"), max(limit, 45), placeholder=" ...")


def see_help(ctx: click.Context | None) -> Message:
    """Advice to look into the help of the command that is being read."""
    return say("cli.error.see_help", command="batiksim" if ctx is None else ctx.command_path)


def spelling(param: click.Parameter) -> str | Message:
    """A parameter as the maker knows it: "--width", or "DESIGN"."""
    return _metavar(param) if isinstance(param, click.Argument) else param.opts[0]


def spelling_in(command: click.Command | None, name: str) -> str | Message:
    """What the maker calls a parameter of a command, by the name that it has in Python; else that name."""
    found = [param for param in command.params if param.name == name] if command else []
    return spelling(found[0]) if found else name


def _key(command: click.Command) -> str:
    return "batiksim" if isinstance(command, click.Group) else str(command.name).replace("-", "_")


def _metavar(param: click.Parameter) -> Message:
    """What stands for a value: the metavar by its name in the catalogue, else that of an argument or of a type."""
    return say(f"cli.metavar.{param.metavar or (param.name if isinstance(param, click.Argument) else param.type.name)}")


def _usage(argument: click.Argument, ctx: click.Context) -> str:
    if isinstance(argument.type, click.Choice):
        return argument.make_metavar(ctx)
    shown = str(_metavar(argument)) if argument.required else f"[{_metavar(argument)}]"
    return shown if argument.nargs == 1 else f"{shown}..."


def _spelling(option: click.Option, ctx: click.Context) -> str:
    names = ", ".join(option.opts)
    if option.is_flag:
        return names
    return f"{names} {option.make_metavar(ctx) if isinstance(option.type, click.Choice) else _metavar(option)}"


class Choice(click.Choice[str]):
    """One of some words, small and capital letters alike."""

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> str:
        """The word as it is written here. Raises BatikError for any other."""
        known = next((word for word in self.choices if word.casefold() == value.strip().casefold()), None)
        if known is None:
            field = None if param is None else param.name
            raise BatikError("cli.error.no_choice", field=field, got=value, fix=one_of(self))
        return known


def one_of(choice: click.Choice[str]) -> Message:
    """Advice naming all words that can be chosen."""
    return say("error.use_one_of", choices=", ".join(choice.choices))


class Number(click.ParamType[float]):
    """A number of some kind, whole or not. low, high : the least and the most, where there is such a limit."""

    name = "number"

    def __init__(self, kind: type[float], low: int | None = None, high: int | None = None) -> None:
        self.kind = kind
        self.low = low
        self.high = high

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> float:
        """The number. Raises BatikError for anything else."""
        field = None if param is None else param.name
        try:
            number = self.kind(value)
        except ValueError:
            problem = "cli.error.no_whole_number" if self.kind is int else "cli.error.no_number"
            raise BatikError(problem, field=field, got=value, fix=see_help(ctx)) from None
        if self.low is not None and self.high is not None and not self.low <= number <= self.high:
            raise BatikError("cli.error.out_of_range", field=field, got=number, low=self.low, high=self.high)
        return number


NUMBER, WHOLE = Number(float), Number(int)
