"""What a case costs from one to a hundred million: python tests/bench/many_sizes.py [SIZE ...].

Beside it the plain loop over CoolProp and chemicals for the vapour pressures alone.
"""

import argparse
import resource
import time

import numpy as np

import outgas
from outgas.units import quantity

UP = "orthophthalic-polyester"


def asked(size):
    each = max(round(size ** (1 / 3)), 1)
    return {
        "temperature": quantity(np.linspace(16.0, 34.0, each), "degC"),
        "humidity": np.linspace(0.2, 0.9, each),
        "altitude": quantity(np.linspace(0.0, 2500.0, max(round(size / each**2), 1)), "m"),
    }


def worked(size):
    """Work that many cases, lazily where they would not lie in memory; return the mean."""
    told = asked(size)
    if size <= 1000:
        return float(outgas.sweep(UP, voids=False, **told).deepest.mean())
    chunks = None if size <= 1_000_000 else {"temperature": 50, "humidity": 50}
    found = outgas.sweep(UP, how="interpolated", chunks=chunks, **told)
    import dask

    with dask.config.set(scheduler="synchronous"):
        return float(found.deepest.mean())


def plain_loop(count=2000):
    """Microseconds a case for two vapour pressures, asked one by one."""
    from chemicals.vapor_pressure import Antoine
    from CoolProp.CoolProp import PropsSI

    begun = time.process_time()
    for T in np.linspace(289.0, 307.0, count):
        PropsSI("P", "T", float(T), "Q", 0.0, "Water")
        Antoine(float(T), 9.0, 1450.0, -63.0)
    return (time.process_time() - begun) / count * 1e6


def main():
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("sizes", nargs="*", type=float, default=[1, 1e3, 1e5, 1e6, 1e7])
    worked(1)
    for size in map(int, parser.parse_args().sizes):
        begun = time.process_time()
        worked(size)
        spent = time.process_time() - begun
        peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1e6
        print(f"{size:>11,} cases {spent:8.2f} s  {spent / size * 1e6:9.2f} us each  {peak:.2f} GB")
    print(f"plain loop over two vapour pressures: {plain_loop():.1f} us each")


if __name__ == "__main__":
    main()
