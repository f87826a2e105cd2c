"""The outside checks that reach an answer, a row each: `python tests/published/answers.py`."""

import sys
import warnings
from collections.abc import Iterator

import noticed

HEAD = "| answer | check | source | there | here | margin |\n|---|---|---|---|---|---|"


def row(check) -> str:
    """One line of the table: what the source gives, what outgas gives, how close they must be."""
    margin = f"{check.relative:.2g}"
    asked = f"within {margin}" if check.side == "both" else f"{check.side}, by {margin}"
    return (
        f"| {check.answer} | {check.name} | {check.source} | {check.expected():.4g} "
        f"| {check.got():.4g} | {asked} |"
    )


def table() -> Iterator[str]:
    """The table, line by line, by answer."""
    every = noticed.checks()
    through = sorted((check for check in every if check.answer), key=lambda c: c.answer)
    yield HEAD
    for check in through:
        yield row(check)
    yield f"\n{len(through)} of {len(every)} outside checks reach an answer."


if __name__ == "__main__":
    warnings.simplefilter("ignore")
    noticed.find_helpers()
    for line in table():
        sys.stdout.write(line + "\n")
