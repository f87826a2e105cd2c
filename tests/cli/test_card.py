"""The shop card from the command line."""

UP = "orthophthalic-polyester"
HERE = ("--temperature", "26C", "--humidity", "60%", "--altitude", "20m")


def test_a_card_is_written_and_named(run, tmp_path):
    path = tmp_path / "card.html"
    code, out, _ = run("card", UP, *HERE, "--dial", "bar", "--out", str(path))
    assert code == 0
    assert out.strip() == str(path)
    assert "<option selected>bar</option>" in path.read_text(encoding="utf-8")


def test_a_job_gives_the_card_its_plan_and_its_dial(run, tmp_path):
    job, path = tmp_path / "deck.toml", tmp_path / "card.html"
    asked = ("--ply", "2 x 400 g/m2 woven glass", "--area", "0.5 m2", "--dial", "mbar")
    assert run("job", "new", UP, *HERE, *asked, "--out", str(job))[0] == 0
    assert run("card", "--job", str(job), "--batch", "400 g", "--out", str(path))[0] == 0
    page = path.read_text(encoding="utf-8")
    assert ">Plan</h2>" in page
    assert "<option selected>mbar</option>" in page
    assert "0.40 kg" in page or "0.4 kg" in page


def test_no_window_ends_with_one_and_a_card_that_says_so(run, tmp_path):
    path = tmp_path / "card.html"
    high = ("--temperature", "30C", "--humidity", "60%", "--altitude", "2500m", "--no-debulk")
    assert run("card", UP, *high, "--out", str(path))[0] == 1
    assert "No safe window" in path.read_text(encoding="utf-8")


def test_only_a_page_is_written(run, tmp_path):
    code, _, err = run("card", UP, *HERE, "--out", str(tmp_path / "card.pdf"))
    assert code == 2
    assert ".html" in err
    (tmp_path / "card.html").mkdir()
    code, _, err = run("card", UP, *HERE, "--out", str(tmp_path / "card.html"))
    assert code == 2
    assert "cannot be written" in err
