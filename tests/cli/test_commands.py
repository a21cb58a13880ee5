"""The commands of `rehilt`: all there, each loaded when it is called and not before."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import click
import pytest
from click.testing import CliRunner

from migrate.cli import main

ROOT = Path(__file__).resolve().parents[2]
COMMANDS = ("compare", "demo", "desk", "haul", "move", "packs", "show", "spot", "why")


def test_the_help_lists_every_command_with_its_line() -> None:
    shown = CliRunner().invoke(main, ["--help"]).output
    listed = [line.split(maxsplit=1) for line in shown[shown.index("Commands:") :].splitlines()[1:]]
    assert [words[0] for words in listed if words[0] in COMMANDS] == list(COMMANDS)
    assert all(len(words) == 2 for words in listed if words[0] in COMMANDS)


@pytest.mark.parametrize("name", COMMANDS)
def test_a_command_goes_by_its_own_name(name: str) -> None:
    command = main.get_command(click.Context(main), name)
    assert command is not None and command.name == name
    assert CliRunner().invoke(main, [name, "--help"]).exit_code == 0


def test_of_a_name_that_is_none_the_nearest_is_told() -> None:
    done = CliRunner().invoke(main, ["mvoe"])
    assert done.exit_code == 2 and "No such command 'mvoe'. Did you mean 'move'?" in done.output


def test_a_start_loads_no_command() -> None:
    script = (
        "import sys\nfrom migrate.cli import main\ntry: main(['--version'])\nexcept SystemExit: pass\n"
        "print(sorted(name for name in sys.modules if name.startswith('migrate')))"
    )
    done = subprocess.run([sys.executable, "-c", script], cwd=ROOT, capture_output=True, text=True, check=True)
    assert done.stdout.splitlines()[-1] == "['migrate', 'migrate.cli']"
