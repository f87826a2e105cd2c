"""The layup, from what a builder says: plies, core, area, tool, and what lies under the bag."""

import copy
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from outgas import units
from outgas.errors import InputError, OutOfRangeError
from outgas.job.layup_told import arguments_of
from outgas.job.material_words import (
    CORE_MARK,
    Ply,
    material,
    plies_told,
    read_core,
    read_plies,
    split_material,
)
from outgas.physics.heat import Slabs, across_fibres
from outgas.show import plain
from outgas.tables.materials import Consumable, Core, Resin, Tool
from outgas.tables.rates import Curing

if TYPE_CHECKING:
    from outgas.units import Measure, Quantity

KIND, VERSION = "outgas layup", 1  # of to_dict()
_ARGUMENTS = ("plies", "core", "area", "tool", "bag_side", "ply", "core_moisture")
CORE_RANGE_M = (0.0005, 0.3)
TOOL_RANGE_M = (0.0002, 0.5)
AREA_RANGE_M2 = (1e-4, 1000.0)
LAMINATE_LIMIT_M = 0.2
MOST_OVER_IT = 20  # layers between the laminate and the bag


@dataclass(frozen=True, slots=True, init=False, repr=False)
class Layup:
    """What is being laminated.

    Parameters
    ----------
    plies
        Each '400 g/m2 woven glass', 10 to 5000 g/m2, with '3 x ' before it for three of them, at
        most 200, and 200 mm of laminate: all that cures in one go, both skins of a sandwich
        together. 'core' among them says where the core lies, from the tool up; without it the
        layers are shared, the odd one under the bag.
        A TOML file of one's own in place of a name, '200 g/m2 my-cloth.toml', goes for core, tool
        and bag_side too.
    core
        '15 mm PVC foam', '20 mm expanded polystyrene', 0.5 to 300 mm, or None. 'perforated',
        'grooved' or 'scored' before its name: gas under it can leave through it. A density beside
        its name, '60 mm 20 kg/m3 EPS', chooses the record, which is never a denser one.
    area
        Of the panel, as '0.8 m2', 1 cm2 to 1000 m2; needed for forces and masses.
    tool
        '6 mm glass plate', '18 mm plywood', '10 mm steel', 0.2 to 500 mm; without one the
        underside is taken to pass no heat, the hot side.
    bag_side
        What lies between laminate and bag, in order: 'peel ply', 'perforated film', 'breather'.
        Decides whether freed gas can leave; the process's habit holds if not given.
    ply
        Another name of plies: that of the command line's option.
    core_moisture
        Water in the core by mass of the dry core, '12 %', as a meter shows it; what wood takes up
        from the shop's air if not given. It can only ask for less vacuum: a wood core is never
        taken to be drier than the air makes it, and any water in another core counts as free.

    Raises
    ------
    UnknownNameError, UnitError, InputError, OutOfRangeError
        One line each, with the nearest name or the allowed range.

    Notes
    -----
    Laminate thickness: sum m / (rho_f V_f), areal mass m, fibre density rho_f, the fabric's usual
    fibre fraction V_f under a bag: a mass balance, with figures whose source the tables name.

    Examples
    --------
    >>> layup = Layup(plies=["3 x 400 g/m2 woven glass"], core="15 mm PVC foam", area="0.8 m2")
    >>> layup.layers, layup.plies_under, layup.core_thickness_m
    (3, 1, 0.015)
    >>> layup.lets_gas_out is None  # the bag side was not said
    True
    """

    plies: tuple[Ply, ...]
    plies_under: int
    core: Core | None
    core_thickness_m: float
    area_m2: float | None
    tool: Tool | None
    tool_thickness_m: float
    bag_side: tuple[Consumable, ...] | None
    core_is_open: bool
    core_moisture: float | None

    def __init__(
        self,
        *,
        plies: Sequence[str] | None = None,
        core: str | None = None,
        area: "Measure | None" = None,
        tool: str | None = None,
        bag_side: Sequence[str] | None = None,
        ply: Sequence[str] | None = None,
        core_moisture: Any = None,
    ) -> None:
        if plies is not None and ply is not None:
            raise InputError("ply is another name of plies; give one of them")
        plies = plies if ply is None else ply
        if isinstance(plies, str) or isinstance(bag_side, str):
            raise InputError("plies and bag_side are lists, as ['400 g/m2 woven glass']")
        plies = () if plies is None else plies_told(plies)
        put = object.__setattr__
        layers, under = read_plies(plies, core is not None)
        put(self, "plies", layers)
        put(self, "plies_under", under)
        if self.laminate_thickness_m > LAMINATE_LIMIT_M:
            raise OutOfRangeError(
                f"the plies make {self.laminate_thickness_m * 1e3:.0f} mm of laminate; "
                f"at most {LAMINATE_LIMIT_M * 1e3:.0f} mm"
            )
        put(self, "core", None)
        put(self, "core_thickness_m", 0.0)
        put(self, "core_is_open", False)
        if core is not None:
            said = read_core(core)
            put(self, "core", said.record)
            put(self, "core_is_open", said.is_open)
            length = _length(said.thickness, CORE_RANGE_M, f"core {core!r}")
            put(self, "core_thickness_m", length)
        put(self, "core_moisture", _moisture(core_moisture, core))
        put(self, "area_m2", None)
        if area is not None:
            put(self, "area_m2", units.positive(area, "m**2", "area"))
            units.inside(self.area_m2 or 0.0, *AREA_RANGE_M2, "area", "m2")
        put(self, "tool", None)
        put(self, "tool_thickness_m", 0.0)
        if tool is not None:
            thick, words = split_material(tool, "tool", "6 mm glass plate")
            put(self, "tool", material(Tool, "tool", "tools.toml", words))
            put(self, "tool_thickness_m", _length(thick, TOOL_RANGE_M, f"tool {tool!r}"))
        put(self, "bag_side", None)
        if bag_side is not None:
            told = units.listed(bag_side, "bag_side", "peel ply", MOST_OVER_IT)
            found = (material(Consumable, "consumable", "consumables.toml", w) for w in told)
            put(self, "bag_side", tuple(found))

    @property
    def laminate_thickness_m(self) -> float:
        """Of all plies together [m], the core left out."""
        return sum(ply.thickness for ply in self.plies)

    @property
    def thickness(self) -> "Quantity":
        """Of all plies together [m], the core left out."""
        return units.quantity(self.laminate_thickness_m, "m")

    @property
    def fibre_mass(self) -> "Quantity":
        """Of all plies together [kg/m2]."""
        return units.quantity(sum(ply.fibre_mass for ply in self.plies), "kg/m**2")

    def resin_mass(self, density: float) -> float:
        """Return the resin that fills the plies at their usual fibre fraction [kg/m2].

        density is the resin's, above zero [kg/m3]; none is refused.

        Notes
        -----
        sum t (1 - V_f) rho over the plies, thickness t, fibre fraction V_f: a mass balance.

        Examples
        --------
        >>> one, two = (Layup(plies=[f"{n} x 400 g/m2 woven glass"]) for n in (1, 2))
        >>> round(two.resin_mass(1100.0) / one.resin_mass(1100.0), 6)
        2.0
        """
        return sum(
            ply.thickness * (1.0 - ply.fabric.fibre_fraction.si) * density for ply in self.plies
        )

    def half(self) -> "Layup":
        """Return the layup with every other layer left out on both sides of the core: one stage.

        Examples
        --------
        >>> Layup(plies=["4 x 400 g/m2 woven glass"]).half().layers
        2
        """

        def halved(plies: tuple[Ply, ...]) -> tuple[Ply, ...]:
            layers = [Ply(1, p.areal_mass, p.fabric) for p in plies for _ in range(p.count)]
            return tuple(layers[: (len(layers) + 1) // 2])

        under = halved(self.plies[: self.plies_under])
        other = copy.copy(self)
        object.__setattr__(other, "plies", (*under, *halved(self.plies[self.plies_under :])))
        object.__setattr__(other, "plies_under", len(under))
        return other

    def times(self, count: int) -> "Layup":
        """Return the layup with so many of each layer, one or more.

        Examples
        --------
        >>> Layup(plies=["2 x 400 g/m2 woven glass"]).times(3).layers
        6
        """
        other = copy.copy(self)
        plies = tuple(Ply(count * p.count, p.areal_mass, p.fabric) for p in self.plies)
        object.__setattr__(other, "plies", plies)
        return other

    def with_core(self, core: Core) -> "Layup":
        """Return the layup on another core of the same thickness.

        Examples
        --------
        >>> foam, balsa = (Layup(core=f"15 mm {kind}") for kind in ("PVC foam", "balsa"))
        >>> foam.with_core(balsa.core) == balsa
        True
        """
        other = copy.copy(self)
        object.__setattr__(other, "core", core)
        return other

    def on_tool(self, tool: str) -> "Layup":
        """Return the layup on a tool, as '6 mm glass plate'.

        Examples
        --------
        >>> Layup(plies=["400 g/m2 woven glass"]).on_tool("18 mm plywood").tool.title
        'plywood table'
        """
        thick, words = split_material(tool, "tool", "6 mm glass plate")
        other = copy.copy(self)
        object.__setattr__(other, "tool", material(Tool, "tool", "tools.toml", words))
        object.__setattr__(
            other, "tool_thickness_m", _length(thick, TOOL_RANGE_M, f"tool {tool!r}")
        )
        return other

    @property
    def layers(self) -> int:
        """How many layers of cloth there are."""
        return sum(ply.count for ply in self.plies)

    def slabs(
        self, resin: Resin, bag_side: Sequence[Consumable] = (), *, rich: bool = False
    ) -> "Slabs":
        """Return the layers, tool to bag, as plain arrays for the heat kernel.

        bag_side is what usually lies over the laminate, where the layup does not say; rich takes
        the least fibre fraction that is usual for each cloth, the hot end.

        Returns Slabs of arrays, one entry a layer: thickness [m], conductivity [W/(m K)], capacity
        [J/(m3 K)], resin per volume [kg/m3]. InputError for a layup without plies.

        Notes
        -----
        Capacity by mixing in volume; conductivity across the fibres by Halpin and Tsai's form (from
        memory).

        Examples
        --------
        >>> from outgas.tables.catalogue import resin
        >>> layup = Layup(plies=["2 x 400 g/m2 woven glass"], tool="6 mm glass plate")
        >>> layup.slabs(resin("epoxy-laminating")).thickness.shape  # the tool, the plies
        (2,)
        """
        return slabs_of(self, Curing(resin), bag_side, rich=rich)

    def but(self, **told: Any) -> "Layup":
        """Return this layup with some arguments told otherwise, by the constructor's own names.

        The core keeps its place among plies that are not told anew; None takes an argument away.
        Errors as of the constructor.

        Examples
        --------
        >>> skin = Layup(plies=["2 x 400 g/m2 woven glass"], area="0.8 m2")
        >>> skin.but(core="15 mm PVC foam").plies_under, skin.but(area=None).area_m2
        (1, None)
        """
        plain.known_names(told, _ARGUMENTS, "Layup")
        if "ply" in told:
            told["plies"] = told.pop("ply")
        said = arguments_of(self.to_dict())
        if "core" in told and told["core"] is None:
            said["core_moisture"] = None
            said["plies"] = [ply for ply in said["plies"] if ply != CORE_MARK]
        if told.get("plies", ()) is None:
            told["plies"] = ()
        return Layup(**{**said, **told})

    def to_dict(self) -> dict[str, Any]:
        """Return plain types in SI, the unit in each key, materials by name, with a version.

        Examples
        --------
        >>> layup = Layup(plies=["3 x 400 g/m2 woven glass"], core="15 mm perforated balsa")
        >>> Layup.from_dict(layup.to_dict()) == layup
        True
        """
        core, tool = None, None
        if self.core is not None:
            open_ = self.core_is_open
            core = {
                "name": self.core.name,
                "thickness_m": self.core_thickness_m,
                "open": open_,
                "moisture": self.core_moisture,
            }
        if self.tool is not None:
            tool = {"name": self.tool.name, "thickness_m": self.tool_thickness_m}
        return {
            "kind": KIND,
            "version": VERSION,
            "plies": [
                {"count": p.count, "areal_mass_kg_m2": p.areal_mass, "fabric": p.fabric.name}
                for p in self.plies
            ],
            "plies_under_core": self.plies_under,
            "core": core,
            "area_m2": self.area_m2,
            "tool": tool,
            "bag_side": None if self.bag_side is None else [layer.name for layer in self.bag_side],
        }

    @classmethod
    def from_dict(cls, found: Mapping[str, Any]) -> "Layup":
        """Return the layup that to_dict() gave; errors as of the constructor, for anything else.

        Materials of files of one's own are known by their path, and read again from there.

        Examples
        --------
        >>> Layup.from_dict(Layup(area="0.8 m2").to_dict()).area_m2
        0.8
        """
        return cls(**arguments_of(plain.opened(found, KIND, VERSION, _PLAIN_KEYS)))

    def __repr__(self) -> str:
        parts = []
        if self.plies:
            cloths = " and ".join(dict.fromkeys(ply.fabric.name for ply in self.plies))
            parts.append(f"{self.layers} layers of {cloths}")
        if self.core is not None:
            parts.append(f"{self.core_thickness_m * 1e3:.4g} mm {self.core.name}")
        if self.area_m2 is not None:
            parts.append(f"{self.area_m2:.4g} m2")
        if self.tool is not None:
            parts.append(f"on {self.tool_thickness_m * 1e3:.4g} mm {self.tool.name}")
        return f"Layup({', '.join(parts)})"

    @property
    def lets_gas_out(self) -> bool | None:
        """Whether freed gas can leave through the bag side; None where that was not said."""
        if self.bag_side is None:
            return None
        return all(layer.passes_gas for layer in self.bag_side)


_PLAIN_KEYS = ("plies", "plies_under_core", "core", "area_m2", "tool", "bag_side")


def _moisture(given: Any, core: str | None) -> float | None:
    """Return the water in a core, of its dry mass; refused without a core."""
    if given is None:
        return None
    if core is None:
        raise InputError(f"moisture is {str(given)[:40]!r}, of a core; name the core too")
    return units.one_fraction(given, "moisture")


def _length(text: str, span: tuple[float, float], name: str) -> float:
    length = units.positive(text, "m", name)
    units.inside(length * 1e3, span[0] * 1e3, span[1] * 1e3, name, "mm")
    return length


# thickness, conductivity, capacity, resin per volume, slope of the capacity with temperature
Layer = tuple[float, float, float, float, float]


def laminate(ply: Ply, curing: Curing, *, rich: bool = False) -> Layer:
    """Return a group of plies, wet out to the fabric's usual fibre fraction, or to its rich end."""
    family, cloth = curing.family, ply.fabric
    V = cloth.fibre_fraction.low_si if rich else cloth.fibre_fraction.si
    thick = ply.thickness * cloth.fibre_fraction.si / V
    solid = V * cloth.fibre_density.si * cloth.heat_capacity.si
    wet = (1.0 - V) * curing.resin.density.si
    k = across_fibres(family.conductivity.si, cloth.fibre_conductivity.si, V)
    slope = wet * family.heat_capacity_slope.si  # of the resin: fibres change little
    return thick, k, solid + wet * family.heat_capacity.si, wet, slope


def slabs_of(
    layup: Layup, curing: Curing, bag_side: Sequence[Consumable], *, rich: bool = False
) -> Slabs:
    """Return all layers from the tool's underside to the bag."""
    if not layup.plies:
        raise InputError("the layup has no plies; name them, as '400 g/m2 woven glass'")
    layers: list[Layer] = []
    tool, core, under = layup.tool, layup.core, layup.plies_under
    wet = [laminate(ply, curing, rich=rich) for ply in layup.plies]
    if tool is not None:
        capacity = tool.density.si * tool.heat_capacity.si
        layers.append((layup.tool_thickness_m, tool.conductivity.si, capacity, 0.0, 0.0))
    layers += wet[:under]
    if core is not None:
        capacity = core.density.si * core.heat_capacity.si
        layers.append((layup.core_thickness_m, core.conductivity.si, capacity, 0.0, 0.0))
    layers += wet[under:]
    for layer in layup.bag_side if layup.bag_side is not None else bag_side:
        thick = layer.thickness.si
        capacity = layer.areal_mass.si / thick * layer.heat_capacity.si
        layers.append((thick, layer.conductivity.si, capacity, 0.0, 0.0))
    columns = np.array(layers, dtype=float).T
    return Slabs(
        thickness=columns[0],
        conductivity=columns[1],
        capacity=columns[2],
        resin=columns[3],
        capacity_slope=columns[4],
    )
