"""A builder's day from one job file: five options in all beside --job."""

import json

import outgas

MORNING = [
    *["job", "new", "orthophthalic-polyester", "--temperature", "22C", "--humidity", "55%"],
    *["--altitude", "20m", "--ply", "2 x 400 g/m2 woven glass", "--core", "15 mm PVC foam"],
    *["--area", "0.5 m2", "--tool", "6 mm glass plate", "--dial", "mbar"],
    *["--rig", "5 m3/h two-stage pump, 2 m of 8 mm hose, 0.6 m2 bag, needle valve"],
]
DAY = [
    ["advise"],
    ["schedule", "--batch", "300 g"],
    ["no-gauge", "belief", "--fell-quiet", "43C"],
    ["diagnose", "--bag", "28 inHg vacuum", "--seen", "where=on strands", "--seen", "bubbles=fine"],
]


def test_a_builders_day_takes_one_file_and_five_options(run, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    assert run(*MORNING, "--out", "deck.toml")[0] == 0
    assert sum(word.startswith("--") for line in DAY for word in line) == 5
    answers = {}
    for line in DAY:
        code, out, err = run(*line, "--job", "deck.toml", "--json")
        assert code in (0, 1), err
        assert err == ""
        answers[line[0]] = json.loads(out)
        code, out, err = run(*line, "--job", "deck.toml")
        assert err == ""
        assert "mbar absolute" in out
        assert "inHg" not in out.splitlines()[0]
    advice, plan, belief = (answers[name] for name in ("advise", "schedule", "no-gauge"))
    assert belief["advice"] == advice  # one job, one advice
    assert {e["kind"] for e in belief["bag"]["evidence"]} == {"pump", "fell quiet"}
    assert plan["resin"] == advice["resin"] == answers["diagnose"]["resin"]
    hall = outgas.read_job("deck.toml").shop
    assert advice["barometer_Pa"] == answers["diagnose"]["barometer_Pa"] == hall.barometer_Pa


def test_the_same_day_from_python(run, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    run(*MORNING, "--out", "deck.toml")
    job = outgas.read_job("deck.toml")
    seen = {"where": "on strands", "bubbles": "fine"}
    bag = outgas.BagPressure.unknown(job.shop.barometer).pump(job.rig).fell_quiet("43C")
    from_python = {
        "advise": outgas.advise(job),
        "schedule": outgas.schedule(job, batch="300 g"),
        "no-gauge": bag.advise(job),
        "diagnose": outgas.diagnose(job, bag_pressure="28 inHg vacuum", seen=seen),
    }
    for line in DAY:
        out = run(*line, "--job", "deck.toml", "--json")[1]
        assert json.loads(out) == json.loads(from_python[line[0]].to_json()), line[0]
