"""What helps with the commands themselves: shell completion, man pages from the same text as --help, and the doctor."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from stemwright.cli.console import show, show_json, table
from stemwright.cli.options import json_option

if TYPE_CHECKING:
    from collections.abc import Iterator

FILES = {"bash": "~/.bashrc", "zsh": "~/.zshrc", "fish": "~/.config/fish/completions/stemwright.fish"}
SECTION = 1


@click.command()
@click.argument("shell", type=click.Choice(list(FILES)))
@click.pass_context
def completion(context: click.Context, shell: str) -> int:
    """Print what makes a shell complete commands, options and folders.

    \b
    bash   stemwright completion bash >> ~/.bashrc
    zsh    stemwright completion zsh >> ~/.zshrc
    fish   stemwright completion fish > ~/.config/fish/completions/stemwright.fish
    """  # noqa: D301 - the \b is click's mark for "do not rewrap"
    from click.shell_completion import get_completion_class  # noqa: PLC0415 - only for this

    root = context.find_root()
    kind = get_completion_class(shell)
    assert kind is not None  # noqa: S101 - the choice has no other
    # Our name, whatever the program is started as: the shell looks for that.
    click.echo(kind(root.command, {}, "stemwright", "_STEMWRIGHT_COMPLETE").source())
    return 0


@click.command()
@click.option(
    "--to", type=click.Path(path_type=Path, file_okay=False), metavar="DIR",
    help="Write a page for each command into DIR/man1; ~/.local/share/man is where man looks.",
)  # fmt: skip
@click.pass_context
def manual(context: click.Context, to: Path | None) -> int:
    """Write the manual as man pages, from the same text as --help; without --to, print the names of the pages."""
    pages = dict(pages_of(context.find_root().command))
    if to is None:
        for name in pages:
            show(name)
        return 0
    folder = to.expanduser() / f"man{SECTION}"
    folder.mkdir(parents=True, exist_ok=True)
    for name, text in pages.items():
        (folder / name).write_text(text, encoding="utf-8")
    show(f"{len(pages)} pages in {folder}; read one with: man {folder / next(iter(pages))}")
    return 0


def pages_of(
    command: click.Command, parent: click.Context | None = None, name: str = "stemwright"
) -> Iterator[tuple[str, str]]:
    """Yield the file name and the text of the page of a command and of all below it."""
    context = click.Context(command, info_name=name, parent=parent)
    yield f"{context.command_path.replace(' ', '-')}.{SECTION}", page_of(context)
    if isinstance(command, click.Group):
        for each in command.list_commands(context):
            below = command.get_command(context, each)
            if below is not None:
                yield from pages_of(below, context, each)


def page_of(context: click.Context) -> str:
    """Return the man page of a command, in the language of man(7)."""
    command = context.command
    title = context.command_path.replace(" ", "-")
    pieces = command.collect_usage_pieces(context)
    lines = [
        f'.TH "{title.upper()}" "{SECTION}" "" "stemwright {_version()}" "stemwright"',
        ".SH NAME",
        f"{_text(title)} \\- {_text(command.get_short_help_str(limit=300).rstrip('.'))}",
        ".SH SYNOPSIS",
        f".B {_text(context.command_path)}",
        _text(" ".join(pieces)),
        ".SH DESCRIPTION",
        *_paragraphs(command.help or ""),
    ]
    options = [record for parameter in command.get_params(context) if (record := parameter.get_help_record(context))]
    if options:
        lines.append(".SH OPTIONS")
        for option, text in options:
            lines += [".TP", f"\\fB{_text(option)}\\fR", _text(" ".join(text.split()))]
    if isinstance(command, click.Group):
        lines.append(".SH COMMANDS")
        for each in command.list_commands(context):
            below = command.get_command(context, each)
            if below is not None:
                lines += [
                    ".TP",
                    f"\\fB{_text(f'{title}-{each}')}\\fR({SECTION})",
                    _text(below.get_short_help_str(limit=300)),
                ]
    return "\n".join(lines) + "\n"


def _paragraphs(text: str) -> Iterator[str]:
    for number, paragraph in enumerate(text.split("\n\n")):
        lines = paragraph.strip("\n").split("\n")
        if lines[0].strip() == "\b":  # click's mark for "do not rewrap"
            yield from (".PP", ".nf", *map(_text, lines[1:]), ".fi")
        else:
            yield from ([".PP"] if number else [])
            yield _text(" ".join(line.strip() for line in lines))


def _text(text: str) -> str:
    """Escape what man takes for its own: backslashes, hyphens that are minus signs, a dot or quote at a line's start."""
    escaped = text.replace("\\", "\\e").replace("-", "\\-")
    return f"\\&{escaped}" if escaped.startswith((".", "'")) else escaped


def _version() -> str:
    from stemwright import __version__  # noqa: PLC0415 - only for this

    return __version__


@click.command()
@click.argument("folder", type=click.Path(path_type=Path, exists=True, file_okay=False), default=Path(), metavar="[DIR]")
@json_option
def doctor(folder: Path, *, as_json: bool) -> int:
    """Look at what this machine has: versions, kernels, house recipes, disk; what is missing and how to get it.

    DIR is where songs are, the current folder by default. Exit code 1 if something that is needed is missing.
    """
    from stemwright.doctor import examine  # noqa: PLC0415 - it loads what it looks at

    parts = examine(folder)
    if as_json:
        show_json([part.as_json() for part in parts])
    else:
        table(
            ["", "found", "", "do"],
            [[part.name, part.found, "" if part.state == "good" else part.state, part.do] for part in parts],
        )
        missing = sum(part.state == "missing" for part in parts)
        show(f"{missing} things are missing; see what to do." if missing else "All that is needed is there.")
    return int(any(part.state == "missing" for part in parts))
