"""Why a laminate went white: `outgas.diagnose`, from what was seen to a ranked list of causes.

read (seen.py) -> what the physics leaves room for (scene.py, gas_gates.py, gates.py) -> weigh the
answers (weighing.py) -> what to ask (asking.py) and what to change (changes.py).
"""

import math
from typing import TYPE_CHECKING, Any

import numpy as np

from outgas import catalogue, units
from outgas.advice import cautions, changes, look
from outgas.advice.asked import Inputs, read_inputs, refuse
from outgas.advice.asking import next_question
from outgas.advice.diagnosis import Change, Diagnosis, Suspect
from outgas.advice.gates import gate_of
from outgas.advice.limits import Case
from outgas.advice.opening import autoclave_pressure, case_of, reading_error
from outgas.advice.scene import COLDER_K, Gate, Scene, scene_of
from outgas.advice.seen import DEEPEST_PA, Belief, certain, read_bag, read_seen
from outgas.advice.weighing import (
    Entry,
    leads_clearly,
    likelihood,
    posterior,
    ranked,
    weight_of_unlisted,
)
from outgas.errors import InputError, RefusedError
from outgas.job.layup import Layup
from outgas.job.rig import Rig
from outgas.job.shop import Shop
from outgas.records import Resin
from outgas.signs import STRENGTHS

if TYPE_CHECKING:
    from outgas.units import Measure

BAG_POINTS = 21  # pressures at which what was seen is weighed anew
_CLOTHS = {"chopped-strand-mat": "chopped mat"}


def diagnose(
    resin: str | Resin,
    shop: Shop,
    *,
    process: str = "wet layup",
    seen: Any = None,
    bag_pressure: Any = None,
    layup: Layup | None = None,
    rig: Rig | None = None,
    hottest: "Measure | None" = None,
    air_pressure: "Measure | None" = None,
    degassed: "Measure | None" = None,
    entrained: Any = None,
    water_activity: Any = None,
    contaminants: dict[str, Any] | None = None,
    reads_with: str = "dial",
    initiator: Any = None,
    gel_time: "Measure | None" = None,
) -> Diagnosis:
    """Return why a laminate went white, as far as can be told, and what to ask and change.

    Parameters
    ----------
    resin, shop, process, layup, rig
        As in outgas.advise: what was laminated, where, how and with what.
    seen
        What was seen or remembered, as {'where': 'on strands'} or ['where=on strands']; questions
        and answers of outgas.questions(). Leave out what was not looked at.
    bag_pressure
        A reading ('28 inHg vacuum', '60 mbar', a quantity), an interval of two readings (a pair, or
        '40 to 90 mbar'), 'very good bag', 'weak bag', a belief with chance_below, or None.
    hottest
        Warmest moment before the gel could hold a bubble, if known.
    air_pressure, degassed, entrained, water_activity, contaminants
        As in outgas.advise.
    reads_with
        'dial', 'water' or 'sensor 5 mbar': how far a reading of bag_pressure may be off.
    initiator, gel_time
        As in outgas.advise: they set how warm a layup got before its gel could hold a bubble.

    Returns
    -------
    A Diagnosis: ranked causes, .ask, .cannot_tell, str() for a builder, to_dict() for a script.
    Pressures [Pa] are absolute, temperatures [K].

    Raises
    ------
    UnknownNameError, InputError, OutOfRangeError, DataError
        One line each: what was given and what is allowed, with the nearest words.

    Notes
    -----
    What should not have been laid up at all (polystyrene with styrene, a tool below the dew point)
    is not refused here, for it has happened: .refusal says it.
    """
    answers = read_seen(seen)
    pot = degassed
    noted = []
    if answers.get("degassed") == "yes" and degassed is None and air_pressure is None:
        pot = units.quantity(catalogue.practice().gas.pot_pressure.si, "Pa")
        noted.append(
            f"degassed, no pressure given: taken as a pot at {pot.m_as('mbar'):.0f} mbar, which "
            "leaves about half of the air"
        )
    if answers.get("degassed") == "no" and (degassed is not None or air_pressure is not None):
        raise InputError("seen says degassed=no, but degassed or air_pressure was given; drop one")
    asked = read_inputs(
        resin,
        shop,
        process=process,
        layup=layup,
        rig=rig,
        vapour_share=None,
        confidence=0.95,
        hottest=hottest,
        air_pressure=air_pressure,
        degassed=pot,
        entrained=entrained,
        water_activity=water_activity,
        contaminants=contaminants,
        void_target="2 %",
        reads_with=reads_with,
        initiator=initiator,
        gel_time=gel_time,
    )
    if asked.process == "degassing":
        raise InputError("process is degassing; a pot has no laminate to go white")
    implied = _implied(asked, answers)
    for name, answer in implied.items():
        noted.append(f"{name.replace('-', ' ')}: {answer}, from what was described")
    answers = {**implied, **answers}
    error = None if asked.reads_with == "water" else reading_error(asked, 0.0)
    bag = read_bag(bag_pressure, shop.barometer_Pa, error)
    case = case_of(asked)
    scene = scene_of(asked, case, bag, _in_resin(asked, bag), answers)
    return _assemble(asked, case, scene, noted)


def questions() -> dict[str, dict[str, str]]:
    """Return what diagnose understands: for each question, its answers and what each means.

    Returns
    -------
    {'where': {'on strands': 'white along the strands ...', ...}, ...}; plain words, no units.
    """
    return {
        name.replace("-", " "): dict(question.answers)
        for name, question in catalogue.signs().question.items()
    }


def _implied(asked: Inputs, answers: dict[str, str]) -> dict[str, str]:
    """Return answers that the description already holds; what was said goes before."""
    found = {}
    core, shop, plies = asked.layup.core, asked.shop, asked.layup.plies
    if core is not None and "core-kind" not in answers:
        found["core-kind"] = "balsa" if core.wood else "foam"
    if shop.tool_temperature_K < shop.temperature_K - COLDER_K and "tool" not in answers:
        found["tool"] = "colder than the air"
    kinds = {_CLOTHS.get(ply.fabric.name, _weave(ply.fabric.name)) for ply in plies}
    if len(kinds) == 1 and "cloth" not in answers:
        found["cloth"] = kinds.pop()
    return found


def _weave(name: str) -> str:
    return "woven" if "woven" in name else "stitched"


def _in_resin(asked: Inputs, bag: Belief) -> Belief:
    """Return the pressure in the resin: the bag's, once resin can bleed or meets the vent."""
    here = asked.shop.barometer_Pa
    if asked.process == "prepreg":
        here += autoclave_pressure(asked)
        return certain(here, "the air on the bag, carried by the resin")
    if asked.process == "pressing":
        return certain(here, "the air; a press adds what the fibres do not carry")
    return bag


# Putting together -------------------------------------------------------------------------------


def _assemble(asked: Inputs, case: Case, scene: Scene, noted: list[str]) -> Diagnosis:
    entries, impossible = _entries(scene)
    trust = catalogue.signs().weight.trust.si
    other = weight_of_unlisted(asked.resin)
    found, unlisted = posterior(entries, scene.seen, trust, other)
    by_name = {entry.cause.name: entry for entry in entries}
    plan = changes.plan_of(asked, case, scene)
    suspects = tuple(
        _suspect(by_name[name], p, scene, changes.changes(name, plan)) for name, p in ranked(found)
    )
    return Diagnosis(
        resin=asked.resin.name,
        resin_title=asked.resin.title,
        process=asked.process,
        barometer_Pa=case.barometer_Pa,
        hottest_K=case.hottest_K,
        seen={name.replace("-", " "): answer for name, answer in scene.seen.items()},
        bag_text=scene.bag.text,
        bag_Pa=scene.bag.interval,
        of_bag=_of_bag(asked, case, scene),
        causes=suspects,
        unlisted=unlisted,
        impossible=impossible,
        cannot_tell=not leads_clearly(entries, scene.seen, other),
        ask=next_question(entries, found, scene),
        refusal=_refusal(asked),
        assumptions=(*_assumed(scene), *noted, *cautions.assumptions(asked, case)),
        cautions=cautions.cautions(asked, case),
    )


def _entries(scene: Scene) -> tuple[list[Entry], dict[str, str]]:
    """Return the causes that the physics leaves room for, and why the others are ruled out."""
    entries, impossible = [], {}
    for cause in catalogue.signs().cause.values():
        gate = gate_of(cause, scene)
        if gate.room <= 0.0:
            impossible[cause.name] = "; ".join(gate.cons)
        else:
            entries.append(Entry(cause, gate, cause.prior.si * gate.room))
    return entries, impossible


def _of_bag(asked: Inputs, case: Case, scene: Scene) -> tuple[tuple[float, float], ...]:
    """Return how well each bag pressure [Pa] agrees with what was seen; the best is 1.

    Empty where the bag does not set the pressure in the resin.
    """
    if asked.process in ("prepreg", "pressing"):
        return ()
    trust, other = catalogue.signs().weight.trust.si, weight_of_unlisted(asked.resin)
    found = []
    for p in np.geomspace(DEEPEST_PA, case.barometer_Pa, BAG_POINTS):
        there = certain(float(p), "")
        entries, _ = _entries(scene_of(asked, case, there, there, scene.seen))
        found.append((float(p), likelihood(entries, scene.seen, trust, other)))
    best = max(weight for _, weight in found)
    return tuple((p, weight / best) for p, weight in found)


def _refusal(asked: Inputs) -> str:
    try:
        refuse(asked)
    except RefusedError as error:
        return str(error).removeprefix("refused: ")
    return ""


def _assumed(scene: Scene) -> tuple[str, ...]:
    found = [f"bag pressure: {scene.bag.text}"]
    if scene.resin is not scene.bag:
        found.append(f"pressure in the resin: {scene.resin.text}")
    else:
        found.append("the resin ends at the bag's pressure, as it does once it can bleed")
    gas = scene.case.resin.reaction_gas
    if gas:
        found.append(f"this resin makes gas of its own ({gas}): counted as not in the list")
    found.append("weights of the answers are estimates; see data/causes.toml for each row's source")
    return tuple(found)


def _suspect(entry: Entry, p: float, scene: Scene, change: tuple[Change, ...]) -> Suspect:
    cause, gate = entry.cause, entry.gate
    said: dict[str, list[str]] = {strength: [] for strength in STRENGTHS}
    for asked, answer in scene.seen.items():
        sign = cause.sign_of(asked)
        strength = None if sign is None else sign.strength(answer)
        if sign is not None and strength is not None:
            said[strength].append(f"{asked.replace('-', ' ')}: {answer} ({sign.why})")
    return Suspect(
        name=cause.name,
        title=cause.title,
        probability=p,
        evidence_for=(*gate.pros, *said["typical"], *said["fits"]),
        evidence_against=(*gate.cons, *said["hardly"], *said["against"]),
        acts=gate.acts,
        void=gate.void,
        radius_m=gate.radius,
        whiteness=_whiteness(gate, scene),
        matters=cause.matters,
        effect=cause.effect,
        change=change,
    )


def _whiteness(gate: Gate, scene: Scene) -> str:
    """Say how the least and the most that a cause would make looks."""
    if gate.void is None or gate.radius is None:
        return "a film on the surface"
    middle = math.sqrt(gate.radius[0] * gate.radius[1])
    words = [
        look.predicted(min(v, 1.0), middle, scene.thickness, scene.index).words for v in gate.void
    ]
    return words[0] if words[0] == words[1] else f"{words[0]} to {words[1]}"
