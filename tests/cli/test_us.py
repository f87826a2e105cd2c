"""--units us: no metric amount is left in any line of any command, and what is said is right."""

import re

import pytest

import outgas
from outgas.show.us import amount, in_us

UP = "orthophthalic-polyester"
SHOP = ["--temperature", "79F", "--humidity", "60%", "--altitude", "60ft"]
RIG = "3 cfm two-stage pump, 6 ft of 8 mm hose, 7 ft2 bag"
LAID = ["--ply", "4 x 600 g/m2 woven roving", "--core", "15 mm PVC foam", "--area", "9 ft2"]
PREPREG = ["out-of-autoclave-epoxy-prepreg", "--temperature", "70F", "--humidity", "50%"]
# Pressures stand on the dial, and a syringe is in ml wherever it is sold.
METRIC = re.compile(
    r"\d ?(?:mm|cm|um|m|m2|m3|cm2|kg|g|g/m2|kg/m2|kg/m3|degC|°C|K|l|litres?|kN|N|m3/h|mPa s)"
    r"(?![\w/])"
)
COMMANDS = [
    ["advise", UP, *SHOP, *LAID, "--tool", "18 mm plywood", "--bag", "29 inHg vacuum"],
    ["advise", UP, *SHOP, "--process", "infusion"],
    ["advise", UP, *SHOP, "--altitude", "9000ft"],
    ["advise", UP, *SHOP, "--reads-with", "water"],
    ["advise", UP, *SHOP, "--reads-with", "plate"],
    ["advise", *PREPREG, "--process", "prepreg"],
    ["advise", UP, *SHOP, "--process", "degassing"],
    ["schedule", UP, *SHOP, *LAID],
    ["schedule", *PREPREG, "--process", "prepreg", *LAID[:2]],
    ["press", UP, *SHOP, *LAID],
    ["bleed", UP, *LAID[:2], "--area", "9 ft2", "--gained", "2 oz"],
    ["bleed", UP, *LAID[:2], "--pitch", "1 in", "--spot", "0.3 in"],
    ["diagnose", UP, *SHOP, *LAID, "--bag", "28 inHg vacuum", "--seen", "where=on strands"],
    ["diagnose", *PREPREG, "--process", "prepreg"],
    ["no-gauge", "belief", UP, *SHOP, "--boiled", "70F", "--thermometer", "100F 30mm"],
    ["no-gauge", "belief", "--tube", "200 mm, 20 mm", "--pull", "150 N, 50 mm"],
    ["no-gauge", "next", UP, *SHOP, "--plate", "1.15 kg, 20 mm"],
    ["no-gauge", "telltale", UP, *SHOP],
    ["no-gauge", "hold", UP, *SHOP, "--rig", RIG],
    ["no-gauge", "hold", "--setpoint", "10 inHg vacuum", "--rig", RIG],
    ["no-gauge", "drop-test", "--rise", "1 inHg", "--time", "5 min", "--rig", RIG, "--reused"],
    ["convert", "24 inHg vacuum", "--altitude", "1600m"],
]


LISTS = [
    ["resins"],
    *(["resins", "show", name] for name in outgas.resins()),
    ["volatiles"],
    ["volatiles", "show", "water"],
    *(["list", kind] for kind in ("cores", "reinforcements", "tools", "pumps", "bag-sides")),
    ["list", "processes"],
]
KELVINS = re.compile(r"^[\d.]+ to [\d.]+ K$|stated for .* K|^saturation pressure")
TYPED = 2  # columns of a list before the words that are there to be typed


@pytest.mark.parametrize("command", LISTS, ids=" ".join)
def test_no_metric_amount_is_left_in_any_table(run, command):
    _, out, err = run(*command, "--units", "us")
    assert err == ""
    if "show" in command:
        out = out.rpartition("\n\n")[0]  # the sources are called what they are called
    for line in out.splitlines():
        cells = re.split(r"  +", line)
        told = "  ".join(cells[:TYPED] if command[0] == "list" else cells)
        assert KELVINS.search(told) or not METRIC.search(told), line


def test_a_table_in_us_units_says_the_same_numbers(run):
    resin = outgas.resin(UP)
    for before in ([], ["--units", "us"]):
        after = [] if before else ["--units", "us"]
        _, out, _ = run("resins", *before, "show", UP, *after)
        found = re.search(r"^minimum temperature +([\d.]+) degF +([\d.]+) to ([\d.]+) ", out, re.M)
        number = resin.minimum_temperature
        told = [1.8 * x + 32.0 for x in (number.value, number.low, number.high)]
        assert [float(x) for x in found.groups()] == pytest.approx(told, abs=0.05)
        found = re.search(r"^density +([\d.]+) lb/cu ft +([\d.]+) to ([\d.]+) ", out, re.M)
        told = [62.42796 * x for x in (resin.density.value, resin.density.low, resin.density.high)]
        assert [float(x) for x in found.groups()] == pytest.approx(told, rel=2e-3)
    assert "degF" not in run("resins", "show", UP)[1]


@pytest.mark.parametrize("form", [[], ["--full"]], ids=["short", "full"])
@pytest.mark.parametrize("command", COMMANDS, ids=lambda c: " ".join(c[:3]))
def test_no_metric_amount_is_left_in_any_line(run, command, form):
    if command[0] == "convert" and form:
        form = []
    _, out, err = run(*command, *form, "--units", "us")
    assert err == ""
    left = [line for line in out.splitlines() if METRIC.search(line)]
    assert left == []


def test_metric_is_what_is_printed_without_it(run):
    _, plain, _ = run("advise", UP, *SHOP, *LAID, "--full")
    _, metric, _ = run("advise", UP, *SHOP, *LAID, "--full", "--units", "metric")
    _, us, _ = run("advise", UP, *SHOP, *LAID, "--full", "--units", "US")
    assert plain == metric
    assert METRIC.search(plain)
    assert "degF" in us


def test_a_refusal_is_in_the_chosen_units_and_the_next_command_in_its_own(run):
    cold = ["advise", UP, "--temperature", "30F", "--humidity", "50%"]
    code, _, err = run(*cold, "--units", "us")
    assert code == 1
    assert "the 59 degF that" in err
    assert "the 15 degC that" in run(*cold)[2]


def test_the_temperature_of_an_advice_is_the_same_in_both(run):
    shop = outgas.Shop(temperature="79 degF", humidity="60 %", altitude="60 ft")
    told = outgas.advise(UP, shop, layup=outgas.Layup(plies=["600 g/m2 woven roving"]))
    metric, us = (told.to_text(full=True, units=units) for units in ("metric", "us"))
    celsius = [float(x) for x in re.findall(r"(-?[\d.]+) degC", metric)]
    fahrenheit = [float(x) for x in re.findall(r"(-?[\d.]+) degF", us)]
    rises = [t for t in fahrenheit if t not in {round(c * 1.8 + 32.0, 2) for c in celsius}]
    assert len(celsius) >= 4
    assert all(t < 20.0 for t in rises)  # a step of warmth, not a temperature
    assert len(fahrenheit) - len(rises) == len(celsius)


# Exact: 1 in = 25.4 mm, 1 lb = 453.59237 g, 1 ft = 304.8 mm, 1 gal = 231 cubic inches.
SAID = [
    ("at 100 degC", "at 212 degF"),
    ("-40 degC", "-40 degF"),
    ("38.3 degC", "100.94 degF"),
    ("20 to 25 degC", "68 to 77 degF"),
    ("10 K cooler", "18 degF cooler"),
    ("25.4 mm", "1 in"),
    ("20 mm", "0.787 in"),
    ("kept 20 of 200 mm", "kept 0.787 of 7.87 in"),
    ("100 x 100 x 18.1 mm", "3.94 x 3.94 x 0.713 in"),
    ("1000 m higher", "3281 ft higher"),
    ("1 m2", "10.8 sq ft"),
    ("0.0930 m2", "1 sq ft"),
    ("4,079 kg", "8,993 lb"),
    ("0.25 kg", "8.82 oz"),
    ("28.35 g", "1 oz"),
    ("33.9 g/m2", "1 oz/sq yd"),
    ("160 kg/m3", "9.99 lb/cu ft"),
    ("10 l", "2.64 gal"),
    ("0.5 l", "16.9 fl oz"),
    ("-80 kPa", "-80 kPa"),
    ("5 m3/h", "2.94 cfm"),
    ("100 N", "22.5 lbf"),
    ("450 mPa s", "450 cP"),
    ("0.04 um", "0.00157 mil"),
    ("leaks 0.5 mbar l/s", "leaks 0.5 mbar l/s"),
    ("111 mbar, 20 min, 2 h, 3 s", "111 mbar, 20 min, 2 h, 3 s"),
    ("see --ply and 1.5% of it", "see --ply and 1.5% of it"),
]


@pytest.mark.parametrize(("metric", "us"), SAID)
def test_an_amount_is_said_in_us_units(metric, us):
    assert in_us(metric) == us


def test_a_binding_amount_is_rounded_the_way_it_binds():
    assert amount(1.51, "kg", up=False) == "3.32 lb"
    assert amount(1.51, "kg", up=True) == "3.33 lb"
    assert amount(20.0, "mm", up=True) == "0.788 in"
    assert amount(50.0, "kPa", up=True) == "7.26 psi"


@pytest.mark.parametrize("mass_kg", [0.31, 0.777, 1.45, 1.51, 2.63, 14.6])
def test_a_mass_that_holds_a_bag_is_never_printed_heavier_than_it_is(mass_kg):
    from outgas.no_gauge.weighted_plate import relief_valve

    bore = "20 mm"
    p = 101325.0 - mass_kg * 9.80665 / (3.14159265 * 0.01**2)
    if p <= 1000.0:
        bore, p = "60 mm", 101325.0 - mass_kg * 9.80665 / (3.14159265 * 0.03**2)
    valve = relief_valve(f"{p / 100:.1f} mbar", bore, "1013.25 mbar")
    said = re.search(r"with ([\d.]+) (lb|oz)", valve.to_text(units="us"))
    pounds = float(said[1]) / (1.0 if said[2] == "lb" else 16.0)
    assert pounds * 0.45359237 <= valve.mass_kg + 1e-9
    assert pounds * 0.45359237 > 0.99 * valve.mass_kg
