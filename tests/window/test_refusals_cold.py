"""Too cold is the colder of shop and tool, and only below what the sheet asks for."""

import pytest
from window_jobs import job

from outgas.window.refusals import reasons

DRY = {"humidity": "20 %"}  # so that no dew falls on a cold tool


@pytest.mark.parametrize(
    ("shop", "tool", "cold"),
    [("22", "14.9", "14.9"), ("14.9", "22", "14.9"), ("22", "15", None), ("15", "15", None)],
)
def test_the_colder_of_shop_and_tool_decides(shop, tool, cold):
    where = {"temperature": f"{shop} degC", "tool_temperature": f"{tool} degC", **DRY}
    asked = job(where=where)
    assert asked.resin.minimum_temperature.si == pytest.approx(288.15)
    found = reasons(asked)
    assert len(found) == (cold is not None)
    if cold is not None:
        assert found[0].startswith(f"{cold} degC is below the 15 degC that")
