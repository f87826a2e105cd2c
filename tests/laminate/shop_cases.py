"""Jobs and cases of a shop for the tests of this folder, read as the public functions read them."""

import outgas
from outgas.job.job import job_of
from outgas.window.case.defaults import case_of

UP, EPOXY = "orthophthalic-polyester", "epoxy-laminating"
PREPREG = "out-of-autoclave-epoxy-prepreg"
ASKED = {
    "process": "wet layup",
    "layup": None,
    "rig": None,
    "vapour_share": None,
    "confidence": 0.95,
    "hottest": None,
    "air_pressure": None,
    "degassed": None,
    "entrained": None,
    "water_activity": None,
    "contaminants": None,
    "void_target": None,
    "reads_with": "dial",
}


def asked(resin=UP, celsius=26.0, humidity=0.6, tool=None, **changes):
    """What was asked, as a job."""
    given = {} if tool is None else {"tool_temperature": f"{tool} degC"}
    shop = outgas.Shop(temperature=f"{celsius} degC", humidity=humidity, **given)
    return job_of(resin, shop, **{**ASKED, **changes})


def case(resin=UP, celsius=26.0, humidity=0.6, tool=None, **changes):
    """Its case."""
    return case_of(asked(resin, celsius, humidity, tool, **changes))
