"""The log: a row that cannot be read costs no other, and a write that breaks off costs nothing."""

import os

import pytest

import outgas
from outgas.errors import InputError
from outgas.panels.log import add_panel

HEAD = 'resin = "orthophthalic-polyester"\ntemperature = "22C"\nhumidity = "50%"\n\n'
GOOD = '[[panel]]\ncure = "600 mbar"\nlook = "clear"\n'


def write(tmp_path, text, name="panels.toml"):
    path = tmp_path / name
    path.write_text(text, encoding="utf-8")
    return path


def test_what_stands_first_holds_for_all_panels(tmp_path):
    log = outgas.read_panels(write(tmp_path, HEAD + GOOD + GOOD))
    assert [panel.line for panel in log.panels] == [5, 8]
    assert all(dict(panel.told)["resin"] == "orthophthalic-polyester" for panel in log.panels)
    assert log.faults == ()
    assert len(log) == 2


@pytest.mark.parametrize(
    ("broken", "words"),
    [
        ('cure = "600"\nlook = "clear"', None),  # a bare number: found when it is learnt from
        ('cure = "600 mbar"\nlook = "clera"', "no look is called 'clera'; did you mean clear?"),
        ('cure = "600 mbar"\nlok = "clear"', "no key of a panel is called 'lok'"),
        ('cure = "600 mbar"', "add look, voids, air_left or cup_gel"),
        ('look = "milky"', "add cure = '600 mbar'"),
        ('cure = "600 mbar"\nvoids = "60 %"', "0 to 50 %"),
        ('cure = "600 mbar"\nvoids = "3"', "'3 %'"),
        ('cure = "600 mbar\nlook = "clear"', "not valid TOML"),
        ('cure = "600 mbar"\nbleed = "120 g"', "nothing is reckoned from it"),
        ('air_left = "300 mbar"', "add degassed"),
        ('cure = "600 mbar"\nlook = "clear"\ntemperature = "hot"', "temperature"),
    ],
)
def test_a_row_that_cannot_be_read_is_named_by_its_line_and_the_rest_is_learnt(
    tmp_path, broken, words
):
    path = write(tmp_path, f"{HEAD}{GOOD}[[panel]]\n{broken}\n{GOOD}")
    log = outgas.read_panels(path)
    if words is not None:
        assert len(log.panels) == 2
        (fault,) = log.faults
        assert fault.line == 8
        assert words in fault.text, fault.text
        assert "\n" not in str(fault)
    known = outgas.learn(path)
    assert known.panels == 2
    assert known.faults[0].startswith("line 8: ")


def test_a_table_reads_like_the_other_form(tmp_path):
    toml = outgas.read_panels(write(tmp_path, HEAD + GOOD + GOOD))
    cells = "orthophthalic-polyester,22C,50%,600 mbar,clear,\n"
    text = f"resin,temperature,humidity,cure,look,ply\n{cells}{cells}"
    table = outgas.read_panels(write(tmp_path, text, "panels.csv"))
    assert [panel.told for panel in table.panels] == [panel.told for panel in toml.panels]
    cloth = "300 g/m2 woven glass; 2 x 400 g/m2 woven glass"
    plies = f"resin,ply,cure,look\nepoxy-laminating,{cloth},1 bar,clear\n"
    (panel,) = outgas.read_panels(write(tmp_path, plies, "plies.csv")).panels
    assert dict(panel.told)["ply"] == ("300 g/m2 woven glass", "2 x 400 g/m2 woven glass")


def test_a_table_names_the_line_of_a_row_that_is_wrong(tmp_path):
    text = "resin,cure,look\nepoxy-laminating,600 mbar,clear\n\nepoxy-laminating,600 mbar,odd\n"
    text += "epoxy-laminating,600 mbar,clear,more\n"
    log = outgas.read_panels(write(tmp_path, text, "panels.csv"))
    assert len(log.panels) == 1
    assert [fault.line for fault in log.faults] == [4, 5]


@pytest.mark.parametrize(
    ("text", "words"),
    [("", "holds no panel"), ("x = [\n[[panel]]\n", "before its first panel")],
)
def test_a_log_that_is_none_is_one_line(tmp_path, text, words):
    with pytest.raises(InputError, match=words):
        outgas.read_panels(write(tmp_path, text))
    with pytest.raises(InputError, match="cannot read"):
        outgas.read_panels(tmp_path / "none.toml")


TOLD = {
    "resin": "epoxy-laminating",
    "cure": "600 mbar",
    "look": "clear",
    "ply": ["300 g/m2 woven glass"],
}


@pytest.mark.parametrize("name", ["panels.toml", "panels.csv"])
def test_what_is_added_is_read_again(tmp_path, name):
    path = tmp_path / name
    add_panel(path, {**TOLD, "note": 'demo, "quoted"'})
    add_panel(path, {**TOLD, "voids": "1.2 %", "low_gas_initiator": True})
    log = outgas.read_panels(path)
    assert log.faults == ()
    assert [panel.own.get("voids") for panel in log.panels] == [None, "1.2 %"]
    assert log.panels[0].own["note"] == 'demo, "quoted"'
    assert dict(log.panels[1].told)["low_gas_initiator"] is True


def test_a_panel_that_cannot_be_used_leaves_the_log_as_it_was(tmp_path):
    path = write(tmp_path, HEAD + GOOD)
    with pytest.raises(InputError, match="no look is called"):
        add_panel(path, {**TOLD, "look": "odd"})
    assert path.read_text() == HEAD + GOOD


def test_a_write_that_is_broken_off_leaves_the_old_log_and_nothing_beside(tmp_path, monkeypatch):
    path = write(tmp_path, HEAD + GOOD)

    def broken(*_):
        raise KeyboardInterrupt

    monkeypatch.setattr(os, "fsync", broken)
    with pytest.raises(KeyboardInterrupt):
        add_panel(path, TOLD)
    assert path.read_text() == HEAD + GOOD
    assert [each.name for each in tmp_path.iterdir()] == ["panels.toml"]


def test_panels_that_are_told_as_dicts_are_refused_whole():
    with pytest.raises(InputError, match=r"panel 2: .*look"):
        outgas.PanelLog.of([TOLD, {**TOLD, "look": "odd"}])
    with pytest.raises(InputError, match="panel 1 is '3'; give a dict"):
        outgas.PanelLog.of([3])
