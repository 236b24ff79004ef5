"""`gambrel`: the list of commands, each loaded only when it is called so that help comes at once."""

from __future__ import annotations

import importlib

import click

COMMANDS = {
    "backup": "Keep a shop's records and photographs as one file.",
    "breakdown": "Forecast every piece of a side, with its interval.",
    "card": "Print the scale card that lies beside the eye.",
    "demo": "Build the invented shop and do the main job on it.",
    "grade": "Estimate yield and quality grade from the rib face.",
    "grind": "Blend trims to a lean point.",
    "hang": "Weight on the rail day by day, when it is ready, and the cooler log.",
    "plan": "Decide which side is broken when and into what.",
    "price": "Cost every cut, price the list, and say what may be bid.",
    "ribface": "Read the rib face from a photograph.",
    "restore": "Make a shop again out of a backup.",
    "serve": "Run the shop in a browser.",
    "week": "Do the whole job from one file of hanging animals.",
}
"""Every command with its one-line help; the module of the same name holds its `command`."""


class LazyCommands(click.Group):
    """A group that imports a command's module when that command is called, not before."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return sorted(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        if cmd_name not in COMMANDS:
            return None
        command: click.Command = importlib.import_module(f"gambrel.cli.{cmd_name}").command
        return command

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        with formatter.section("Commands"):
            formatter.write_dl(sorted(COMMANDS.items()))


@click.group(cls=LazyCommands, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(package_name="gambrel", message="gambrel %(version)s")
def main() -> None:
    """The workbench of a whole-animal butcher.

    Weights, lengths and areas are typed with their unit: 806lb, 365.6kg, 0.5in, 12.8in2. Every figure is the
    shop's own estimate: only a licensed grader gives an official grade.
    """


if __name__ == "__main__":
    main()
