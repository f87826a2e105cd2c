"""Why a laminate went white: `outgas.diagnose`, from what was seen to a ranked list of causes.

Read (answers.py) -> what the physics leaves room for (case.py, gas_causes.py, other_causes.py) ->
weigh the answers (weights.py) -> what to ask (next_question.py) and to change (changes.py).
"""

import math
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from outgas import units
from outgas.diagnosis import changes
from outgas.diagnosis.answers import read_seen
from outgas.diagnosis.bag import agreement_of_bag, causes_with_room, pressure_in_resin
from outgas.diagnosis.case import COLDER_K, Gate, Inspection, inspection_of
from outgas.diagnosis.charts import charts
from outgas.diagnosis.diagnosis import Change, Diagnosis, Suspect, Weighed
from outgas.diagnosis.next_question import next_question
from outgas.diagnosis.replay import Behind
from outgas.diagnosis.weights import Entry, leads_clearly, posterior, ranked, weight_of_unlisted
from outgas.diagnosis.words import diagnosis_report
from outgas.errors import InputError
from outgas.job.asking import takes_job
from outgas.job.job import Job, Traces, job_of, read_flag
from outgas.job.layup import Layup
from outgas.job.learnt import Experienced
from outgas.job.rig import Rig
from outgas.job.shop import Shop
from outgas.job.told_pressure import plain_words, read_told_pressure
from outgas.laminate import whiteness
from outgas.laminate.case import Case, holds_of
from outgas.show.report import At, Line, joined, lines
from outgas.tables import catalogue
from outgas.tables.catalogue import is_path
from outgas.tables.causes import STRENGTHS
from outgas.tables.materials import Core, Reinforcement, Resin
from outgas.window import assumptions, cautions
from outgas.window.case.defaults import case_of
from outgas.window.limits import air_limits
from outgas.window.reach import reading_error
from outgas.window.refusals import reasons

if TYPE_CHECKING:
    from outgas.units import Measure

LOW_GAS = ("low hydrogen peroxide", "not a ketone peroxide")
_CLOTHS = {"chopped-strand-mat": "chopped mat"}


@takes_job
def diagnose(
    resin: str | Path | Resin,
    shop: Shop,
    *,
    process: str | None = "wet layup",
    seen: Mapping[str, str] | Sequence[str] | str | None = None,
    bag_pressure: Any = None,
    layup: Layup | None = None,
    rig: Rig | str | None = None,
    hottest: "Measure | None" = None,
    air_pressure: "Measure | None" = None,
    degassed: "Measure | None" = None,
    entrained: Any = None,
    water_activity: Any = None,
    contaminants: Traces = None,
    void_target: Any = None,
    finish: str | None = None,
    trapped: Any = None,
    connected: Any = None,
    no_debulk: bool | None = False,
    low_gas_initiator: bool | None = False,
    reads_with: str | None = "dial",
    initiator: Any = None,
    gel_time: "Measure | None" = None,
    minimum_temperature: "Measure | None" = None,
    experience: Experienced | None = None,
) -> Diagnosis:
    """Return why a laminate went white, as far as can be told, and what to ask and change.

    Parameters
    ----------
    resin, shop, process, layup, rig
        As in outgas.advise, a Job too: what was laminated, where, how and with what.
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
    void_target, finish, trapped, connected
        As in outgas.advise: what the next laminate is to be, and how its gas leaves.
    no_debulk, low_gas_initiator
        As in outgas.advise, of this laminate and the next. Of this one alone it is an answer:
        debulk none or yes, initiator low hydrogen peroxide. With no word of a debulk the laminate
        is taken to have gone straight to the bag's pressure.
    reads_with
        'dial', 'water' or 'sensor 5 mbar': how far a reading of bag_pressure may be off.
    initiator, gel_time
        As in outgas.advise: they set how warm a layup got before its gel could hold a bubble.
    minimum_temperature
        As in outgas.advise; colder is not refused here, but said.
    experience
        As in outgas.advise: what a cause would make of this laminate stands on it too.

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

    Bayes' rule: P(cause | seen) = c x prior x room x product of P(answer | cause), sum one.
    The room is what vapour, air and core leave a cause by the equations of outgas.advise, gas by
    its balance over what the laminate went through; priors and weights of answers are estimates
    and from memory, row by row in data/causes.toml.

    Examples
    --------
    >>> from outgas import Shop
    >>> shop = Shop(temperature="22 degC", humidity="50 %")
    >>> found = diagnose("orthophthalic-polyester", shop, bag_pressure="950 mbar")
    >>> print(found.impossible["resin-boiling"] != "", found.ask.question in questions())
    True True
    >>> total = found.unlisted + sum(cause.probability for cause in found.causes)
    >>> round(total, 6)
    1.0
    """
    answers = read_seen(seen)
    no_debulk = read_flag(no_debulk, "no_debulk")
    low_gas_initiator = read_flag(low_gas_initiator, "low_gas_initiator")
    _agree(answers, no_debulk, low_gas_initiator)
    pot, noted = _pot(answers.get("degassed"), degassed, air_pressure)
    job = job_of(
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
        void_target=void_target,
        finish=finish,
        trapped=trapped,
        connected=connected,
        no_debulk=no_debulk,
        low_gas_initiator=low_gas_initiator or answers.get("initiator") in LOW_GAS,
        reads_with=reads_with,
        initiator=initiator,
        gel_time=gel_time,
        minimum_temperature=minimum_temperature,
        experience=experience,
    )
    if job.process.pot:
        raise InputError("process is degassing; a pot has no laminate to go white")
    implied = _implied(job, answers)
    noted += [f"{plain_words(n)}: {said}, from what was described" for n, said in implied.items()]
    error = None if job.reads_with == "water" else reading_error(job, 0.0)
    bag, case = read_told_pressure(bag_pressure, shop.barometer_Pa, error), case_of(job)
    answers = {**implied, **answers}
    inspection = inspection_of(job, case, bag, pressure_in_resin(job, bag), answers)
    return _assemble(job, case, inspection, noted)


def _agree(answers: dict[str, str], no_debulk: bool | None, low_gas: bool | None) -> None:
    """Refuse an answer that says the opposite of what was given."""
    if no_debulk and answers.get("debulk") == "yes":
        raise InputError("seen says debulk=yes, but no_debulk was given; drop one")
    if low_gas and answers.get("initiator", LOW_GAS[0]) not in LOW_GAS:
        raise InputError(
            f"seen says initiator={answers['initiator']}, but low_gas_initiator was given; drop one"
        )


def _pot(
    said: str | None, degassed: "Measure | None", air_pressure: "Measure | None"
) -> "tuple[Measure | None, list[Line | str]]":
    """Return the pressure of the degassing pot, and what was assumed where only 'yes' was said."""
    given = degassed is not None or air_pressure is not None
    if said == "no" and given:
        raise InputError("seen says degassed=no, but degassed or air_pressure was given; drop one")
    if said != "yes" or given:
        return degassed, []
    pressure = catalogue.practice().gas.pot_pressure.si
    text = "degassed, no pressure given: taken as a pot at {}, which leaves about half of the air"
    return units.quantity(pressure, "Pa"), [Line(text, (At(pressure, plain=True),))]


def questions() -> dict[str, dict[str, str]]:
    """Return what diagnose understands: for each question, its answers and what each means.

    Returns
    -------
    {'where': {'on strands': 'white along the strands ...', ...}, ...}; plain words, no units.

    Examples
    --------
    >>> "on strands" in questions()["where"]
    True
    """
    return {
        plain_words(name): dict(question.answers)
        for name, question in catalogue.signs().question.items()
    }


def _core_kind(core: Core) -> str:
    if core.honeycomb:
        return "honeycomb"
    return "balsa" if core.wood else "foam"


def _implied(job: Job, answers: dict[str, str]) -> dict[str, str]:
    """Return answers that the description already holds; what was said goes before."""
    found = {}
    core, shop, plies = job.layup.core, job.shop, job.layup.plies
    if core is not None and "core-kind" not in answers:
        found["core-kind"] = _core_kind(core)
    if shop.tool_temperature_K < shop.temperature_K - COLDER_K and "tool" not in answers:
        found["tool"] = "colder than the air"
    if not job.debulk and "debulk" not in answers:
        found["debulk"] = "none"
    if job.low_gas and "initiator" not in answers:
        found["initiator"] = LOW_GAS[0]
    kinds = {_CLOTHS.get(ply.fabric.name, _weave(ply.fabric)) for ply in plies}
    if len(kinds) == 1 and "cloth" not in answers:
        found["cloth"] = kinds.pop()
    return found


def _weave(cloth: Reinforcement) -> str:
    """Return how a cloth is made; one of a user's own by what it is like."""
    words = (cloth.title, *cloth.words) if is_path(cloth.name) else (cloth.name,)
    return "woven" if any("woven" in word for word in words) else "stitched"


# Putting together -------------------------------------------------------------------------------


def _assemble(job: Job, case: Case, inspection: Inspection, noted: list[Line | str]) -> Diagnosis:
    entries, ruled_out = causes_with_room(inspection)
    trust = catalogue.signs().weight.trust.si
    other = weight_of_unlisted(job.resin)
    found, unlisted = posterior(entries, inspection.seen, trust, other)
    by_name = {entry.cause.name: entry for entry in entries}
    plan = changes.plan_of(job, case, inspection)
    suspects = tuple(
        _suspect(by_name[name], p, inspection, changes.changes(name, plan))
        for name, p in ranked(found)
    )
    return Diagnosis(
        resin=job.resin.name,
        resin_title=job.resin.title,
        process=job.process.name,
        barometer_Pa=case.barometer_Pa,
        hottest_K=case.hottest_K,
        seen={plain_words(name): answer for name, answer in inspection.seen.items()},
        bag=inspection.bag.line,
        bag_Pa=inspection.bag.interval,
        bag_read=inspection.bag.read,
        of_bag=agreement_of_bag(inspection),
        causes=suspects,
        weighed=_weighed(entries, inspection, other),
        unlisted=unlisted,
        ruled_out=ruled_out,
        cannot_tell=not leads_clearly(entries, inspection.seen, other),
        ask=next_question(entries, found, inspection),
        refusal="; and ".join(reasons(job)),
        assumed=lines((*_assumed(inspection), *noted, *assumptions.assumptions(job, case))),
        cautioned=lines(cautions.cautions(job, case)),
        words=diagnosis_report,
        pictures=charts,
        behind=Behind(job, inspection.bag.median, inspection.course.early_Pa is not None),
    )


def _weighed(entries: list[Entry], inspection: Inspection, unlisted: float) -> tuple[Weighed, ...]:
    """Return how likely each cause is by the physics alone, and after each answer in turn."""
    trust = catalogue.signs().weight.trust.si
    told: dict[str, str] = {}
    found = [Weighed("", posterior(entries, told, trust, unlisted)[0])]
    for question, answer in inspection.seen.items():
        told[question] = answer
        words = f"{plain_words(question)}: {answer}"
        found.append(Weighed(words, posterior(entries, told, trust, unlisted)[0]))
    return tuple(found)


def _assumed(inspection: Inspection) -> list[Line | str]:
    found: list[Line | str] = [joined(["bag pressure: ", inspection.bag.line])]
    if inspection.resin is not inspection.bag:
        found.append(joined(["pressure in the resin: ", inspection.resin.line]))
    else:
        found.append("the resin ends at the bag's pressure, as it does once it can bleed")
        found.append(_went_through(inspection))
    found += _by_panels(inspection)
    if not inspection.job.layup.plies:
        thick = inspection.thickness * 1e3
        found.append(f"looked at through {thick:.2g} mm of laminate, no layup given")
    gas = inspection.case.resin.reaction_gas
    if gas:
        found.append(f"this resin makes gas of its own ({gas}): counted as not in the list")
    found.append("weights of the answers are estimates; see data/causes.toml for each row's source")
    return found


def _by_panels(inspection: Inspection) -> list[Line | str]:
    """Say how many of the shop's own panels the gas stands on, and by how much they moved it."""
    learnt = inspection.case.learnt
    if learnt is None:
        return []
    if not learnt.panels:
        return ["none of your panels was of this resin family, process and cloth"]
    case, course = inspection.case, inspection.course
    limits = air_limits([(case, course.but(hold_s=hold), None) for hold in holds_of(case)])
    limit = max(limits, key=lambda each: float(each.safe))
    if limit.unshown is None:
        return []
    ends = (At(float(limit.safe), plain=True), At(float(limit.unshown), plain=True))
    text = "by {} of your panels its air asks for {{}} at the least, by the tables for {{}}"
    return [Line(text.format(learnt.panels), ends)]


def _went_through(inspection: Inspection) -> Line:
    """Say what the bag is taken to have done before the cure."""
    early = inspection.course.early_Pa
    if early is not None:
        text = "debulked at {} first, as it is advised here, then let up to the bag's pressure"
        return Line(text, (At(early, plain=True),))
    said = "" if "debulk" in inspection.seen else ", no debulk being spoken of"
    return Line(f"straight to the bag's pressure{said}")


def _suspect(entry: Entry, p: float, inspection: Inspection, change: tuple[Change, ...]) -> Suspect:
    cause, gate = entry.cause, entry.gate
    said: dict[str, list[str]] = {strength: [] for strength in STRENGTHS}
    for question, answer in inspection.seen.items():
        sign = cause.sign_of(question)
        strength = None if sign is None else sign.strength(answer)
        if sign is not None and strength is not None:
            said[strength].append(f"{plain_words(question)}: {answer} ({sign.why})")
    return Suspect(
        name=cause.name,
        title=cause.title,
        probability=p,
        speaks_for=lines((*gate.pros, *said["typical"], *said["fits"])),
        speaks_against=lines((*gate.cons, *said["hardly"], *said["against"])),
        when=joined([gate.acts]),
        void=gate.void,
        radius_m=gate.radius,
        whiteness=_whiteness(gate, inspection),
        matters=cause.matters,
        effect=cause.effect,
        change=change,
    )


def _whiteness(gate: Gate, inspection: Inspection) -> str:
    """Say how the least and the most that a cause would make looks."""
    if gate.void is None or gate.radius is None:
        return "a film on the surface"
    middle = math.sqrt(gate.radius[0] * gate.radius[1])
    words = [
        whiteness.predicted(min(v, 1.0), middle, inspection.thickness, inspection.index).words
        for v in gate.void
    ]
    return words[0] if words[0] == words[1] else f"{words[0]} to {words[1]}"
