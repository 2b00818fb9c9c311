"""What the commands load, loaded once for all of them (``commands.typed``); nothing is done with it here."""

from importlib import import_module

from cagewright.cli.app import COMMANDS

for module in sorted({module for module, _, _ in COMMANDS.values()}):
    import_module(f"cagewright.cli.{module}")
