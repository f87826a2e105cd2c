"""The keys of a saved job, in the words of the command line's options.

Plain text alone: what the words mean is read by the module that needs it.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from outgas import units
from outgas.errors import InputError

Told = str | tuple[str, ...] | bool


@dataclass(frozen=True, slots=True)
class Key:
    """One key: its group, an example of its value, and what it says.

    An example that is a tuple may be told several times; one that is True is a flag.
    """

    group: str
    example: Told
    what: str

    @property
    def kind(self) -> str:
        """Text, several texts, or a flag."""
        if isinstance(self.example, bool):
            return "flag"
        return "several" if isinstance(self.example, tuple) else "text"


KEYS: dict[str, Key] = {
    "resin": Key("resin", "orthophthalic-polyester", "a name, or the path of your own file"),
    "process": Key("resin", "wet layup", "infusion, prepreg, degassing, core bonding, pressing"),
    "initiator": Key("resin", "1.5%", "inside the range of the resin's sheet"),
    "gel_time": Key("resin", "20 min", "of a cup of this batch in this shop"),
    "min_temperature": Key("resin", "15C", "coldest that the sheet at hand allows"),
    "low_gas_initiator": Key("resin", True, "a peroxide that gives off no oxygen"),
    "temperature": Key("shop", "26C", "air in the shop"),
    "humidity": Key("shop", "60%", "relative"),
    "altitude": Key("shop", "20m", "above sea level"),
    "barometer": Key("shop", "1003 hPa", "the shop's own; beside an altitude, a weather app's"),
    "tool_temperature": Key("shop", "24C", "of the tool's face, if not the air's"),
    "sun": Key("shop", "600 W/m2", "on the bag"),
    "ply": Key("layup", ("3 x 400 g/m2 woven glass",), "from the tool up"),
    "core": Key("layup", "15 mm PVC foam", "between the plies"),
    "moisture": Key("layup", "12%", "water in the core, of its dry mass"),
    "area": Key("layup", "0.8 m2", "of the panel"),
    "tool": Key("layup", "6 mm glass plate", "what it lies on"),
    "bag_side": Key("layup", ("peel ply", "perforated film", "breather"), "laminate to bag"),
    "pitch": Key("layup", "25 mm", "between the holes of the perforated film"),
    "breather": Key("layup", "breather", "breather or heavy breather"),
    "resin_used": Key("layup", "0.9 kg", "what was laid in"),
    "rig": Key("rig", "5 m3/h two-stage pump, 2 m of 8 mm hose, 0.6 m2 bag", "in words"),
    "pump_ultimate": Key("rig", "2 mbar", "the deepest that the pump reaches"),
    "hold_error": Key("rig", "20 mbar", "how far the pressure wanders while it is held"),
    "autoclave": Key("rig", "5 bar", "on the bag, above the atmosphere"),
    "bore": Key("rig", "20 mm", "of the hole under a weighted plate"),
    "clamp": Key("rig", "500 mbar", "from a press, on top of the atmosphere"),
    "dial": Key("reading", "inHg", "inHg, mmHg, bar, kPa, psi, percent, mbar or torr"),
    "units": Key("reading", "metric", "metric or us, of what is no pressure"),
    "reads_with": Key("reading", "dial", "dial, 'sensor 5 mbar', water, plate or none"),
    "hottest": Key("laminate", "35C up to 42C", "warmest before the gel holds a bubble"),
    "degassed": Key("laminate", "90 mbar for 10 min, stirred", "the pot; or give air_pressure"),
    "air_pressure": Key("laminate", "27 mbar", "of the air left in the resin"),
    "entrained": Key("laminate", "0.5%", "air stirred in, by volume"),
    "water_activity": Key("laminate", "0.4", "0 to 1, if it is known"),
    "contaminant": Key("laminate", ("acetone=1%",), "traces left in rollers and brushes"),
    "void_target": Key("laminate", "2%", "of the laminate; or give finish"),
    "finish": Key("laminate", "structural", "structural, or clear to the eye"),
    "trapped": Key("laminate", "6%", "gas that cannot leave, of the resin"),
    "connected": Key("laminate", "80%", "of the gas beyond, that leaves"),
    "no_debulk": Key("laminate", True, "straight to the cure"),
    "vapour_share": Key("laminate", "33%", "most of a bubble that may be vapour"),
    "confidence": Key("laminate", "95%", "of the safe side"),
    "dried": Key("laminate", "8 h", "prepreg: under full vacuum before its heat"),
    "batch": Key("plan", "1.2 kg", "mixed in one cup"),
    "wet_out": Key("plan", "12 min", "how long wetting out takes you"),
    "fill": Key("plan", "15 min", "how long an infusion's fill takes"),
    "no_degas": Key("plan", True, "leave out degassing the plain resin"),
}
TITLES = {
    "resin": "The resin and how it is laminated",
    "shop": "The shop",
    "layup": "The layup",
    "rig": "The rig",
    "reading": "How the pressure is read and told",
    "laminate": "What the laminate holds and is to be",
    "plan": "For a schedule",
}
GROUPS = tuple(dict.fromkeys(key.group for key in KEYS.values()))
NEEDED = ("resin", "temperature", "humidity")  # without these there is no advice

# Two ways to say one thing: where one is told anew, the other no longer stands.
RIVALS = {
    "degassed": "air_pressure",
    "air_pressure": "degassed",
    "finish": "void_target",
    "void_target": "finish",
}

# A key's name, which is its option's, and what functions and Layup call it; either may be said.
BY_OPTION = {
    "ply": "plies",
    "contaminant": "contaminants",
    "bag": "bag_pressure",
    "moisture": "core_moisture",
    "min_temperature": "minimum_temperature",
}


def read_traces(
    given: Sequence[str], what: str = "contaminant", example: str = "acetone=1%"
) -> dict[str, str]:
    """Return {'acetone': '1%'} from 'acetone=1%' or 'acetone 1 %'."""
    found: dict[str, str] = {}
    for text in units.listed(given, what, example):
        name, mark, share = text.partition("=")
        if not mark:
            name, _, share = text.strip().partition(" ")
        if not name.strip() or not share.strip():
            raise InputError(f"{what} is {text[:60]!r}; write it as {example!r}")
        found[name.strip()] = share.strip()
    return found
