"""A layup as slabs for the heat kernel: thickness, conductivity, capacity, resin of each layer."""

from collections.abc import Sequence

import numpy as np

from outgas.errors import InputError
from outgas.job.layup import Layup, Ply
from outgas.physics.heat import Slabs, across_fibres
from outgas.tables.materials import Consumable
from outgas.tables.rates import Curing

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
        raise InputError("the layup has no plies; give Layup(plies=['400 g/m2 woven glass'])")
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
