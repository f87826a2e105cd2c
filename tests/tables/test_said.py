"""Records are found by what shops call them: spelling, plurals, bare families."""

import pytest

import outgas
from outgas.errors import UnknownNameError
from outgas.tables import catalogue, data, gear, materials

KINDS = {
    "reinforcements.toml": materials.Reinforcement,
    "cores.toml": materials.Core,
    "consumables.toml": materials.Consumable,
    "tools.toml": materials.Tool,
}


@pytest.mark.parametrize(
    ("said", "name"),
    [
        ("Orthophthalic Polyesters", "orthophthalic-polyester"),
        ("iso polyester resin", "isophthalic-polyester"),
        ("laminating epoxy", "epoxy-laminating"),
        ("bisphenol-A vinylester", "bisphenol-a-vinyl-ester"),
        ("out-of-autoclave pre-preg", "out-of-autoclave-epoxy-prepreg"),
    ],
)
def test_a_resin_is_known_by_what_shops_call_it(said, name):
    assert outgas.resin(said).name == name


@pytest.mark.parametrize(
    ("said", "first", "also"),
    [
        ("polyester", "orthophthalic-polyester", "isophthalic-polyester"),
        ("Polyester resins", "orthophthalic-polyester", "isophthalic-polyester"),
        ("vinyl-ester", "bisphenol-a-vinyl-ester", "novolac-vinyl-ester"),
        ("vinylester", "bisphenol-a-vinyl-ester", "novolac-vinyl-ester"),
        ("epoxies", "epoxy-laminating", "epoxy-infusion"),
        ("prepreg", "out-of-autoclave-epoxy-prepreg", "autoclave-epoxy-prepreg"),
    ],
)
def test_a_bare_family_is_answered_with_its_relatives_the_likeliest_first(said, first, also):
    with pytest.raises(UnknownNameError) as caught:
        outgas.resin(said)
    assert caught.value.nearest[:2] == [first, also]
    assert str(caught.value).startswith(f"{said}: say which; {first} is what most shops mean; also")


def test_the_relatives_of_a_bare_family_are_all_of_it():
    for word, names in data.table("spellings.toml")["several"]["resin"].items():
        kin = {
            n for n in outgas.resins() if outgas.resin(n).family == outgas.resin(names[0]).family
        }
        if "preg" in word:
            kin = {name for name in kin if "prepreg" in outgas.resin(name).processes}
        assert set(names) == kin, word


def test_what_shops_say_stands_for_what_is_shipped():
    said = data.table("spellings.toml")["said"]
    assert set(said["resin"].values()) <= set(outgas.resins())
    assert set(said["volatile"].values()) <= set(outgas.volatiles())


@pytest.mark.parametrize(
    ("file", "kind"), [*KINDS.items(), ("pumps.toml", gear.Pump)], ids=lambda x: str(x)[:20]
)
def test_no_two_records_share_a_name_however_it_is_spelt(file, kind):
    found = {}
    for key, raw in data.table(file).items():
        for word in (key, *raw["words"]):
            plain = catalogue.plain(word)
            assert found.setdefault(plain, key) == key, word
            assert catalogue.by_words(kind, "thing", file, word).name == key


@pytest.mark.parametrize(
    ("words", "name"),
    [
        ("woven fiberglass", "woven-glass"),
        ("Woven Glass Cloths", "woven-glass"),
        ("a chopped-strand mat", "chopped-strand-mat"),
        ("glass-fibre mats", "chopped-strand-mat"),
        ("aramid fiber cloth", "woven-aramid"),
        ("cloth, woven", None),
    ],
)
def test_a_cloth_is_known_however_it_is_spelt(words, name):
    def found():
        kind = materials.Reinforcement
        return catalogue.by_words(kind, "reinforcement", "reinforcements.toml", words).name

    if name is None:
        with pytest.raises(UnknownNameError):
            found()
    else:
        assert found() == name


def test_a_bare_name_that_fits_no_family_is_still_offered_the_nearest():
    with pytest.raises(UnknownNameError, match="did you mean"):
        outgas.resin("poliester laminate")


@pytest.mark.parametrize(
    ("words", "name"),
    [
        ("stitched biaxial carbon", "biaxial-carbon"),
        ("biax carbon", "biaxial-carbon"),
        ("UD carbon fibre", "unidirectional-carbon"),
        ("aramid cloth", "woven-aramid"),
        ("flax cloths", "woven-flax"),
    ],
)
def test_cloths_of_carbon_aramid_and_flax_are_known(words, name):
    kind = materials.Reinforcement
    got = catalogue.by_words(kind, "reinforcement", "reinforcements.toml", words)
    assert got.name == name
