"""Build data/saturation.toml from data/volatiles.toml with CoolProp: python -m outgas.fit."""

import sys
from pathlib import Path

from outgas import catalogue

HEAD = """\
# Built from volatiles.toml by: python -m outgas.fit. Do not edit; a test rebuilds it.
# Each curve is ln(p/Pa), a polynomial in x = scale/T - offset between T_low and T_high (K), with
# the coefficients of x^0, x^1, ... alpha: Mathias-Copeman numbers of the Peng-Robinson equation,
# zero where CoolProp has a reference equation. residual: relative miss of the cubic against its
# correlation, inside the correlation's stated range and over the whole curve.
"""


def text() -> str:
    """Return what data/saturation.toml should say, built now."""
    lines = [HEAD]
    for name in catalogue.volatiles():
        made = catalogue.build(catalogue.volatile(name))
        lines.append(f'[{name}]\nrecord = "{made.record}"\nalpha = {list(made.alpha)!r}')
        lines.append(f"residual_stated = {made.residual_stated:.3g}")
        lines.append(f"residual_extended = {made.residual_extended:.3g}")
        for s in made.segment:
            lines.append(f"[[{name}.segment]]\nT_low = {s.T_low!r}\nT_high = {s.T_high!r}")
            lines.append(f"scale = {s.scale!r}\noffset = {s.offset!r}")
            lines.append(f"coefficients = {list(s.coefficients)!r}")
        lines.append("")
    return "\n".join(lines)


def main() -> int:
    """Write the table beside volatiles.toml in a checkout."""
    target = Path(str(catalogue.data_root())) / "saturation.toml"
    target.write_text(text(), encoding="utf-8")
    sys.stdout.write(f"wrote {target}\n")
    return 0


if __name__ == "__main__":
    sys.exit(main())
