"""What is printed as JSON, described for a program: `outgas schema advise`."""

import re
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

import click

from outgas.cli.form import as_json
from outgas.cli.helps import HelpfulCommand
from outgas.tables import data

DIALECT = "https://json-schema.org/draft/2020-12/schema"
_PLAIN: dict[str, dict[str, Any]] = {
    "text": {"type": "string"},
    "number": {"type": "number"},
    "whole": {"type": "integer"},
    "flag": {"type": "boolean"},
    "anything": {},
}
# What stands at the end of a key, the longest first.
_UNITS = {
    "_Pa_m3_s": "pascal cubic metres per second",
    "_kg_m2": "kilograms per square metre",
    "_W_m2": "watts per square metre",
    "_Pa_s": "pascal per second",
    "_m3_s": "cubic metres per second",
    "_Pa": "pascal, absolute",
    "_m3": "cubic metres",
    "_m2": "square metres",
    "_kg": "kilograms",
    "_K": "kelvin",
    "_N": "newtons",
    "_m": "metres",
    "_s": "seconds",
}
_RATES = ("leak_Pa", "rise_Pa", "change_Pa", "adds_Pa", "margin_Pa", "error_Pa", "clamp_Pa")


def described() -> list[str]:
    """Return the names of the answers that have a schema."""
    return list(data.table("answers.toml")["answer"])


def schema(answer: str) -> dict[str, Any]:
    """Return the JSON schema of what a command prints with --json."""
    kinds = data.table("answers.toml")["answer"][answer]
    either = [{"$ref": f"#/$defs/{name}"} for name in kinds]
    return {
        "$schema": DIALECT,
        "title": f"outgas {answer} --json",
        **(either[0] if len(either) == 1 else {"anyOf": either}),
        "$defs": {name: _record(name) for name in sorted(_needed(kinds))},
    }


def _records() -> Mapping[str, Any]:
    found: Mapping[str, Any] = data.table("answers.toml")["record"]
    return found


def _needed(names: Sequence[str]) -> set[str]:
    """Return records and all that they hold."""
    found: set[str] = set()
    waiting = list(names)
    while waiting:
        name = waiting.pop()
        if name not in found:
            found.add(name)
            waiting += _held(name)
    return found


def _held(name: str) -> Iterator[str]:
    for key, about in _records()[name].items():
        if not _is_head(name, key):
            kind = about if isinstance(about, str) else about[0]
            yield from (w for w in re.findall(r"\w+", kind) if w in _records())


def _is_head(name: str, key: str) -> bool:
    """Tell whether a key is the kind or the version of a record that has both."""
    return key in ("kind", "version") and "version" in _records()[name]


def _record(name: str) -> dict[str, Any]:
    """Return the schema of one record; keys may be added to it, so others are allowed."""
    properties: dict[str, Any] = {}
    required: list[str] = []
    for key, about in _records()[name].items():
        plain = key.removesuffix("*")
        if _is_head(name, key):
            properties[key] = {"const": about}
        else:
            kind, what = (about, "") if isinstance(about, str) else about
            said = "; ".join(text for text in (what, _unit(plain)) if text)
            properties[plain] = {**_type(kind), **({"description": said} if said else {})}
        if plain == key:
            required.append(key)
    return {"type": "object", "properties": properties, "required": required}


def _unit(key: str) -> str:
    """Return the unit that a key's end names."""
    for end, unit in _UNITS.items():
        if key.endswith(end):
            return "pascal" if key.endswith(_RATES) else unit
    return ""


def _type(kind: str) -> dict[str, Any]:
    """Return the schema of a type as the table writes it."""
    if kind.startswith("one of "):
        return {"enum": kind.removeprefix("one of ").split(", ")}
    if kind.endswith("?"):
        return {"anyOf": [_type(kind[:-1]), {"type": "null"}]}
    if kind[0] + kind[-1] == "[]":
        return {"type": "array", "items": _type(kind[1:-1])}
    if kind[0] + kind[-1] == "{}":
        return {"type": "object", "additionalProperties": _type(kind[1:-1])}
    if "|" in kind:
        return {"anyOf": [_type(part) for part in kind.split("|")]}
    return _PLAIN.get(kind) or ({} if kind == "anything" else {"$ref": f"#/$defs/{kind}"})


@click.command("schema", cls=HelpfulCommand)
@click.argument("answer", required=False)
def schema_command(answer: str | None) -> int:
    """Print the JSON schema of what a command gives with --json; without ANSWER list which.

    ANSWER: advise, schedule, diagnose, belief, next, telltale, hold, drop-test, press, bleed,
    convert, job, resins-check, panels-learn or panels-show.
    """
    from outgas.errors import UnknownNameError

    if answer is None:
        click.echo("\n".join(described()))
        return 0
    name = answer.replace("_", "-").replace(" ", "-").lower()
    if name not in described():
        raise UnknownNameError("answer", answer, described())
    as_json(schema(name))
    return 0
