import pytest

import outgas
from outgas.errors import InputError, OutOfRangeError, UnknownNameError
from outgas.job.material_words import read_core
from outgas.tables import catalogue


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("60 mm 20 kg/m3 EPS", "expanded-polystyrene"),
        ("60 mm EPS 20 kg/m3", "expanded-polystyrene"),
        ("60 mm EPS foam, 20 kg/m³", "expanded-polystyrene"),
        ("15 mm PVC foam", "pvc-foam"),
        ("15 mm PVC foam (48 kg/m3)", "light-pvc-foam"),
        ("15 mm 60 kg/m^3 PVC foam", "light-pvc-foam"),
        ("15 mm 80kg/m3 PVC", "pvc-foam"),
        ("15 mm PVC foam, density 0.08 g/cm3", "pvc-foam"),
        ("0.5 in 5 pcf PVC foam", "pvc-foam"),
        ("15 mm light PVC foam 80 kg/m3", "pvc-foam"),
        ("20 mm balsa", "end-grain-balsa"),
        ("20 mm balsa 100 kg/m3", "light-balsa"),
        ("20 mm 220 kg/m3 end-grain balsa", "heavy-balsa"),
        ("10 mm aramid-paper honeycomb", "aramid-honeycomb"),
        ("10 mm 48 kg/m3 aramid honeycombs", "aramid-honeycomb"),
        ("10 mm aluminum honeycomb", "aluminium-honeycomb"),
        ("6 mm cork sheet", "cork"),
    ],
)
def test_a_density_beside_a_cores_name_chooses_its_record(text, name):
    assert read_core(text).record.name == name


def test_holes_and_a_density_are_both_read():
    layup = outgas.Layup(core="20 mm perforated 48 kg/m3 PVC foam")
    assert (layup.core.name, layup.core_is_open) == ("light-pvc-foam", True)
    assert layup.core_thickness_m == pytest.approx(0.02)


def test_a_record_is_never_denser_than_the_core_that_was_said():
    for density in range(39, 140):
        record = read_core(f"15 mm {density} kg/m3 PVC foam").record
        assert record.density.low_si <= density


@pytest.mark.parametrize("density", [5, 14, 33, 200, 900])
def test_a_density_far_from_the_record_is_refused_in_one_line(density):
    with pytest.raises(OutOfRangeError) as caught:
        read_core(f"60 mm EPS {density} kg/m3")
    assert f"{density} kg/m3 is far from expanded-polystyrene 14 to 22 kg/m3" in str(caught.value)
    assert "\n" not in str(caught.value)


def test_a_little_denser_than_the_record_is_taken_for_it_is_only_stronger():
    above = catalogue.practice().margins.core_density_above.si
    top = read_core("60 mm EPS").record.density.high_si * (1.0 + above)
    assert read_core(f"60 mm EPS {top - 0.1:.1f} kg/m3").record.name == "expanded-polystyrene"
    with pytest.raises(OutOfRangeError, match="far from"):
        read_core(f"60 mm EPS {top + 0.1:.1f} kg/m3")


def test_of_one_kind_the_denser_record_is_the_stronger():
    for kind in {core.kind for core in catalogue.core_records() if core.kind}:
        akin = [core for core in catalogue.core_records() if core.kind == kind]
        strength = [c.compressive_strength.si for c in sorted(akin, key=lambda c: c.density.si)]
        assert strength == sorted(strength)


def test_every_kind_that_is_named_has_several_records():
    kinds = [core.kind for core in catalogue.core_records() if core.kind]
    assert kinds
    assert all(kinds.count(kind) > 1 for kind in kinds)


@pytest.mark.parametrize(
    ("text", "kind", "message"),
    [
        ("60 mm 20 kg/m3 30 kg/m3 EPS", InputError, "its density once"),
        ("20 kg/m3 EPS", InputError, "write it as '15 mm PVC foam'"),
        ("60 mm 20 kg/m3", UnknownNameError, "no core is called 'mm'"),
        ("60 mm 20 kg/m3 ESP", UnknownNameError, "eps"),
        ("60 mm -20 kg/m3 EPS", InputError, "above zero"),
        (60, InputError, "in words"),
    ],
)
def test_a_core_that_cannot_be_read_is_refused_in_one_line(text, kind, message):
    with pytest.raises(kind) as caught:
        read_core(text)
    assert message in str(caught.value)
    assert "\n" not in str(caught.value)
