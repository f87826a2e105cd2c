"""How the benches time and report: shortest of several runs, figures printed and kept."""

import time


def best(call, repeat=15):
    found = []
    for _ in range(repeat):
        start = time.perf_counter()
        call()
        found.append(time.perf_counter() - start)
    return min(found)


def report(benchmark, capsys, **figures):
    benchmark.extra_info.update(figures)
    with capsys.disabled():
        shown = ", ".join(f"{name} {value:.4g}" for name, value in figures.items())
        print(f"\n  {benchmark.name}: {shown}")
