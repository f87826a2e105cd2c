"""Options that commands share: dials, groups, and several mistakes at once."""

import click
import pytest

from outgas.cli import form
from outgas.cli import options as shared
from outgas.errors import InputError, RefusedError, SeveralMistakesError
from outgas.show import dial

UP = "orthophthalic-polyester"
SHOP = ["--temperature", "26C", "--humidity", "60%", "--altitude", "20m"]


@pytest.mark.parametrize("name", list(dial.DIALS))
def test_the_answer_is_on_the_users_dial(run, name):
    _, out, _ = run("advise", "--full", UP, *SHOP, "--dial", name)
    first, second = out.splitlines()[:2]
    words = dial.DIALS[name][2]
    assert words in first
    assert f" {words.split()[0]} " in f"{second.replace(',', ' ').replace(';', ' ')} "
    assert "mbar absolute" in first


def test_a_dial_is_rounded_to_the_safe_side():
    here = 101325.0
    for name, (key, step, _, falls) in dial.DIALS.items():
        for p in (8642.0, 62766.9, 30111.1):
            true = __import__("outgas.readings", fromlist=["x"]).dial_readings(p, here)[key]
            shown = float(dial.on_dial(p, here, name).split()[0])
            assert abs(shown - true) <= step + 1e-9
            assert shown >= true - 1e-9 if falls else shown <= true + 1e-9
            weak = float(dial.on_dial(p, here, name, weaker=False).split()[0])
            assert weak <= true + 1e-9 if falls else weak >= true - 1e-9


def test_a_dial_left_alone_is_not_a_dial_chosen(run):
    _, alone, _ = run("advise", "--full", UP, *SHOP)
    _, chosen, _ = run("advise", "--full", UP, *SHOP, "--dial", "inHg")
    assert alone.splitlines()[:2] == chosen.splitlines()[:2]
    alone, chosen = (text.split("To go deeper")[1].split("Cautions")[0] for text in (alone, chosen))
    assert "inHg" not in alone
    assert "inHg vacuum" in chosen


def test_every_mistake_of_a_command_is_told_on_its_own_line(run):
    code, out, err = run(
        *["advise", UP, "--temperature", "26 bananas", "--humidity", "160%"],
        *["--altitude", "20 kg", "--core", "20 mm cheese", "--ply", "3 x 400 g/m2 wool"],
        *["--pump-ultimate", "2 apples", "--hold-error", "far", "--contaminant", "acetone"],
    )
    assert (code, out) == (2, "")
    lines = err.splitlines()
    assert all(line.startswith("outgas: ") for line in lines)
    for word in ("bananas", "160", "kg", "cheese", "wool", "apples", "far", "acetone=1%"):
        assert sum(word in line for line in lines) == 1, (word, lines)
    assert len(lines) == 8


@pytest.mark.parametrize("command", ["advise", "schedule", "press"])
def test_two_mistakes_in_two_groups_are_two_lines_in_every_command(run, command):
    code, _, err = run(command, UP, "--temperature", "26", "--humidity", "50%", "--area", "0.5 kg")
    assert code == 2
    assert len(err.splitlines()) == 2
    assert "temperature" in err
    assert "area" in err


def test_one_mistake_is_one_line_and_names_it_once(run):
    code, _, err = run("advise", "--full", UP, *SHOP, "--core", "20 mm cheese")
    assert code == 2
    assert err.count("\n") == 1


def test_what_only_together_makes_no_sense_is_told_too(run):
    """Each option may be read alone, and yet not beside another."""
    code, _, err = run("advise", "--full", UP, *SHOP, "--ply", "core", "--area", "0.5 kg")
    assert code == 2
    assert len(err.splitlines()) == 2


def fails(error):
    def read(**_):
        raise error

    return read


def test_all_that_is_read_together_is_told_of_and_values_keep_their_order():
    assert shared.read_together(lambda: 1, lambda: 2) == [1, 2]
    several = SeveralMistakesError(["b", "c"])
    with pytest.raises(SeveralMistakesError) as caught:
        shared.read_together(fails(InputError("a")), lambda: 1, fails(several))
    assert caught.value.mistakes == ("a", "b", "c")


def test_a_refusal_for_safety_is_not_gathered_among_mistakes():
    with pytest.raises(RefusedError, match="no"):
        shared.read_together(fails(InputError("a")), fails(RefusedError("no")))
    with pytest.raises(RefusedError):
        shared.read_group(fails(RefusedError("no")), {}, [])


def test_a_group_that_fails_only_as_a_whole_tells_that_and_no_mistake_twice():
    def make(**given):
        if given.get("a") == "bad" or given.get("b") == "bad":
            raise InputError("bad")
        if len(given) == 2:
            raise InputError("together")
        return given

    assert shared.read_group(make, {"a": 1}, []) == {"a": 1}
    for value, said in (("bad", ("bad",)), ("good", ("together",))):
        both = {"a": value, "b": value}
        with pytest.raises(SeveralMistakesError) as caught:
            shared.read_group(make, both, [{"a": value}, {"b": value}])
        assert caught.value.mistakes == said


def test_options_stand_in_their_order():
    @click.command()
    @shared.options([click.option("--one"), click.option("--two")], [click.option("--three")])
    def command(**_):
        return 0

    assert [option.name for option in command.params] == ["one", "two", "three"]


def test_a_shop_a_layup_and_a_rig_are_taken_out_of_the_options():
    given = {
        "temperature": "26C", "humidity": "60%", "altitude": None, "barometer": "1003 hPa",
        "tool_temperature": "24C", "sun": None, "ply": ("2 x 400 g/m2 woven glass",), "core": None,
        "area": "0.5 m2", "tool": None, "bag_side": (), "pump_ultimate": "5 mbar",
        "hold_error": "10 mbar", "autoclave": None, "contaminant": ("acetone=1%",), "else": 1,
    }  # fmt: skip
    shop, layup, rig = shared.job_from(given)
    assert given == {"else": 1, "contaminants": {"acetone": "1%"}}
    assert (shop.temperature_K, shop.tool_temperature_K) == pytest.approx((299.15, 297.15))
    assert shop.barometer_Pa == pytest.approx(100300.0)
    assert (layup.area_m2, len(layup.plies)) == (pytest.approx(0.5), 1)
    assert (rig.pump_ultimate, rig.hold_error) == pytest.approx((500.0, 1000.0))


def test_where_the_core_lies_is_not_a_mistake_of_its_own(run):
    _, _, err = run("advise", "--full", UP, *SHOP, "--ply", "core", "--ply", "3 x 400 g/m2 wool")
    assert "wool" in err
    assert len(err.splitlines()) == 2  # the core that lies nowhere, and the wool


def test_json_keeps_what_is_no_ascii_and_two_spaces(capsys):
    form.as_json({"a": "µ"})
    assert capsys.readouterr().out == '{\n  "a": "µ"\n}\n'
