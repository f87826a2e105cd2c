"""Lists of all that a job can be made of: `outgas list cores`."""

from collections.abc import Sequence
from typing import Any

import click
import msgspec

from outgas.cli.commands.lists import console, name_table
from outgas.cli.form import JSON_OPTION, PLAIN_UNITS_OPTION, as_json, say
from outgas.cli.helps import HelpfulCommand
from outgas.job.process import process_of, processes
from outgas.tables import catalogue, data
from outgas.tables.gear import Pump
from outgas.tables.materials import Consumable, Core, Reinforcement, Tool

# What can be listed: the kind of record, and its table.
RECORDS: dict[str, tuple[type[Any], str]] = {
    "cores": (Core, "cores.toml"),
    "reinforcements": (Reinforcement, "reinforcements.toml"),
    "tools": (Tool, "tools.toml"),
    "pumps": (Pump, "pumps.toml"),
    "bag-sides": (Consumable, "consumables.toml"),
}
KINDS = (*RECORDS, "processes", "questions")


def listed(kind: str) -> dict[str, Any]:
    """Return all records of a kind by name, as plain types."""
    if kind == "questions":
        import outgas

        return dict(outgas.questions())
    if kind == "processes":
        return {name: msgspec.to_builtins(process_of(name)) for name in processes()}
    record, file = RECORDS[kind]
    return {
        name: msgspec.to_builtins(catalogue.by_words(record, kind, file, name))
        for name in sorted(data.table(file))
    }


def _others(name: str, words: Sequence[str]) -> list[str]:
    """Return the words that are not the name itself, spelt otherwise."""
    return [word for word in words if catalogue.plain(word) != catalogue.plain(name)]


@click.command("list", cls=HelpfulCommand)
@click.argument("kind", type=click.Choice(KINDS), metavar="KIND")
@PLAIN_UNITS_OPTION
@JSON_OPTION
def list_command(kind: str, json_out: bool) -> int:
    """List every name of a KIND, and what else it is called.

    KIND: cores, reinforcements, tools, pumps, bag-sides, processes or questions.
    """
    if json_out:
        as_json(listed(kind))
    elif kind == "questions":
        from outgas.diagnosis.words import questions_text

        say(questions_text())
    else:
        rows = [
            (name, record["title"], ", ".join(_others(name, record.get("words", ()))))
            for name, record in listed(kind).items()
        ]
        console().print(name_table(rows))
    return 0
