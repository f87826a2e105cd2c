"""The record behind data/transport.toml: how gas moves in a family of resins.

By family, because nothing finer is known; most of the numbers are estimates with wide ranges.
"""

from outgas.numbers import Named, Number


class Transport(Named, frozen=True, kw_only=True):
    """Diffusion, water uptake, surface tension, and the index of refraction."""

    title: str
    air_diffusivity: Number
    monomer_diffusivity: Number
    water_diffusivity: Number
    diffusion_energy: Number
    water_saturation: Number
    surface_tension: Number
    refractive_index: Number
