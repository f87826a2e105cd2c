"""advise, which with --from is of a table of jobs: what that needs is loaded only then."""

from typing import Any

import click

from outgas.cli.helps import HelpfulCommand


class AdviseOrTable(HelpfulCommand):
    """advise, which with --from is of a table."""

    def make_context(
        self,
        info_name: str | None,
        args: list[str],
        parent: click.Context | None = None,
        **extra: Any,
    ) -> click.Context:
        """Hand over to the table where there is one."""
        if any(word == "--from" or word.startswith("--from=") for word in args):
            from outgas.cli.commands.many import table_command

            return table_command.make_context(info_name, args, parent, **extra)
        return super().make_context(info_name, args, parent, **extra)
