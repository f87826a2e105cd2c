"""Random jobs as a builder would type them: every argument as text, the same for API and CLI."""

import math
import random
from dataclasses import dataclass, field
from typing import Any

import outgas

PAIRS = [(name, p) for name in outgas.resins() for p in outgas.resin(name).processes]
CORES = ("15 mm PVC foam", "20 mm light PVC foam", "10 mm SAN foam", "20 mm polyurethane foam",
         "12 mm balsa", "20 mm EPS", "12 mm PET foam")  # fmt: skip
CLOTHS = ("woven glass", "chopped strand mat", "woven roving", "biaxial glass", "woven carbon")
TOOLS = ("6 mm glass plate", "3 mm aluminium", "18 mm mdf", "8 mm grp")
TRACES = ("acetone", "methyl-ethyl-ketone", "ethanol", "toluene", "styrene", "water")
DIALS = ("inHg", "mmHg", "bar", "percent", "mbar", "torr")
PASCAL_PER_INHG, PASCAL_PER_BAR = 3386.389, 1e5
SHOP = ("temperature", "humidity", "altitude", "barometer", "tool_temperature", "sun")
LAYUP = ("core", "area", "tool")
WORKED = ("stirred", "seeded", "sparged", "seeded and stirred", "still", "not stirred")
FLAGS = ("no_debulk", "low_gas_initiator")
# An option and what nobody can mean by it; each is refused, whatever else is said.
WRONG = (
    ("finish", "shiny"),
    ("finish", "clear"),  # beside the void target that spoil adds
    ("trapped", "40 %"),
    ("trapped", "0 %"),
    ("trapped", "some"),
    ("connected", "120 %"),
    ("connected", "-1 %"),
    ("degassed", "27 mbar for 2 days"),
    ("degassed", "27 mbar for 10 min, shaken"),
    ("degassed", "27 mbar for 10"),
    ("degassed", "27 for 10 min"),
    ("degassed", "for 10 min"),
    ("dried", "8"),
    ("dried", "2000 h"),
    ("dried", "-1 h"),
    ("void_target", "80 %"),
    ("confidence", "40 %"),
    ("temperature", "26"),
    ("humidity", "160 %"),
)
RIG = ("pump_ultimate", "hold_error", "autoclave")


@dataclass
class Asked:
    """One job: the resin, single options by their API name, what may be repeated, and flags."""

    resin: str
    one: dict[str, str]
    plies: list[str] = field(default_factory=list)
    traces: dict[str, str] = field(default_factory=dict)
    flags: list[str] = field(default_factory=list)

    def command(self, *but: str, **more: str) -> list[str]:
        """Return the options of a command line, those in `but` left out."""
        given = {**self.one, **more}
        flat = [
            part
            for name, text in given.items()
            if name not in but
            for part in (f"--{name.replace('_', '-')}", text)
        ]
        for ply in self.plies:
            flat += ["--ply", ply]
        for name, share in self.traces.items():
            flat += ["--contaminant", f"{name}={share}"]
        flat += [f"--{name.replace('_', '-')}" for name in self.flags]
        return [self.resin, *flat]

    def shop(self) -> outgas.Shop:
        return outgas.Shop(**{name: self.one.get(name) for name in SHOP})

    def arguments(self, *but: str) -> dict[str, Any]:
        """Return the API's keyword arguments beside resin and shop, those in `but` left out."""
        parts = {*SHOP, *LAYUP, *RIG, "bag", *but}
        found: dict[str, Any] = {k: v for k, v in self.one.items() if k not in parts}
        found["layup"] = outgas.Layup(
            plies=self.plies, **{name: self.one.get(name) for name in LAYUP}
        )
        if "rig" not in but:
            found["rig"] = outgas.Rig(**{name: self.one.get(name) for name in RIG})
        found["contaminants"] = dict(self.traces)
        return {**found, **dict.fromkeys(self.flags, True)}

    def advise(self) -> outgas.Advice:
        return outgas.advise(
            self.resin, self.shop(), bag_pressure=self.one.get("bag"), **self.arguments("bag")
        )


def log_uniform(rng: random.Random, low: float, high: float) -> float:
    return math.exp(rng.uniform(math.log(low), math.log(high)))


def draw(rng: random.Random, layup: float = 0.04) -> Asked:
    """Return a random job; layup is the share of jobs that have plies."""
    resin, process = rng.choice(PAIRS)
    record = outgas.resin(resin)
    least = record.minimum_temperature.si - 273.15
    t = rng.uniform(5.0, 40.0) if rng.random() < 0.1 else rng.uniform(max(5.0, least), 40.0)
    one = {
        "process": process,
        "temperature": f"{t:.2f} degC",
        "humidity": f"{rng.uniform(0.0, 100.0):.1f} %",
    }
    if rng.random() < 0.04:
        one["humidity"] = rng.choice(["0 %", "100 %"])
    asked = Asked(resin, one)
    _air_of_the_shop(rng, one)
    _gas(rng, asked)
    _asked_for(rng, one)
    if rng.random() < 0.25:
        for name in rng.sample(TRACES, rng.choice([1, 1, 2])):
            asked.traces[name] = f"{log_uniform(rng, 0.05, 5.0):.3f} %"
    if rng.random() < 0.25:
        hot = t + rng.uniform(0.0, 30.0)
        up_to = f" up to {hot + rng.uniform(0.0, 12.0):.1f} degC" if rng.random() < 0.4 else ""
        one["hottest"] = f"{hot:.2f} degC{up_to}"
    if rng.random() < 0.08:
        one["tool_temperature"] = f"{t + rng.uniform(0.0, 15.0):.1f} degC"
    if rng.random() < 0.05:
        one["sun"] = f"{rng.uniform(0.0, 1000.0):.0f} W/m2"
    _rig(rng, one)
    if process == "core bonding" or rng.random() < 0.2:
        one["core"] = rng.choice(CORES)
    if rng.random() < layup:
        add_layup(rng, asked)
    if rng.random() < 0.5:
        _bag(rng, asked)
    return asked


def _air_of_the_shop(rng: random.Random, one: dict[str, str]) -> None:
    kind = rng.randrange(4)
    if kind in (0, 2):
        one["altitude"] = f"{rng.uniform(0.0, 3000.0):.0f} m"
    if kind == 1:
        one["barometer"] = f"{rng.uniform(690.0, 1050.0):.1f} hPa"
    if kind == 2:
        one["barometer"] = f"{rng.uniform(985.0, 1040.0):.1f} hPa"


def _gas(rng: random.Random, asked: Asked) -> None:
    one, kind = asked.one, rng.randrange(3)
    if kind == 0:
        lasted = f" for {log_uniform(rng, 0.2, 1400.0):.1f} min" if rng.random() < 0.5 else ""
        worked = f", {rng.choice(WORKED)}" if rng.random() < 0.5 else ""
        one["degassed"] = f"{log_uniform(rng, 3.0, 650.0):.1f} mbar{lasted}{worked}"
    if kind == 1:
        one["air_pressure"] = f"{rng.choice([0.0, log_uniform(rng, 1.0, 650.0)]):.2f} mbar"
    if rng.random() < 0.25:
        one["entrained"] = f"{rng.uniform(0.0, 3.0):.2f} %"
    if rng.random() < 0.12:
        one["trapped"] = f"{log_uniform(rng, 0.1, 30.0):.2f} %"
    if rng.random() < 0.12:
        one["connected"] = f"{rng.choice([0.0, 100.0, rng.uniform(0.0, 100.0)]):.1f} %"
    asked.flags = [flag for flag in FLAGS if rng.random() < 0.15]
    if one["process"] == "prepreg" and rng.random() < 0.5:
        one["dried"] = f"{rng.choice([0.0, log_uniform(rng, 0.1, 700.0)]):.2f} h"


def _asked_for(rng: random.Random, one: dict[str, str]) -> None:
    if rng.random() < 0.1:
        one["water_activity"] = f"{rng.random():.3f}"
    if rng.random() < 0.25:
        one["finish"] = rng.choice(["structural", "clear"])
    elif rng.random() < 0.5:
        one["void_target"] = f"{log_uniform(rng, 0.1, 12.0):.2f} %"
    if rng.random() < 0.1:
        one["vapour_share"] = f"{rng.uniform(10.0, 100.0):.0f} %"
    if rng.random() < 0.4:
        one["confidence"] = f"{rng.uniform(50.0, 99.9):.1f} %"
    if rng.random() < 0.6:
        one["reads_with"] = rng.choice(["dial", "water", f"sensor {rng.uniform(0, 20):.1f} mbar"])


def _rig(rng: random.Random, one: dict[str, str]) -> None:
    if rng.random() < 0.15:
        one["pump_ultimate"] = f"{log_uniform(rng, 0.5, 890.0):.1f} mbar"
    if rng.random() < 0.1:
        one["hold_error"] = f"{rng.uniform(0.0, 80.0):.1f} mbar"
    if one["process"] == "prepreg" and rng.random() < 0.4:
        one["autoclave"] = f"{rng.uniform(0.0, 7.0):.2f} bar"


def add_layup(rng: random.Random, asked: Asked) -> None:
    """Give a job plies, at times a tool, an initiator inside the sheet's range and a gel time."""
    cloth = rng.choice(CLOTHS)
    asked.plies = [f"{rng.randint(1, 8)} x {rng.choice([200, 300, 450, 600])} g/m2 {cloth}"]
    asked.one["area"] = f"{log_uniform(rng, 0.05, 4.0):.2f} m2"
    if rng.random() < 0.5:
        asked.one["tool"] = rng.choice(TOOLS)
    level = outgas.resin(asked.resin).initiator_level
    if level is not None and rng.random() < 0.4:
        low, high = 100.0 * level.low_si, 100.0 * level.high_si
        asked.one["initiator"] = f"{rng.uniform(low, high):.4f} %"


def spoil(asked: Asked, name: str, text: str) -> None:
    """Put one value that cannot be used into a job."""
    asked.one[name] = text
    if name == "degassed":
        asked.one.pop("air_pressure", None)  # or two ways to say how much air is left are refused
    if name == "finish":
        asked.one["void_target"] = "3.3 %"


def _bag(rng: random.Random, asked: Asked) -> None:
    """Give a job a bag pressure, often near one of its own limits, read in any way there is."""
    here = asked.shop().barometer_Pa
    p = rng.uniform(0.0, 0.98 * here)
    if rng.random() < 0.5:
        try:
            got = asked.advise()
            near = (
                got.deepest_Pa,
                got.shallowest_Pa,
                got.debulk_limit_Pa,
                got.bubble_pressure_Pa[1],
            )
            p = min(max(0.0, rng.choice(near) + rng.uniform(-4000.0, 4000.0)), 0.999 * here)
        except outgas.OutgasError:
            pass
    below = here - p
    said = (
        f"{p / 100.0:.2f} mbar",
        f"{math.floor(100.0 * below / PASCAL_PER_INHG) / 100.0:.2f} inHg vacuum",
        f"-{math.floor(1000.0 * below / PASCAL_PER_BAR) / 1000.0:.3f} bar gauge",
        f"{math.floor(1000.0 * below / here) / 10.0:.1f} % vacuum",
    )
    asked.one["bag"] = rng.choice(said)
