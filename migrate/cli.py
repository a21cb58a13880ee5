"""The command line: `rehilt` and its commands, each loaded from its own module when it is called."""

from __future__ import annotations

import io
import sys
from importlib import import_module

import click

from migrate import __version__

# the module of each command; a start loads none of the others
_MODULES = {
    "compare": "migrate.show_commands",
    "demo": "migrate.show_commands",
    "desk": "migrate.show_commands",
    "haul": "migrate.archive.command",
    "move": "migrate.move_command",
    "packs": "migrate.packs_command",
    "show": "migrate.show_commands",
    "spot": "migrate.spot_command",
    "why": "migrate.spot_command",
}


class _Commands(click.Group):
    """A group whose commands are found by name in the modules above."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """All commands, in the order of the alphabet."""
        return sorted(_MODULES)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """The command of that name; None where there is none."""
        if cmd_name in _MODULES:
            return _loaded(cmd_name)
        self.commands = {name: _loaded(name) for name in _MODULES}  # click looks there for a name that is near
        return None


def _loaded(name: str) -> click.Command:
    command: click.Command = getattr(import_module(_MODULES[name]), name)
    return command


@click.group(cls=_Commands, context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100})
@click.version_option(__version__, prog_name="rehilt")
def main() -> None:
    """Carries blade styles from one firmware generation to another, and proves the look.

    Exit status: 0 all is the same or close, 1 something changed or was kept in its old form, 2 refused or wrong use.
    """
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):  # a terminal that lacks a letter shows `?` instead of a traceback
            stream.reconfigure(errors="replace")


if __name__ == "__main__":
    main()
