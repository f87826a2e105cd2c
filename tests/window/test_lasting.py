"""How long the steps of a course last: as is usual, or as the gel of the laminate leaves."""

from types import SimpleNamespace

import pytest
from window_jobs import job

import outgas
from outgas.job.job import working_time
from outgas.tables import catalogue
from outgas.window.lasting import lasting


def test_the_steps_last_as_long_as_is_usual_or_as_the_gel_of_the_laminate_leaves():
    clock, time = catalogue.practice().clock, catalogue.gas().time
    usual = lasting(job(), None)
    assert (usual.early_s, usual.hold_s) == (clock.debulk.si, time.hold.si)
    putty = job(process="core bonding", layup=outgas.Layup(core="15 mm PVC foam"))
    assert lasting(putty, None).hold_s == time.putty_hold.si
    slow = job("epoxy-laminating")
    assert lasting(slow, None).hold_s == time.hold_epoxy.si
    asked = job(layup=outgas.Layup(plies=["2 x 400 g/m2 woven glass"]))
    for gel_s in (1500.0, 2400.0, 7200.0):
        warm = SimpleNamespace(gel_s=gel_s)
        got = lasting(asked, warm)
        assert got.cup_s + got.early_s + got.hold_s == pytest.approx(gel_s)
        changed = got.cup_s + got.early_s
        assert got.early_s <= clock.debulk.si
        within = changed <= clock.last_change.si * gel_s + 1e-6
        assert within or got.early_s == clock.debulk_least.si
    longer = lasting(asked.but(wet_out_s=1200.0), warm)
    assert longer.cup_s - got.cup_s == pytest.approx(1200.0 - working_time(asked))
