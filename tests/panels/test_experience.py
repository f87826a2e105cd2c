"""The record: what a kind of job takes of it."""

import numpy as np
import pytest

from outgas.job.learnt import Kind
from outgas.panels.experience import as_one, messages_for
from outgas.panels.numbers import FAMILY, SHOP
from outgas.panels.weighing import Message

HERE = Kind("polyester", "wet layup", "woven-glass")


def test_a_part_that_is_taken_as_one_is_left_open():
    assert as_one(HERE, ()) == HERE
    assert as_one(HERE, ("cloth",)) == Kind("polyester", "wet layup", "any")


def test_a_kind_hears_of_its_family_from_its_own_and_of_the_shop_from_all():
    names = (*SHOP, *FAMILY)
    message = Message(names, np.eye(len(names)), np.zeros(len(names)))
    same, other = Kind("polyester", "infusion", "mat"), Kind("epoxy", "wet layup", "woven-glass")
    found = messages_for(HERE, [(HERE, message), (same, message), (other, message)])
    assert [each.names for each in found] == [names, SHOP]


def test_an_eye_that_sees_less_than_the_table_s_is_not_counted_on(known):
    learnt = known.groups[0].learnt
    assert (learnt.eye <= 1.0).all()
    assert (learnt.times > 0.0).all()


def test_a_kind_without_a_panel_takes_only_what_is_shared(known):
    other = known.learnt_for(Kind("epoxy", "infusion", "woven-glass"))
    assert set(other.ways) <= set(SHOP)
    assert (other.times == 1.0).all()
    assert (other.panels, other.beside, other.good) == (0, 10, ())
    near = known.learnt_for(Kind("polyester", "infusion", "woven-glass"))
    assert set(near.ways) > set(SHOP)
    assert "trapped" not in near.ways
    assert known.learnt_for(known.groups[0].kind) is known.learnt_for(known.groups[0].kind)


def test_what_it_holds_is_told_in_plain_types(known):
    told = known.to_dict()
    (kind,) = told["groups"]
    assert kind["worth_panels"] == known.groups[0].worth
    assert {number["shared_by"] for number in kind["numbers"]} == {"shop", "family", "own"}
    assert sum(kind["next"][0]["looks"]) == pytest.approx(1.0)
    assert repr(known) == ("Experience(panels=10, kinds=('polyester, wet layup, no cloth named',))")
