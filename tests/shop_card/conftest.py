"""Cards to look at, and a browser to look at them with where there is one."""

import os
import shutil

import pytest

import outgas

PLIES = ["2 x 400 g/m2 woven glass"]
NEEDED = "OUTGAS_NEEDS_BROWSER"  # set where a missing browser is a failure
BROWSERS = ("chromium", "chromium-browser", "google-chrome")


@pytest.fixture(scope="session")
def plain():
    return outgas.card("orthophthalic-polyester", temperature="26C", humidity="60%", altitude="20m")


@pytest.fixture(scope="session")
def planned():
    return outgas.card(
        "orthophthalic-polyester",
        temperature="26C",
        humidity="60%",
        altitude="20m",
        ply=PLIES,
        area="0.5 m2",
        rig="5 m3/h two-stage pump, 2 m of 8 mm hose, 0.6 m2 bag",
    )


def found_browser() -> str | None:
    return next(filter(None, map(shutil.which, BROWSERS)), None)


@pytest.fixture(scope="session")
def browser():
    found = found_browser()
    if found is None:
        if os.environ.get(NEEDED):
            pytest.fail(f"{NEEDED} is set and there is no browser on the path")
        pytest.skip("no chromium on the path")
    from playwright.sync_api import sync_playwright

    with sync_playwright() as driver:
        opened = driver.chromium.launch(executable_path=found, args=["--no-sandbox"])
        yield opened
        opened.close()
