"""Lists and single records of the catalogue, as terminal tables and as plain types."""

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, Any

import click
import msgspec

from outgas import constants, readings
from outgas.cli.form import JSON_OPTION, PLAIN_UNITS_OPTION, as_json, in_units
from outgas.cli.helps import HelpfulGroup
from outgas.tables import catalogue, data
from outgas.tables.materials import Resin
from outgas.tables.number import Number
from outgas.tables.volatiles import Volatile

if TYPE_CHECKING:
    from rich.console import Console
    from rich.table import Table

PLAIN_WIDTH = 100  # where the output is not a terminal
_GRADES = {
    "read": "read",
    "library": "library data",
    "memory": "from memory",
    "estimate": "estimate",
    "sheet": "data sheet",
    "measured": "measured",
}


def console() -> "Console":
    """Return a console on standard output; wide enough when piped, no colour codes then."""
    from rich.console import Console

    screen = Console(highlight=False)
    return screen if screen.is_terminal else Console(width=PLAIN_WIDTH, highlight=False)


def _table(*columns: str) -> "Table":
    from rich import box
    from rich.table import Table

    table = Table(box=box.SIMPLE_HEAD, show_edge=False, pad_edge=False)
    for i, column in enumerate(columns):
        table.add_column(in_units(column), overflow="fold", no_wrap=i == 0)
    return table


def _span(number: Number) -> tuple[str, str]:
    """Return a number with its unit, and its 95 % range."""
    unit = "" if number.unit == "1" else f" {number.unit}"
    value = f"{number.value:g}{unit}"
    told = number.u95 is None
    low = number.low if number.low is not None else number.value - (number.u95 or 0.0)
    high = number.high if number.high is not None else number.value + (number.u95 or 0.0)
    if in_units(value) == value:  # it is said so in every system
        return value, f"{low:g} to {high:g}" if told else f"± {number.u95:g}"
    ends = in_units(f"{low:g} to {number.value:g} to {high:g}{unit}").split(" to ")
    highest, _, name = ends[2].partition(" ")
    return f"{ends[1]} {name}", f"{ends[0]} to {highest}"


def name_table(rows: Sequence[tuple[str, str, str]]) -> "Table":
    """Return names with what each is, and what else it is called where it is called otherwise."""
    others = any(words for *_, words in rows)
    table = _table("name", "what it is", *(("also called",) if others else ()))
    for name, what, words in rows:  # the words are there to be typed
        table.add_row(*(name, in_units(what), words)[: len(table.columns)])
    return table


def resin_list() -> "Table":
    """Return the shipped resins: name, monomers, processes."""
    table = _table("resin", "can boil out of it", "for")
    for name in catalogue.resins():
        resin = catalogue.resin(name)
        monomers = ", ".join(f"{p.volatile} {p.fraction.si:.0%}" for p in resin.monomers)
        table.add_row(name, monomers or "water only", ", ".join(resin.processes))
    return table


def volatile_list() -> "Table":
    """Return the shipped volatiles: name, pressure at 20 and 60 degC, boiling point, source."""
    from outgas.physics import saturation

    table = _table(
        "volatile", "mbar at 20 degC", "± %", "mbar at 60 degC", "boils at 1 atm", "from"
    )
    for name in catalogue.volatiles():
        record, air = catalogue.volatile(name), readings.PASCAL_PER["atm"]
        curve, zero = record.curve, constants.ZERO_CELSIUS_K
        cold, warm = (float(saturation.pressure(curve, zero + t)) / 100 for t in (20.0, 60.0))
        top = float(saturation.pressure(curve, curve[-1].T_high))
        boils = "above the table"
        if top > air:
            boils = in_units(f"{float(saturation.temperature(curve, air)) - zero:.1f} degC")
        above = record.spread(zero + 20.0)[0]
        source = record.saturation.source
        table.add_row(name, f"{cold:.3g}", f"{above * 100:.2g}", f"{warm:.3g}", boils, source)
    return table


def _numbers(record: msgspec.Struct, prefix: str = "") -> list[tuple[str, Number]]:
    found: list[tuple[str, Number]] = []
    for field in record.__struct_fields__:
        value = getattr(record, field)
        if isinstance(value, Number):
            found.append((f"{prefix}{field.replace('_', ' ')}", value))
    return found


def _number_table(rows: list[tuple[str, Number]]) -> "Table":
    table = _table("number", "value", "95 % range", "how", "source")
    for label, number in rows:
        value, span = _span(number)
        table.add_row(label, value, span, _GRADES[number.how], number.source)
    return table


def _citations(keys: list[str]) -> list[str]:
    known = data.table("sources.toml")
    lines = []
    for key in dict.fromkeys(keys):
        if key in known:
            source = catalogue.reference(key)
            who = " ".join(part for part in (source.author, source.year) if part)
            lines.append(f"{key}: {who + ', ' if who else ''}{source.title} ({source.note})")
        else:
            lines.append(f"{key}: as the file says")
    return lines


def show_resin(resin: Resin) -> list[Any]:
    """Return what to print of one resin: title, parts, numbers, sources."""
    rows = [
        pair for part in resin.part for pair in _numbers(part, f"{part.volatile or part.name}: ")
    ] + _numbers(resin)
    from rich.text import Text

    lines = [f"{resin.name}: {resin.title}", f"for {', '.join(resin.processes)}"]
    if resin.note:
        lines.append(f"note: {resin.note}")
    if resin.reaction_gas:
        lines.append(f"makes gas of its own: {resin.reaction_gas}")
    return [
        Text(in_units("\n".join(lines))),
        "",
        _number_table(rows),
        "",
        Text("\n".join(_citations([number.source for _, number in rows]))),
    ]


def show_volatile(record: Volatile) -> list[Any]:
    """Return what to print of one volatile: title, numbers, curve, sources."""
    from rich.text import Text

    s, built = record.saturation, record.built
    engine = (
        f"CoolProp's reference equation of state of {s.fluid}"
        if s.engine == "reference"
        else "CoolProp's Peng-Robinson equation, alpha fitted to the correlation below"
    )
    lines = [
        f"{record.name}: {record.title}, {record.formula}, CAS {record.cas}",
        f"saturation pressure: {engine}; {s.T_low_K:g} to {s.T_high_K:g} K",
    ]
    if record.note:
        lines.append(f"note: {record.note}")
    for c in s.correlation:
        numbers = ", ".join(f"{x:g}" for x in c.coefficients)
        lines.append(f"correlation ({c.source}, weight {c.weight:g}): {c.form}: {numbers}")
        lines.append(
            f"stated for {s.stated_low_K:g} to {s.stated_high_K:g} K, extended beyond; the cubic "
            f"follows within {built.residual_stated:.2%} there, {built.residual_extended:.2%} "
            "overall"
        )
    # its curve stays in kelvins, which are no steps
    bands = ", ".join(
        f"{in_units(f'{b.at_degC:g} degC')} +{b.above:.1%}/-{b.below:.1%}" for b in s.u95
    )
    lines.append(f"95 % uncertainty: {bands} (estimate)")
    rows = _numbers(record)
    sources = [s.source, *(c.source for c in s.correlation), *(n.source for _, n in rows)]
    return [
        Text("\n".join(lines)),
        "",
        _number_table(rows),
        "",
        Text("\n".join(_citations(sources))),
    ]


def plain(record: msgspec.Struct) -> Any:
    """Return a record as plain types for JSON, units and sources kept beside each number."""
    return msgspec.to_builtins(record)


def list_group(
    kind: str,
    listed: Callable[[], "Table"],
    shown: Callable[[Any], list[Any]],
    helps: tuple[str, str],
) -> click.Group:
    """Return the group that lists all records of a kind, and its command that shows one."""
    find = getattr(catalogue, kind)

    @click.group(f"{kind}s", cls=HelpfulGroup, invoke_without_command=True, help=helps[0])
    @PLAIN_UNITS_OPTION
    @JSON_OPTION
    @click.pass_context
    def group(context: click.Context, json_out: bool) -> int:
        if context.invoked_subcommand is not None:
            return 0
        if json_out:
            names = getattr(catalogue, f"{kind}s")()
            as_json({name: plain(find(name)) for name in names})
        else:
            console().print(listed())
        return 0

    @group.command("show", help=helps[1])
    @click.argument("name")
    @PLAIN_UNITS_OPTION
    @JSON_OPTION
    def show(name: str, json_out: bool) -> int:
        record = find(name)
        if json_out:
            as_json(plain(record))
        else:
            console().print(*shown(record), sep="\n")
        return 0

    return group


resins_group = list_group(
    "resin",
    resin_list,
    show_resin,
    (
        "List the resin systems; `resins show NAME` explains one.",
        "Show every number of one resin, with its range and source.",
    ),
)
volatiles_group = list_group(
    "volatile",
    volatile_list,
    show_volatile,
    (
        "List what can boil out of a resin; `volatiles show NAME` explains one.",
        "Show every number of one volatile, with its curve, range and source.",
    ),
)
