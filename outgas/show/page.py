"""The advice as a small piece of HTML for a notebook."""

from html import escape

from outgas.advice.record import Advice
from outgas.show.text import answer, pushing


def advice_html(advice: Advice) -> str:
    """Return the answer, the limits and the cautions as HTML that needs no style sheet."""
    first, *rest = answer(advice)
    rows = "".join(
        f"<tr><td>{escape(name)}</td><td>{advice.nominal_limits_Pa[name] / 100:.0f}</td>"
        f"<td>{p / 100:.0f}</td></tr>"
        for name, p in advice.limits_Pa.items()
    )
    cautions = "".join(f"<li>{escape(text)}</li>" for text in advice.cautions)
    return (
        f"<div><p><b>{escape(first)}</b></p>"
        + "".join(f"<p>{escape(line)}</p>" for line in rest)
        + "<table><tr><th>limit</th><th>nominal, mbar</th><th>safe side, mbar</th></tr>"
        + f"{rows}</table><p>{escape(pushing(advice))}</p><ul>{cautions}</ul></div>"
    )
