"""The command `batiksim` itself."""

import os
import sys
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from contextvars import Context
from functools import partial
from typing import Any

import click

from batiksim import __version__
from batiksim.cli.exit_codes import ExitCode
from batiksim.cli.report.report import tell, tell_error
from batiksim.cli.words import LANGUAGE, Command, one_of, see_help, spelling, spelling_in
from batiksim.errors import BatikError, nearest
from batiksim.texts.catalogue import Message, languages, say, speak, speaking, spelled_by, spoken, texts
from batiksim.texts.letters import hearing

LANGUAGE_VARIABLE = "BATIKSIM_LANGUAGE"
COMPLETE_VARIABLE = "_BATIKSIM_COMPLETE"  # click's own: set by a shell that asks what could come next


class _Group(Command, click.Group):
    """One catcher for every command: the maker's mistakes become one message and exit code 2."""

    def main(self, *args: Any, **settings: Any) -> Any:
        alone = settings.pop("standalone_mode", True)
        words = next(iter(args), settings.get("args"))
        run = partial(super().main, *args, standalone_mode=False, **settings)
        try:
            with _given_language(sys.argv[1:] if words is None else words):
                code = _exit_code(run) if alone else run()
        except BatikError as error:  # no such language
            if not alone:
                raise
            code = _refused(error)
        if not alone:
            return code
        sys.exit(code if isinstance(code, int) else ExitCode.DONE)

    def invoke(self, ctx: click.Context) -> Any:
        with spelled_by(lambda name: str(self._spelling(ctx, name))):
            try:
                with hearing() as left_out:
                    result = super().invoke(ctx)
                    for note in left_out():
                        tell(note, err=True)
                return result
            except BatikError as error:
                ctx.exit(_refused(error.spelt(partial(self._spelling, ctx))))
            except KeyboardInterrupt:
                ctx.exit(_stopped())

    def _spelling(self, ctx: click.Context, name: str) -> str | Message:
        """What the maker calls a parameter of the command that runs, by the name that it has in Python."""
        return spelling_in(self.commands.get(ctx.invoked_subcommand or ""), name)

    def list_commands(self, ctx: click.Context) -> list[str]:
        return list(self.commands)  # in the order of a maker's work

    def collect_usage_pieces(self, ctx: click.Context) -> list[str]:
        return [*super().collect_usage_pieces(ctx), texts()("cli.metavar.command")]

    def format_options(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        super().format_options(ctx, formatter)
        widest = formatter.width - 6 - max(map(len, self.commands))
        with formatter.section(texts()("cli.help.commands")):
            formatter.write_dl([(name, one.get_short_help_str(widest)) for name, one in self.commands.items()])

    def format_epilog(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        with formatter.section(texts()("cli.help.exit_codes")):
            formatter.write_dl([(str(int(code)), str(code.meaning)) for code in ExitCode])


@contextmanager
def _given_language(words: Sequence[str]) -> Iterator[None]:
    """Speak the language that the command line or else the environment names, in all threads, while a command runs.

    Errors in the command line itself are to be in that language too, so it is looked for before they are read.
    """
    before_end = words[: words.index("--")] if "--" in words else words
    given = [following for word, following in zip(before_end, before_end[1:], strict=False) if word == LANGUAGE]
    given += [word.partition("=")[2] for word in before_end if word.startswith(f"{LANGUAGE}=")]
    code = given[-1] if given else os.environ.get(LANGUAGE_VARIABLE)
    if not code or (code not in languages() and COMPLETE_VARIABLE in os.environ):
        yield
        return
    if code not in languages():
        field = LANGUAGE if given else LANGUAGE_VARIABLE
        raise BatikError("error.no_such_language", field=field, got=code, fix=nearest(code, languages()))
    before = Context().run(spoken)  # of the process, whatever this context speaks
    speak(code)
    try:
        with speaking(code):
            yield
    finally:
        speak(before)


def _exit_code(run: Callable[[], Any]) -> Any:
    """What a run of a command ends with, its usage errors told."""
    try:
        return run()
    except click.exceptions.NoArgsIsHelpError as error:
        error.show()
        return ExitCode.BAD_INPUT
    except click.UsageError as error:
        return _refused(_as_batik_error(error))
    except click.Abort:
        return _stopped()


def _refused(error: BatikError) -> int:
    tell_error(error)
    return ExitCode.BAD_INPUT


def _stopped() -> int:
    tell_error(say("cli.stopped"))
    return ExitCode.STOPPED


def _as_batik_error(error: click.UsageError) -> BatikError:
    """What click's parser found wrong, in the words and the shape of all other messages."""
    fix = see_help(error.ctx)
    match error:
        case click.exceptions.NoSuchOption(option_name=name) | click.exceptions.NoSuchCommand(command_name=name):
            kind = "option" if isinstance(error, click.exceptions.NoSuchOption) else "command"
            if error.possibilities:
                fix = say("error.did_you_mean", choice=repr(error.possibilities[0]))
            return BatikError(f"cli.error.no_such_{kind}", got=name, fix=fix)
        case click.MissingParameter(param=click.Parameter() as param):
            fix = one_of(param.type) if isinstance(param.type, click.Choice) else fix
            return BatikError("cli.error.missing", what=spelling(param), fix=fix)
        case click.BadOptionUsage(option_name=name, ctx=click.Context(command=command)):
            flag = any(name in param.opts and getattr(param, "is_flag", False) for param in command.params)
            return BatikError("cli.error.takes_no_value" if flag else "cli.error.needs_a_value", option=name, fix=fix)
    return BatikError("cli.error.no_command", fix=fix)


@click.group(cls=_Group, context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100})
@click.version_option(__version__, prog_name="batiksim", message="%(prog)s %(version)s")
def main() -> None:
    """All that batiksim does, a command each."""
