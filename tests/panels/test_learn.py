"""What panels teach, and what they never may."""

import json
import pickle

import pytest
from some_panels import MIXED, RESIN, rows

import outgas
from outgas.errors import InputError, UnknownNameError
from outgas.laminate.gas.joint import JOINT, KnownGas
from outgas.panels import learn as learning
from outgas.panels import weighing

pytestmark = pytest.mark.filterwarnings("ignore::outgas.errors.OutgasWarning")
PROCESSES = ("wet layup", "infusion")


def deepest(shop, known=None, **more):
    return outgas.advise(RESIN, shop, experience=known, **more)


def test_ten_panels_narrow_what_they_speak_of_and_leave_the_rest(known):
    (group,) = known.groups
    by_name = {number.name: number for number in group.numbers}
    assert by_name["connected"].narrowed < 0.7
    assert by_name["diffusivity_m2_s"].narrowed > 0.7
    assert 2.0 < group.worth < 10.0
    assert group.drawn.effective >= weighing.FEWEST
    assert group.doubted == ()
    for number in group.numbers:
        assert number.after.low <= number.after.nominal <= number.after.high


def test_good_panels_open_the_bag_no_deeper_than_they_were(known, shop):
    by_tables, by_panels = deepest(shop), deepest(shop, known)
    best = min(p for p, look in MIXED if look == "clear")
    assert by_panels.deepest_Pa < by_tables.deepest_Pa - 2000.0
    assert by_panels.deepest_Pa >= 100.0 * best
    assert by_panels.deepest_by_tables_Pa == pytest.approx(by_tables.deepest_Pa, abs=1.0)
    assert by_panels.panels == 10
    assert "By 10 of your panels: the limit lies" in str(by_panels)


@pytest.mark.parametrize(
    ("resin", "process", "pressures"),
    [
        ("epoxy-infusion", "infusion", (500, 400, 300)),
        (RESIN, "core bonding", (700, 600, 500)),
        ("bisphenol-a-vinyl-ester", "wet layup", (800, 700, 600)),
    ],
)
def test_what_the_tables_alone_would_say_is_told_for_every_process(shop, resin, process, pressures):
    told = [(p, "clear") for p in pressures] * 2
    panels = rows(*told, process=process)
    known = outgas.learn([{**panel, "resin": resin} for panel in panels], shop)
    by_tables = outgas.advise(resin, shop, process=process)
    by_panels = outgas.advise(resin, shop, process=process, experience=known)
    assert by_panels.deepest_by_tables_Pa == pytest.approx(by_tables.deepest_Pa, abs=1.0)
    assert by_panels.deepest_Pa >= min(by_tables.deepest_Pa, 100.0 * min(pressures)) - 1.0


def test_the_voids_expected_at_the_limit_are_within_the_target(known, shop):
    found = deepest(shop, known)
    assert found.voids_at(found.deepest).high <= found.void_target * 1.02


@pytest.mark.parametrize("pressures", [(20, 40, 90), (300, 400, 500), (650, 800, 950), (500,)])
@pytest.mark.parametrize("debulk", [True, False])
def test_thirty_milky_panels_never_end_in_a_deeper_bag(shop, pressures, debulk):
    told = [(pressures[i % len(pressures)], "milky") for i in range(30)]
    panels = rows(*told)
    if not debulk:
        for panel in panels:
            del panel["debulk"]
    known = outgas.learn(panels, shop)
    for more in ({}, {"finish": "clear"}, {"no_debulk": True}, {"degassed": "27 mbar"}):
        by_tables, by_panels = deepest(shop, **more), deepest(shop, known, **more)
        assert by_panels.deepest_Pa >= by_tables.deepest_Pa - 1.0, (more, pressures)
        assert by_panels.deepest_clear_Pa >= by_tables.deepest_clear_Pa - 1.0


def test_panels_with_many_voids_never_end_in_a_deeper_bag_either(shop):
    panels = rows(*[(p, "hazy") for p in (300, 500, 700)], voids="4 %")
    known = outgas.learn(panels * 10, shop)
    assert deepest(shop, known).deepest_Pa >= deepest(shop).deepest_Pa - 1.0


def test_a_clear_panel_with_too_many_voids_is_no_good_one(shop):
    panels = rows((450, "clear"), (420, "clear"), voids="3 %", voids_error="0.5 %")
    assert outgas.learn(panels, shop).groups[0].good == ()


def test_a_debulked_panel_opens_no_straight_bag_and_a_degassed_one_none_undegassed(known, shop):
    straight = deepest(shop, known, no_debulk=True).deepest_Pa
    assert straight >= deepest(shop, no_debulk=True).deepest_Pa - 1.0
    gone = outgas.learn(rows(*[(300, "clear")] * 8, degassed="27 mbar for 30 min, stirred"), shop)
    assert deepest(shop, gone).deepest_Pa >= deepest(shop).deepest_Pa - 1.0


def test_one_lying_panel_moves_a_bag_by_little_and_is_named(shop):
    honest = rows(*[(p, "milky") for p in (450, 430, 410, 390) * 3])
    lying = rows((300, "clear"))
    before, after = (outgas.learn(some, shop) for some in (honest, honest + lying))
    assert [one.name for one in after.groups[0].doubted] == ["panel 13"]
    assert "panel 13" in after.to_text()
    moved = deepest(shop, before).deepest_Pa - deepest(shop, after).deepest_Pa
    assert moved < 3000.0
    assert deepest(shop, after).deepest_Pa >= deepest(shop).deepest_Pa - 1.0


def test_more_of_the_same_panels_are_worth_more_but_not_ten_times_as_much(shop):
    few, many = (outgas.learn(rows(*MIXED) * n, shop).groups[0].worth for n in (1, 3))
    assert few < many < 3.0 * few


# What is shared, and what is not --------------------------------------------------------------


@pytest.mark.parametrize(
    ("resin", "more"),
    [
        ("epoxy-laminating", {}),
        (RESIN, {"process": "infusion"}),
        (RESIN, {"layup": outgas.Layup(plies=["2 x 400 g/m2 woven glass"])}),
        ("epoxy-infusion", {"process": "infusion"}),
    ],
    ids=["family", "process", "cloth", "all"],
)
def test_nothing_leaks_into_another_family_process_or_cloth(known, shop, resin, more):
    by_tables = outgas.advise(resin, shop, **more)
    by_panels = outgas.advise(resin, shop, experience=known, **more)
    assert by_panels.deepest_Pa >= by_tables.deepest_Pa - 1.0
    assert by_panels.deepest_Pa <= by_tables.deepest_Pa * 1.05
    assert by_panels.panels == 0
    assert "By none of your panels" in str(by_panels)


def test_what_is_asked_to_be_taken_as_one_is(ten, shop):
    known = outgas.learn(ten, shop, across=["cloth"])
    layup = outgas.Layup(plies=["2 x 400 g/m2 woven glass"])
    assert deepest(shop, known, layup=layup).panels == 10
    with pytest.raises(UnknownNameError, match="did you mean cloth"):
        outgas.learn(ten, shop, across=["clot"])


def test_panels_of_another_kind_speak_of_what_a_shop_shares_alone(ten, shop):
    """They have an eye in common: what epoxy panels say of it moves the polyester's eye."""
    other = [
        {**panel, "resin": "epoxy-laminating", "voids": "2.5 %", "look": "clear"} for panel in ten
    ]
    alone, both = outgas.learn(ten, shop), outgas.learn([*ten, *other], shop)
    family = {str(group.kind): group for group in both.groups}
    group = family["polyester, wet layup, no cloth named"]
    assert (group.panels, group.beside) == (10, 10)

    def number(of, name):
        return next(n for n in of.numbers if n.name == name)

    assert number(group, "clear").after.nominal > number(alone.groups[0], "clear").after.nominal
    assert number(group, "exponent").shared == "own"
    by = [outgas.advise(RESIN, shop, experience=known).deepest_Pa for known in (alone, both)]
    assert by[1] == pytest.approx(by[0], rel=0.25)


def test_a_cup_that_gels_late_is_taken_for_the_batch_s_pace(shop):
    layup = outgas.Layup(plies=["2 x 400 g/m2 woven glass"])
    panel = {"resin": RESIN, "ply": ["2 x 400 g/m2 woven glass"]}
    sheet = outgas.advise(RESIN, shop, layup=layup).cure.gel_s
    usual = outgas.learn([{**panel, "cup_gel": "25 min"}], shop)
    late = outgas.learn([{**panel, "cup_gel": t} for t in ("40 min", "41 min", "39 min")], shop)
    slow = outgas.advise(RESIN, shop, layup=layup, experience=late).cure.gel_s
    assert slow > 1.1 * sheet
    assert slow > outgas.advise(RESIN, shop, layup=layup, experience=usual).cure.gel_s


def test_a_degassing_test_is_taken_for_the_pot(shop):
    """A pot that leaves more air than it should asks for a weaker bag, whatever else is known."""
    panel = {"resin": RESIN, "degassed": "27 mbar for 10 min, stirred"}
    bad = outgas.learn([{**panel, "air_left": "595 mbar", "air_left_error": "10 mbar"}], shop)
    by = {number.name: number for number in bad.groups[0].numbers}["air_Pa"]
    assert by.after.nominal > by.before.nominal
    more = {"degassed": "27 mbar for 10 min, stirred"}
    by_panels, by_tables = deepest(shop, bad, **more), deepest(shop, **more)
    assert by_panels.nominal_limits_Pa["air"] > by_tables.nominal_limits_Pa["air"]
    assert by_panels.deepest_Pa >= by_tables.deepest_Pa - 1.0


# The answer ------------------------------------------------------------------------------------


def test_no_panel_to_learn_from_is_one_line(shop):
    with pytest.raises(InputError, match="no panel can be learnt from: line 1: no temperature"):
        outgas.learn(rows((500, "clear")))
    with pytest.raises(InputError, match="give a log's path, or a list"):
        outgas.learn(3, shop)
    with pytest.raises(InputError, match=r"give what outgas\.learn\(panels\) returns"):
        outgas.advise(RESIN, shop, experience="panels.toml")


def test_the_same_panels_always_teach_the_same(ten, shop, known):
    again = outgas.learn(ten, shop)
    assert again == known
    assert again.to_json() == known.to_json()
    assert outgas.learn(ten[:5], shop) != known
    assert pickle.loads(pickle.dumps(known)) == known
    assert json.loads(known.to_json())["panels"] == 10


def test_what_was_told_of_the_job_itself_goes_before_what_panels_taught(known, shop):
    told = deepest(shop, known, trapped="4 %", entrained="0.1 %")
    gas = told.behind.window.course.known
    assert gas.gas.trapped == pytest.approx(0.04)
    assert gas.gas.entrained == pytest.approx(0.001)
    assert "trapped" not in gas.shown.columns
    assert gas.shown.columns["connected"].shape == (JOINT,)
    assert isinstance(gas.shown.unshown, KnownGas)


def test_the_next_panel_is_near_where_it_is_not_known_how_it_will_look(known):
    (group,) = known.groups
    best, worst = group.next_panels[0], group.next_panels[-1]
    assert best.bits >= worst.bits >= 0.0
    assert max(best.looks) < 0.9
    assert 30000.0 <= best.pressure_Pa <= 60000.0


def test_every_verb_takes_what_panels_taught(known, shop):
    layup = outgas.Layup(plies=["3 x 400 g/m2 woven glass"])
    with_cloth = outgas.learn(rows(*MIXED, ply=["3 x 400 g/m2 woven glass"]), shop)
    plan = outgas.schedule(RESIN, shop, layup=layup, degas=False, experience=with_cloth)
    usual = outgas.schedule(RESIN, shop, layup=layup, degas=False)
    assert plan.advice.panels == 10
    assert plan.advice.deepest_Pa < usual.advice.deepest_Pa
    assert "By 10 of your panels: the limit lies" in plan.to_text(full=True)
    white = outgas.diagnose(RESIN, shop, bag_pressure="400 mbar", experience=known)
    before = outgas.diagnose(RESIN, shop, bag_pressure="400 mbar")
    assert "by 10 of your panels its air asks for" in " ".join(white.to_text(full=True).split())
    assert [c.probability for c in white.causes] != [c.probability for c in before.causes]


def test_a_map_takes_what_panels_taught(known):
    pytest.importorskip("xarray")
    asked = dict(temperature=["20 degC", "24 degC"], humidity="50 %", voids=False)
    by_panels = outgas.sweep(RESIN, experience=known, **asked)
    by_tables = outgas.sweep(RESIN, **asked)
    assert (by_panels.deepest < by_tables.deepest).all()
    one = outgas.advise(
        RESIN, outgas.Shop(temperature="20 degC", humidity="50 %"), experience=known
    )
    assert float(by_panels.deepest[0]) == pytest.approx(one.deepest_Pa / 100.0, abs=0.05)
    assert "Experience(" in by_panels.attrs["held"]


def test_a_good_panel_is_doubted_sooner_than_it_is_named():
    assert 0.2 < learning.BELIEVED < learning.CONTRADICTS <= 0.5
