import pytest

import outgas

UP = "orthophthalic-polyester"


@pytest.fixture(scope="session")
def job():
    """What every log here is of."""
    shop = outgas.Shop(temperature="22 degC", humidity="50 %", altitude="0 m")
    layup = outgas.Layup(
        plies=["2 x 400 g/m2 woven glass"],
        core="15 mm PVC foam",
        area="0.5 m2",
        tool="6 mm glass plate",
    )
    return {"resin": UP, "shop": shop, "layup": layup}


@pytest.fixture(scope="session")
def advice(job):
    return outgas.advise(**job)


@pytest.fixture
def read(job, tmp_path):
    """Read a log's text as one of that job."""

    def go(text, encoding="utf-8", **more):
        path = tmp_path / "bag.csv"
        path.write_bytes(text.encode(encoding) if isinstance(text, str) else text)
        return outgas.read_log(path, **{**job, **more})

    return go
