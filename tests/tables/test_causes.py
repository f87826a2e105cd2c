import msgspec
import pytest

from outgas.errors import DataError
from outgas.tables import catalogue, data
from outgas.tables.causes import STRENGTHS, Cause, Sign, Signs
from outgas.tables.number import plausible
from outgas.tables.questions import Question

CAUSES = [
    "resin-boiling",
    "dissolved-air",
    "entrained-air",
    "leak",
    "moisture",
    "starved",
    "dry-fibre",
    "mat-binder",
    "bridging",
    "blushed-surface",
    "shrinkage",
    "core-gas",
    "cleaner-residue",
    "peroxide-gas",
    "stripped",
    "front-too-fast",
]


def rows():
    for name, cause in catalogue.signs().cause.items():
        for sign in cause.sign:
            yield name, sign


def test_the_causes_are_the_ones_a_builder_meets():
    assert sorted(catalogue.signs().cause) == sorted(CAUSES)


def test_every_row_says_where_it_comes_from_and_no_memory_poses_as_read():
    for name, sign in rows():
        kind = catalogue.reference(sign.source).kind
        if sign.how in ("read", "library"):
            assert kind in ("paper", "standard", "trade", "library"), (name, sign.sees)
        if kind == "judgement":
            assert sign.how == "estimate", (name, sign.sees)
        if kind == "practice":
            assert sign.how in ("memory", "estimate"), (name, sign.sees)


def test_every_answer_tells_some_cause_from_another_or_is_weighed_by_the_physics():
    physics = {"degassed"}
    weighed = {sign.sees for _, sign in rows()}
    assert set(catalogue.signs().question) - weighed == physics


def test_every_cause_has_something_that_shows_it_and_something_that_speaks_against_it():
    for name, cause in catalogue.signs().cause.items():
        assert any(sign.typical for sign in cause.sign), name
        assert any(sign.hardly for sign in cause.sign), name
        assert len(cause.sign) >= 8, name


def test_no_two_causes_have_the_same_signs():
    def signature(cause):
        return tuple(sorted((s.sees, *(getattr(s, k) for k in STRENGTHS)) for s in cause.sign))

    found = [signature(cause) for cause in catalogue.signs().cause.values()]
    assert len(set(found)) == len(found)


def test_weights_are_in_their_order_with_their_ranges_apart_from_nothing():
    w = catalogue.signs().weight
    assert w.hardly.si < w.against.si < 1.0 < w.fits.si < w.typical.si
    assert w.against.high_si < 1.0 < w.fits.low_si


def test_bags_are_in_their_order_and_known_by_one_name_only():
    bags = catalogue.signs().bag
    assert bags["very-good-bag"].pressure.high_si < bags["weak-bag"].pressure.low_si
    words = [word for bag in bags.values() for word in bag.words]
    assert len(set(words)) == len(words)


def test_every_number_of_the_records_is_checked_for_unit_and_plausibility():
    def walk(kind):
        for field in msgspec.structs.fields(kind):
            if "Number" in str(field.type):
                assert field.name in plausible(kind), field.name

    for field in msgspec.structs.fields(Signs):
        if isinstance(field.type, type) and issubclass(field.type, msgspec.Struct):
            walk(field.type)
    walk(Cause)


def sign(**changes):
    given = {"sees": "where", "source": "s", "how": "estimate", "why": "w", "fits": ("all over",)}
    return Sign(**{**given, **changes})


@pytest.mark.parametrize(
    ("changes", "message"),
    [
        ({"fits": ()}, "names no answer"),
        ({"against": ("all over",)}, "names an answer twice"),
        ({"source": " "}, "needs source and why"),
        ({"why": ""}, "needs source and why"),
    ],
)
def test_a_sign_that_does_not_hold_is_refused(changes, message):
    with pytest.raises(ValueError, match=message):
        sign(**changes)


def test_a_sign_gives_the_strength_of_an_answer_or_none():
    got = sign(typical=("on strands",), hardly=("core side",))
    assert [got.strength(a) for a in ("on strands", "all over", "core side", "in patches")] == [
        "typical",
        "fits",
        "hardly",
        None,
    ]


def test_a_question_with_one_answer_is_none():
    with pytest.raises(ValueError, match="at least two answers"):
        Question(name="x", ask="?", now=True, answers={"yes": ""})


def test_a_cause_with_two_signs_of_one_question_or_half_a_size_is_refused():
    number = catalogue.signs().gate.dry
    given = {"name": "x", "title": "x", "matters": "cosmetic", "effect": "x", "prior": number}
    with pytest.raises(ValueError, match="two signs of one question"):
        Cause(**given, sign=(sign(), sign()))
    for alone in ({"radius": number}, {"void": number}):
        with pytest.raises(ValueError, match="go together"):
            Cause(**given, sign=(sign(),), **alone)
    Cause(**given, sign=(sign(),), radius=number, void=number)


@pytest.mark.parametrize(
    ("file", "old", "new", "message"),
    [
        ("causes", 'sees = "where"', 'sees = "wear"', "no question 'wear'"),
        ("causes", '"in the thickest places"', '"in the thick"', "where has no answer"),
        ("causes", 'matters = "structural"', 'matters = "bad"', "matters"),
    ],
)
def test_a_broken_table_is_named(monkeypatch, file, old, new, message):
    import tomllib

    real = catalogue.table

    def broken(name):
        if name != f"{file}.toml":
            return real(name)
        text = (data.root() / name).read_text(encoding="utf-8")
        assert old in text
        return tomllib.loads(text.replace(old, new, 1))

    monkeypatch.setattr(catalogue, "table", broken)
    catalogue.signs.cache_clear()
    with pytest.raises(DataError, match=message):
        catalogue.signs()
    catalogue.signs.cache_clear()
