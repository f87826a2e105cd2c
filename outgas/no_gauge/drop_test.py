"""The drop test: whether a bag is tight enough for what is to be made in it."""

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from outgas import readings, units
from outgas.errors import InputError
from outgas.job.gauge import read_barometer
from outgas.job.job import read_flag
from outgas.job.process import read_process
from outgas.job.rig import Rig, the_rig
from outgas.no_gauge.cautions import TESTING
from outgas.no_gauge.held import figures, rounded_mbar
from outgas.no_gauge.observations import SHOP_K
from outgas.physics import air, flow
from outgas.physics.chance import Band
from outgas.show.amounts import chance, leak, two_figures
from outgas.show.answer import Answer
from outgas.show.report import At, Block, Line, Report, Short, lines, sentence
from outgas.tables import catalogue

if TYPE_CHECKING:
    from outgas.units import Measure

VERSION = 1
TIME_RANGE_S = (5.0, 48 * 3600.0)
DIAL_MINUTES = 5.0  # over which a limit is given for a dial
WHERE = (
    "listen along the sealant with a length of tube at the ear, the pump shut off: pleats, "
    "corners, where hose and thermocouple pass",
    "press the tape down again from the bag side; a pleat leaks at its root",
    "shut off part by part, pump to bag: hose, pot lid and fittings leak more often than bags",
    "soap water finds leaks only on what is blown up, not on a bag under vacuum",
)
PATCH = "a membrane: clean it, patch it with silicone adhesive, let that cure, and test it again"


@dataclass(frozen=True, slots=True, kw_only=True)
class Pinholes:
    """How many holes of one size would eat the whole leak budget."""

    bore_m: float
    leak_Pa_m3_s: float
    allowed: int


@dataclass(frozen=True, slots=True, kw_only=True)
class DropTest(Answer):
    """A bag's leak, what it does, and whether the bag passes; SI floats.

    measured_Pa_m3_s is all the air that came in, leak_Pa_m3_s what is left of it for holes where a
    silicone membrane lets membrane_Pa_m3_s through. leak_high_Pa_m3_s takes the bag's volume at its
    upper end and the membrane at its tight one, and that is what is judged.

    Examples
    --------
    >>> import outgas
    >>> rig = outgas.Rig(bag_volume="10 l")
    >>> test = outgas.drop_test("1 mbar", "10 min", rig=rig)
    >>> test.passed == (test.share <= 1.0), test.to_dict()["kind"]
    (True, 'outgas drop test')
    """

    process: str
    volume: Band
    volume_given: bool
    area_m2: float | None
    rise_Pa: float
    time_s: float
    measured_Pa_m3_s: float
    leak_Pa_m3_s: float
    leak_high_Pa_m3_s: float
    allowed_Pa_m3_s: float
    allowed_rise_Pa_s: float
    judged_by: str
    passed: bool
    raises_Pa: float | None
    steady_Pa: float | None
    air_m3_s: float
    as_one_hole_m: float
    silicone: bool
    membrane_Pa_m3_s: float
    pinholes: tuple[Pinholes, ...]
    reused: bool
    barometer_Pa: float
    where: tuple[str, ...] = WHERE
    cautions: tuple[str, ...] = TESTING

    @property
    def volume_m3(self) -> tuple[float, float, float]:
        """Volume behind the valve [m3]: nominal, low and high."""
        return self.volume.nominal, self.volume.low, self.volume.high

    @property
    def share(self) -> float:
        """Of the leak budget that this bag eats."""
        return self.leak_high_Pa_m3_s / self.allowed_Pa_m3_s

    @property
    def _well(self) -> bool:
        return self.passed

    def to_dict(self) -> dict[str, Any]:
        """Return plain types in SI, the unit in each key, with a version."""
        return {
            "kind": "outgas drop test",
            "version": VERSION,
            "process": self.process,
            "passed": self.passed,
            "measured_Pa_m3_s": self.measured_Pa_m3_s,
            "leak_Pa_m3_s": self.leak_Pa_m3_s,
            "leak_high_Pa_m3_s": self.leak_high_Pa_m3_s,
            "allowed_Pa_m3_s": self.allowed_Pa_m3_s,
            "allowed_rise_Pa_s": self.allowed_rise_Pa_s,
            "judged_by": self.judged_by,
            "volume_m3": self.volume.nominal,
            "volume_low_m3": self.volume.low,
            "volume_high_m3": self.volume.high,
            "volume_given": self.volume_given,
            "area_m2": self.area_m2,
            "rise_Pa": self.rise_Pa,
            "time_s": self.time_s,
            "raises_bag_Pa": self.raises_Pa,
            "steady_Pa": self.steady_Pa,
            "air_m3_s": self.air_m3_s,
            "as_one_hole_m": self.as_one_hole_m,
            "silicone": self.silicone,
            "membrane_Pa_m3_s": self.membrane_Pa_m3_s,
            "pinholes": [
                {"bore_m": h.bore_m, "leak_Pa_m3_s": h.leak_Pa_m3_s, "allowed": h.allowed}
                for h in self.pinholes
            ],
            "reused": self.reused,
            "where_to_look": list(self.where),
            "cautions": list(map(str, self.cautions)),
        }

    @property
    def report(self) -> Report:
        """The test told: the verdict, what the leak does, and where to look."""
        first = (
            f"This bag {self._verdict()}: it leaks {leak(self.leak_Pa_m3_s)}, at worst "
            f"{_bound(self.leak_high_Pa_m3_s, up=True)}; {self.process} allows "
            f"{_bound(self.allowed_Pa_m3_s, up=False)}."
        )
        inches = self.allowed_rise_Pa_s * DIAL_MINUTES * 60.0 / readings.PASCAL_PER["inhg"]
        second = (
            f"On this bag that limit is {figures(self.allowed_rise_Pa_s * 0.6, count=2):g} mbar a "
            f"minute, or {figures(inches):g} inHg in {DIAL_MINUTES:.0f} minutes; it "
            f"{'passes' if self.passed else 'fails'}."
        )
        blocks = (
            Block("What it does", self._does()),
            Block("A bag used before", self._used_before()),
            Block("Where to look", () if self.passed else lines(self._where()), part="do"),
            Block("Cautions", lines(self.cautions)),
        )
        answer = lines([first, second])
        where = () if self.passed else lines(f"Look at: {x}." for x in self._where())
        few = Short(answer, (*where[:2], *map(sentence, self._does())))
        return Report(self.barometer_Pa, answer, blocks, fixed=True, short=few)

    def _verdict(self) -> str:
        """Return whether the bag will do, and by how much."""
        if self.passed:
            return f"will do, {chance(min(self.share, 1.0))} of what is allowed"
        times = two_figures(figures(self.share, up=True, count=2))
        return f"will not do, {times} times what is allowed"

    def _does(self) -> tuple[Line, ...]:
        """Return how it was judged, and what the leak does to the bag."""
        litres = [v * 1e3 for v in self.volume_m3]
        volume = f"{litres[0]:.1f} l"
        if not self.volume_given:
            volume += f" (estimated from its area, {litres[1]:.1f} to {litres[2]:.1f} l)"
        does: list[Line | str] = [
            f"volume behind the valve: {volume}",
            f"judged by {self.judged_by}",
            f"air fed in: {two_figures(self.air_m3_s * 60e6)} ml a minute of shop air, "
            f"{'its holes' if self.silicone else 'as'} through one hole of "
            f"{math.ceil(self.as_one_hole_m * 1e5) / 100.0:.2f} mm; what comes in over the "
            "laminate ends in it",
        ]
        if self.rise_Pa == 0.0:
            does.append(
                "no rise seen is not no leak: it is smaller than the dial can show; wait longer, "
                "or give the smallest step the dial shows"
            )
        if self.raises_Pa is not None:
            over = rounded_mbar(self.raises_Pa, weaker=True)
            does.append(f"it holds the bag {over} mbar over what the pump reaches")
        if self.steady_Pa is not None:
            steady = At(self.steady_Pa, weaker=False)
            does.append(Line("steady, nothing bled in: {}", (steady,)))
        if self.silicone:
            does.append(self._through())
        return lines(does)

    def _through(self) -> str:
        """Return what a membrane lets through by itself."""
        if self.area_m2 is None:
            return (
                "silicone lets air through with no hole in it: give the bag's area, and that is "
                "taken off; nothing was"
            )
        return (
            f"a silicone membrane of this area lets {leak(self.membrane_Pa_m3_s)} through with no "
            "hole in it (from memory): taken off before its holes are judged, at its low end; that "
            "air feeds the pump and the laminate too"
        )

    def _where(self) -> tuple[str, ...]:
        """Return where to look for the leak, and what to do with a membrane."""
        return (*self.where, PATCH) if self.silicone else self.where

    def _used_before(self) -> tuple[Line, ...]:
        """Return how many pinholes the leak budget bears, and whether to throw the bag away."""
        if not self.reused:
            return ()
        said = [
            f"holes of up to {h.bore_m * 1e3:.2f} mm leak {leak(h.leak_Pa_m3_s)} each: "
            + (f"{h.allowed} would eat the whole budget" if h.allowed else "one is too many")
            for h in self.pinholes
        ]
        mend = PATCH if self.silicone else "throw it away: film costs less than a laminate"
        tape = "patch" if self.silicone else "tape"
        once = "it serves on" if self.silicone else "it may serve once more"
        passed = f"{once}: hold it to the light first, {tape} what shows"
        said.append(passed if self.passed else mend)
        least = catalogue.rigs().pinhole[0].high_si
        said.append(f"holes under {least * 1e3:.2f} mm do not show against the light")
        return lines(said)


def _bound(throughput: float, *, up: bool) -> str:
    """Return a leak [Pa m3/s] that is a bound: rounded up where it is one's own, down a limit."""
    return f"{two_figures(figures(throughput * 10.0, up=up, count=2))} mbar l/s"


def read_time(value: Any) -> float:
    """Return for how long a bag stood shut off [s]."""
    return units.inside(units.positive(value, "s", "time"), *TIME_RANGE_S, "time", "s")


def read_rise(value: Any, name: str = "rise") -> float:
    """Return how far the pressure rose [Pa]: a difference, so inHg needs no word beside it."""
    if not isinstance(value, str):
        return units.positive(value, "Pa", name, zero=True)
    number, rest = units.split_number(value, name)
    unit = rest.lower().replace(" ", "").removesuffix("vacuum")
    if unit not in readings.PASCAL_PER:
        raise InputError(
            f"{name} is {value[:60]!r}; write how far it moved, as '1 inHg' or '5 mbar'"
        )
    if number < 0.0:
        raise InputError(
            f"{name} is {value[:60]!r}: a shut bag that gets deeper by itself does not exist; the "
            "dial sticks, the bag cooled, or the readings are swapped"
        )
    return number * readings.PASCAL_PER[unit]


def drop_test(
    rise: "Measure",
    time: "Measure",
    *,
    rig: Rig | str,
    process: str = "wet layup",
    barometer: "Measure | None" = None,
    silicone: bool = False,
    thickness: "Measure | None" = None,
    reused: bool = False,
) -> DropTest:
    """Return a bag's leak from how fast it loses vacuum when shut off, and whether it will do.

    Parameters
    ----------
    rise, time
        How far the pressure rose, 0 to the barometer, and in what time, 5 s to 48 h: '1 inHg' (a
        difference) in '5 min'.
    rig
        A Rig or its words, with the bag's volume, or its area, from which the volume is estimated;
        its pump's displacement says what the leak does to the steady pressure.
    process
        As in outgas.advise, pressing left out.
    barometer
        The shop's own air pressure, 200 to 1100 hPa; one standard atmosphere if not given.
    silicone, thickness
        A membrane of silicone lets air through with no hole in it, more where it is thinner than
        '2 mm' (the default; 0.3 to 6 mm); what its area lets through is taken off before its holes
        are judged.
    reused
        A film used before has pinholes; a membrane is patched.

    Returns
    -------
    A DropTest: leak, limit and verdict [Pa m3/s], pressures [Pa].

    Raises
    ------
    InputError
        A negative rise, a rise above the barometer, a rig without volume or area.

    Notes
    -----
    Published limits give a rise and no volume; they are taken with a volume and an area that are
    an estimate, and tightened where the pump would be held off by more than a few mbar.

    Leak: q = V dp / t, the definition of throughput for a shut volume; as one hole of area A in
    choked flow of air (textbook gas dynamics, from memory): q = A C p_atm.

    Examples
    --------
    >>> test = drop_test("6 mbar", "10 min", rig=Rig(bag_volume="10 l"))
    >>> round(test.measured_Pa_m3_s * 10.0, 6)  # mbar l/s
    0.1
    >>> drop_test("500 mbar", "5 min", rig=Rig(bag_volume="10 l")).passed
    False
    """
    silicone, reused = read_flag(silicone, "silicone"), read_flag(reused, "reused")
    asked, f, rig = read_process(process), catalogue.rigs(), the_rig(rig)
    name, key = asked.name, asked.told_like.replace(" ", "-")
    if key not in f.leak_rule:
        raise InputError(f"{name} has no bag to drop-test")
    here = air.SEA_LEVEL_PA if barometer is None else read_barometer(barometer)
    rose, seconds = _rose(rise, here), read_time(time)
    volume = _volume(rig)
    came, most = (
        float(flow.leak_from_rise(v, rose, seconds)) for v in (volume.nominal, volume.high)
    )
    through, tight = _membrane(rig.bag_area, silicone, thickness, here)
    leaks, high = max(0.0, came - through), max(0.0, most - tight)
    allowed, by = _budget(f.leak_rule[key].rule_rise.si, rig)
    raises, steady = _with_pump(came, rig)
    per_area = float(flow.orifice_throughput(here, 0.0, 1.0, SHOP_K, f.discharge.si))
    return DropTest(
        process=name,
        volume=volume,
        volume_given=rig.bag_volume is not None,
        area_m2=rig.bag_area,
        rise_Pa=rose,
        time_s=seconds,
        measured_Pa_m3_s=came,
        leak_Pa_m3_s=leaks,
        leak_high_Pa_m3_s=high,
        allowed_Pa_m3_s=allowed,
        allowed_rise_Pa_s=(allowed + tight) / volume.high,
        judged_by=by,
        passed=high <= allowed,
        raises_Pa=raises,
        steady_Pa=steady,
        air_m3_s=came / here,
        as_one_hole_m=2.0 * math.sqrt(leaks / per_area / math.pi),
        silicone=silicone,
        membrane_Pa_m3_s=through,
        pinholes=tuple(_pinholes(allowed, here)),
        reused=reused,
        barometer_Pa=here,
    )


def _rose(rise: Any, here: float) -> float:
    """Return how far the pressure rose [Pa]; refuse more than there is air to let in."""
    rose = read_rise(rise)
    if rose >= here:
        raise InputError(
            f"rise is {rose / 100:.0f} mbar, more than the barometer's {here / 100:.0f} mbar"
        )
    return rose


def _volume(rig: Rig) -> Band:
    """Return the volume behind the valve [m3]; refuse a rig that does not tell it."""
    volume = rig.volume()
    if volume is None:
        raise InputError(
            "rig says neither the bag's volume nor its area; a rise means nothing alone"
        )
    return Band(*volume)


def _membrane(
    area: float | None, silicone: bool, thickness: "Measure | None", here: float
) -> tuple[float, float]:
    """Return what a membrane of silicone lets through with no hole, likely and at least [Pa m3/s].

    By its area, its thickness and the air outside; permeation is a material's own, from memory.
    """
    f = catalogue.rigs()
    if not silicone:
        if thickness is not None:
            raise InputError(f"thickness {thickness} is of a silicone membrane; say silicone too")
        return 0.0, 0.0
    usual = f.silicone_thickness
    thick = usual.si if thickness is None else units.positive(thickness, "m", "thickness")
    units.inside(thick * 1e3, usual.low_si * 1e3, usual.high_si * 1e3, "thickness", "mm")
    share = (area or 0.0) * usual.si / thick * here / air.SEA_LEVEL_PA
    return f.silicone_permeation.si * share, f.silicone_permeation.low_si * share


def _with_pump(leaks: float, rig: Rig) -> tuple[float | None, float | None]:
    """Return by how much a leak [Pa m3/s] lifts the bag, and where it then stands [Pa]."""
    if not rig.pump_displacement:
        return None, None
    raises = leaks / (rig.pump_displacement * catalogue.rigs().displacement_share.low_si)
    ultimate = rig.pump_ultimate
    if ultimate is None and rig.kind is not None:
        ultimate = rig.kind.ultimate.si
    return raises, None if ultimate is None else ultimate + raises


def _budget(rule: float, rig: Rig) -> tuple[float, str]:
    """Return the leak allowed [Pa m3/s]: the trade's rule by area, or what the pump can spare."""
    f = catalogue.rigs()
    area = rig.bag_area if rig.bag_area is not None else f.rule_area.si
    by_rule = rule * f.rule_volume.si * area / f.rule_area.si
    if not rig.pump_displacement:
        return by_rule, "the trade's rule for this process, by the bag's area"
    speed = rig.pump_displacement * f.displacement_share.low_si
    by_pump = f.pressure_given_up.si * speed
    if by_pump < by_rule:
        given = f.pressure_given_up.si / 100
        return by_pump, f"what raises the bag by {given:.0f} mbar over what the pump reaches"
    return by_rule, "the trade's rule for this process, by the bag's area"


def _pinholes(allowed: float, here: float) -> list[Pinholes]:
    found = []
    f = catalogue.rigs()
    for number in f.pinhole:
        bore = number.high_si  # the larger of its kind
        each = float(
            flow.orifice_throughput(here, 0.0, flow.circle(bore), SHOP_K, f.discharge.low_si)
        )
        found.append(Pinholes(bore_m=bore, leak_Pa_m3_s=each, allowed=math.floor(allowed / each)))
    return found
