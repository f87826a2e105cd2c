"""What became of the bubbles, in words: the answer first."""

from html import escape

from outgas.advice.bubble_history import DARK, FROTH, BubbleHistory
from outgas.show.text import block as block

# What the eye makes of a millimetre of it over black, by the light it sends back above a clear one.
# Estimates; no published law of whiteness was found.
SEEN = ((0.02, "clear to the eye"), (0.08, "hazy"), (0.25, "milky"), (1.0, "white"))
SHOWN_THICKNESS = "1 mm"
SINGLY_M = 1e-4  # across: from here the eye sees each bubble
LEAST_SHARE = 0.005  # of the gas, worth naming


def bubbles_text(history: BubbleHistory) -> str:
    """Return the history as plain text; the first lines are the answer."""
    k = history.at_gel
    lines = [f"{_when(history)}: {_state(history, k)}."]
    if history.gel_s is not None and k < history.time_s.shape[0] - 1:
        lines.append(f"After it, at {_minutes(history.time_s[-1])}: {_state(history, -1)}.")
    if history.froths:
        lines.append(
            f"It froths: past {FROTH:.0%} voids the bubbles touch, and how much more it is this "
            "cannot tell."
        )
    gone = float(history.per_volume @ history.dissolved / history.per_volume.sum())
    if gone > 0.0:
        lines.append(
            f"{gone:.0%} of the bubbles dissolved, and those do not come back here; fibres hold "
            "nuclei that do: name crevices for them."
        )
    lines.append(_look(history))
    return "\n".join([*lines, "", block("Assumed", list(history.assumptions))])


def bubbles_html(history: BubbleHistory) -> str:
    """Return the answer and what was assumed as HTML that needs no style sheet."""
    answer, _, assumed = bubbles_text(history).partition("\n\n")
    first, *rest = answer.splitlines()
    said = "".join(f"<p>{escape(line)}</p>" for line in rest)
    return f"<div><p><b>{escape(first)}</b></p>{said}<pre>{escape(assumed)}</pre></div>"


def _minutes(seconds: float) -> str:
    return f"{seconds / 60:.0f} min" if seconds >= 120.0 else f"{seconds:.3g} s"


def _when(history: BubbleHistory) -> str:
    if history.gel_s is None:
        return f"Still liquid at {_minutes(history.time_s[-1])}"
    return f"At the gel ({_minutes(history.gel_s)})"


def _state(history: BubbleHistory, k: int) -> str:
    """Return void content, size and make-up at one time."""
    R = history.median_radius(k)
    if not history.void[k] > 0.0:  # dissolved, or all gone to the breather
        return "no bubble left"
    shares = {n: float(s[k]) for n, s in history.composition.items() if s[k] >= LEAST_SHARE}
    ordered = sorted(shares.items(), key=lambda item: -item[1])
    made = ", ".join(f"{name} {share:.0%}" for name, share in ordered)
    void = history.void[k]
    voids = f"{void:.0%}" if void >= 0.1 else f"{100.0 * void:.2g}%"
    return f"{voids} voids, half the bubbles over {_across(R)} across ({made})"


def _across(radius: float) -> str:
    """Return a bubble's diameter, as a loupe with a scale shows it."""
    d = 2.0 * radius
    if d < 0.995 * SINGLY_M:  # below what two digits would round up to it
        return f"{d * 1e6:.2g} um"
    return f"{d * 1e3:.2g} mm" if d < 0.0995 else f"{d * 1e3:.0f} mm"


def _look(history: BubbleHistory) -> str:
    """Return how white a millimetre of it is over black."""
    hazy, clear = history.reflectance(SHOWN_THICKNESS, DARK)
    more = hazy - clear
    word = next(word for level, word in SEEN if more <= level or level == SEEN[-1][0])
    if history.void[-1] > 0.0 and 2.0 * history.median_radius() >= SINGLY_M:
        word += ", with bubbles that can be seen one by one"
    return (
        f"{SHOWN_THICKNESS} of it over black sends back {hazy:.0%} of the light, clear resin "
        f"{clear:.0%}: {word}."
    )
