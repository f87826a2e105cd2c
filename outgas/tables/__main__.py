"""Build data/saturation.toml and data/kinetics.toml from the tables: python -m outgas.tables.

Saturation curves come from volatiles.toml through CoolProp, rate constants of cure from the data
sheets in resins.toml and the families in cure.toml.
"""

import sys
from pathlib import Path

from outgas.files import write_atomic
from outgas.tables import catalogue, data, rates, volatiles

HEAD = """\
# Built from volatiles.toml by: python -m outgas.tables. Do not edit; a test rebuilds it.
# Each curve is ln(p/Pa), a polynomial in x = scale/T - offset between T_low and T_high (K), with
# the coefficients of x^0, x^1, ... alpha: Mathias-Copeman numbers of the Peng-Robinson equation,
# zero where CoolProp has a reference equation. residual: relative miss of the cubic against its
# correlation, inside the correlation's stated range and over the whole curve.
"""


def text() -> str:
    """Return what data/saturation.toml should say, built now."""
    lines = [HEAD]
    for name in catalogue.volatiles():
        made = volatiles.build(catalogue.volatile(name))
        lines.append(f'[{name}]\nrecord = "{made.record}"\nalpha = {list(made.alpha)!r}')
        lines.append(f"residual_stated = {made.residual_stated:.3g}")
        lines.append(f"residual_extended = {made.residual_extended:.3g}")
        for s in made.segment:
            lines.append(f"[[{name}.segment]]\nT_low = {s.T_low!r}\nT_high = {s.T_high!r}")
            lines.append(f"scale = {s.scale!r}\noffset = {s.offset!r}")
            lines.append(f"coefficients = {list(s.coefficients)!r}")
        lines.append("")
    return "\n".join(lines)


RATES_HEAD = """\
# Built from resins.toml and cure.toml by: python -m outgas.tables. Do not edit; a test rebuilds it.
# Rate constants at 25 degC that give back each sheet's gel time, time to peak and peak. induction:
# time until the inhibitor is used up. final_conversion: where the reaction stops, solved with them
# for the heat loss of the standard mass that stands beside it; most_final_conversion: for the
# largest heat loss that such a cup may have. residual: worst relative miss of the three.
"""


def rates_text() -> str:
    """Return what data/kinetics.toml should say, solved now."""
    lines = [RATES_HEAD]
    for name in catalogue.resins():
        resin = catalogue.resin(name)
        if resin.published:
            continue
        made = rates.solve(resin)
        lines.append(f'[{name}]\nrecord = "{made.record}"')
        lines.append(f"induction_s = {made.induction_s:.8g}")
        lines.append(f"k1_per_s = {made.k1_per_s:.8g}\nk2_per_s = {made.k2_per_s:.8g}")
        lines.append(f"final_conversion = {made.final_conversion:.8g}")
        lines.append(f"most_final_conversion = {made.most_final_conversion:.8g}")
        if made.cup_loss_W_per_K is not None:
            lines.append(f"cup_loss_W_per_K = {made.cup_loss_W_per_K:.8g}")
        lines.append(f"residual = {made.residual:.1g}\n")
    return "\n".join(lines)


def main() -> int:
    """Write both tables beside their sources in a checkout."""
    for name, make in (("saturation.toml", text), ("kinetics.toml", rates_text)):
        target = Path(str(data.root())) / name
        write_atomic(target, make().encode("utf-8"), shown=True)
        sys.stdout.write(f"wrote {target}\n")
    return 0


if __name__ == "__main__":
    sys.exit(main())
