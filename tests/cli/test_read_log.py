"""outgas read-log: a logger's file, on the command line."""

import json
import threading
import time

import pytest

UP = "orthophthalic-polyester"
SHOP = ["--temperature", "22C", "--humidity", "50%", "--altitude", "0m"]


def text(cure=560.0, minutes=60):
    rows = []
    for t in range(0, 60 * minutes, 10):
        p = 1013.0 if t < 600 else 90.0 if t < 1100 else cure
        rows.append(f"{t},{p}")
    return "time [s],pressure [mbar]\n" + "\n".join(rows) + "\n"


@pytest.fixture
def log(tmp_path):
    def go(*given, **more):
        path = tmp_path / "bag.csv"
        path.write_text(text(*given, **more))
        return str(path)

    return go


def test_a_safe_bag_is_told_first_and_ends_with_nought(run, log):
    code, out, err = run("read-log", log(), UP, *SHOP)
    assert (code, err) == (0, "")
    assert out.startswith("Safe: never closer to the limit than")
    assert "Cautions" in out


def test_a_deep_bag_is_told_on_the_users_dial_and_ends_with_one(run, log):
    code, out, _ = run("read-log", log(300.0), UP, *SHOP, "--dial", "bar")
    assert code == 1
    assert out.startswith("Too deep for")
    assert "bar gauge (300 mbar absolute)" in out.splitlines()[0]


def test_json_is_what_the_library_says(run, log):
    import outgas

    path = log()
    _, out, _ = run("read-log", path, UP, *SHOP, "--json")
    shop = outgas.Shop(temperature="22C", humidity="50%", altitude="0m")
    assert json.loads(out) == json.loads(outgas.read_log(path, UP, shop).to_json())


def test_columns_mixing_and_error_are_taken_from_options(run, tmp_path):
    path = tmp_path / "bag.csv"
    rows = [line.split(",") for line in text().splitlines()[1:]]
    path.write_text("a;b\n" + "\n".join(f"{float(t) / 60:.3f};{p}" for t, p in rows) + "\n")
    columns = ["--time-column", "1 [min]", "--pressure-column", "b [mbar absolute]"]
    more = ["--mixed", "0 min", "--sensor-error", "3 mbar"]
    code, out, _ = run("read-log", str(path), UP, *SHOP, *columns, *more)
    assert code == 0
    assert "the sensor is right to 3 mbar" in out


def test_what_may_mean_two_things_is_one_line_and_bad_input(run, tmp_path):
    path = tmp_path / "bag.csv"
    path.write_text("time [s],p [inHg]\n0,20\n400,20\n800,21\n")
    code, out, err = run("read-log", str(path), UP, *SHOP)
    assert (code, out) == (2, "")
    assert err.count("\n") == 1
    assert "may be absolute or below the air" in err


def test_it_is_drawn_too_where_a_file_is_named(run, log, tmp_path):
    path = tmp_path / "bag.svg"
    assert run("read-log", log(), UP, *SHOP, "--out", str(path))[0] == 0
    assert b"<svg" in path.read_bytes()
    code, _, err = run("read-log", log(), UP, *SHOP, "--out", str(tmp_path / "bag.bmp"))
    assert code == 2
    assert ".svg, .png, .pdf" in err


def test_following_takes_no_json(run, log):
    code, _, err = run("read-log", log(), UP, *SHOP, "--follow", "--json")
    assert code == 2
    assert "--follow prints as it goes" in err


def test_following_a_growing_file_prints_an_alarm_and_ends_with_one(run, tmp_path, monkeypatch):
    from outgas.bag_log import follow

    monkeypatch.setattr(follow, "LOOK_s", 0.02)
    path = tmp_path / "bag.csv"
    head, *lines = text(300.0).splitlines(keepends=True)
    path.write_text(head)

    def write():
        for i in range(0, len(lines), 60):
            time.sleep(0.05)
            with path.open("a") as log:
                log.write("".join(lines[i : i + 60]))

    writer = threading.Thread(target=write)
    writer.start()
    code, out, _ = run("read-log", str(path), UP, *SHOP, "--follow", "--dial", "mbar")
    writer.join()
    assert code == 1
    assert "ALARM" in out
    assert out.startswith("caution: ")
    assert "the gel holds a bubble; judging ends here" in out.splitlines()[-1]
