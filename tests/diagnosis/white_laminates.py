"""White laminates for the tests of this folder, and what the physics says of them."""

from shop_cases import ASKED

import outgas
from outgas.diagnosis.answers import read_seen
from outgas.diagnosis.bag import pressure_in_resin
from outgas.diagnosis.case import inspection_of
from outgas.diagnosis.causes import gate_of
from outgas.job.job import job_of
from outgas.job.told_pressure import read_told_pressure
from outgas.tables import catalogue
from outgas.window.case.defaults import case_of

UP, VE, EP = "orthophthalic-polyester", "bisphenol-a-vinyl-ester", "epoxy-laminating"
PREPREG = "out-of-autoclave-epoxy-prepreg"
SHOP = {"temperature": "22 degC", "humidity": "50 %"}


def why(resin=UP, seen=None, shop=SHOP, **rest):
    """The diagnosis of one."""
    return outgas.diagnose(resin, outgas.Shop(**shop), seen=seen, **rest)


def p(diagnosis, name):
    """How likely it takes a cause to be; 0 where it is ruled out."""
    cause = diagnosis.cause(name)
    return 0.0 if cause is None else cause.probability


def inspected(resin=UP, seen=None, shop=SHOP, bag="100 mbar", error=0.0, **rest):
    """The inspection of one, the bag's pressure known unless an error [Pa] is given."""
    job = job_of(resin, outgas.Shop(**{**SHOP, **shop}), **{**ASKED, **rest})
    told = read_told_pressure(bag, job.shop.barometer_Pa, error)
    return inspection_of(job, case_of(job), told, pressure_in_resin(job, told), read_seen(seen))


def gate(name, *args, **given):
    """What the physics says of a cause of one."""
    return gate_of(catalogue.signs().cause[name], inspected(*args, **given))


def said(lines):
    """Lines as one text."""
    return " ".join(str(line) for line in lines)
