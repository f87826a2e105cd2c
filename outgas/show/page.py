"""Advice and diagnosis as small pieces of HTML for a notebook."""

from collections.abc import Iterable
from html import escape

from outgas.advice.diagnosis import Diagnosis
from outgas.advice.record import Advice
from outgas.show import reasons
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


def diagnosis_html(diagnosis: Diagnosis) -> str:
    """Return the answer, the causes side by side, what to change and the cautions as HTML."""
    first, *rest = reasons.answer(diagnosis)
    told = reasons.leaders(diagnosis)
    rows = "".join(
        f"<tr><td>{escape(cause.title)}</td><td>{reasons.percent(cause.probability)}</td>"
        f"<td>{_items(cause.evidence_for)}</td><td>{_items(cause.evidence_against)}</td>"
        f"<td>{escape(reasons.size(cause))}</td><td>{_items(map(str, cause.change))}</td></tr>"
        for cause in told
    )
    heads = ("cause", "probability", "for", "against", "would make", "change")
    return (
        f"<div><p><b>{escape(first)}</b></p>"
        + "".join(f"<p>{escape(line)}</p>" for line in rest)
        + "<table><tr>"
        + "".join(f"<th>{head}</th>" for head in heads)
        + f"</tr>{rows}</table><p>Less likely: {escape(reasons.less_likely(diagnosis))}</p>"
        + _items([*reasons.matters(diagnosis), *diagnosis.cautions])
        + "</div>"
    )


def _items(lines: Iterable[str]) -> str:
    return "<ul>" + "".join(f"<li>{escape(line)}</li>" for line in lines) + "</ul>"
