"""The card in a browser: its controls, its timer, its sheet of paper, and who can read it."""

import re

import numpy as np
import picture
import pytest
from against_exact import exact, one_sided
from PIL import Image

from outgas.constants import ZERO_CELSIUS_K
from outgas.shop_card.grid import WINDOW
from outgas.show.dial import DIALS, on_dial
from outgas.show.report import Brief

PHONE = {"width": 390, "height": 844}
POINTS = 200
LEAST_CONTRAST = 7.0
SET = """([T, RH, h]) => {
  for (const [id, x] of [["temperature", T], ["humidity", RH], ["altitude", h]])
    document.getElementById(id).value = x;
  document.getElementById("altitude").dispatchEvent(new Event("input"));
  const d = document.getElementById("answer").dataset;
  return [d.outcome, d.hold, d.deepest, d.weakest, d.early];
}"""
CONTRAST = """() => {
  const light = (c) => {
    const [r, g, b] = c.match(/[\\d.]+/g).slice(0, 3).map((x) => {
      const s = x / 255;
      return s <= 0.04045 ? s / 12.92 : ((s + 0.055) / 1.055) ** 2.4;
    });
    return 0.2126 * r + 0.7152 * g + 0.0722 * b;
  };
  const ground = (e) => {
    for (; e; e = e.parentElement) {
      const c = getComputedStyle(e).backgroundColor;
      if (!/, 0\\)$/.test(c)) return c;
    }
    return "rgb(255, 255, 255)";
  };
  const found = [];
  for (const e of document.querySelectorAll("body *")) {
    const own = [...e.childNodes].some((n) => n.nodeType === 3 && n.textContent.trim());
    if (!own || e.closest("svg, script, noscript") || !e.getClientRects().length) continue;
    const [a, b] = [light(getComputedStyle(e).color), light(ground(e))];
    const ratio = (Math.max(a, b) + 0.05) / (Math.min(a, b) + 0.05);
    found.push([e.id, parseFloat(getComputedStyle(e).fontSize), ratio, e.textContent.slice(0, 30)]);
  }
  return found;
}"""


class Opened:
    """A page with what went wrong in it."""

    def __init__(self, page):
        self.page, self.asked, self.errors = page, [], []
        page.on("request", lambda r: self.asked.append(r.url))
        page.on("pageerror", lambda e: self.errors.append(str(e)))
        page.on("console", lambda m: self.errors.append(m.text))


@pytest.fixture
def shown(browser, tmp_path):
    contexts = []

    def open_card(card):
        context = browser.new_context(viewport=PHONE)
        contexts.append(context)
        found = Opened(context.new_page())
        found.page.clock.install()
        found.page.goto(card.write(tmp_path / "card.html").as_uri())
        return found

    yield open_card
    for context in contexts:
        context.close()


def test_it_asks_no_network_and_complains_of_nothing(shown, planned):
    found = shown(planned)
    found.page.get_by_label("Humidity").fill("70")
    found.page.get_by_role("button", name="Mixed now").click()
    assert [url[:7] for url in found.asked] == ["file://"]
    assert found.errors == []


def test_the_setpoint_is_the_largest_text_in_the_first_view_and_all_text_can_be_read(
    shown, planned
):
    page = shown(planned).page
    texts = page.evaluate(CONTRAST)
    sizes = {one[0]: one[1] for one in texts}
    others = [size for name, size, *_ in texts if name != "setpoint"]
    assert sizes["setpoint"] > 1.5 * max(others)
    box = page.locator("#setpoint").bounding_box()
    assert box["x"] >= 0
    assert box["x"] + box["width"] <= PHONE["width"]
    assert box["y"] >= 0
    assert box["y"] + box["height"] <= PHONE["height"]
    assert [one for one in texts if one[2] < LEAST_CONTRAST] == []
    assert page.evaluate("document.documentElement.scrollWidth") <= PHONE["width"]


def test_it_opens_with_the_answer_of_advise_on_the_users_dial(shown, planned):
    page, here = shown(planned).page, planned.job.shop.barometer_Pa
    hold = planned.read("26 degC", "60 %").hold
    for name in DIALS:
        page.get_by_label("Dial", exact=False).and_(page.locator("select")).select_option(name)
        number, _, words = on_dial(hold, here, name).partition(" ")
        assert page.locator("#setpoint").inner_text() == number
        assert page.locator("#unit").inner_text() == words
        for span in page.locator(".p").element_handles()[:12]:
            at = float(span.get_attribute("data-pa"))
            weaker = span.get_attribute("data-weaker") == "1"
            assert span.text_content() == Brief(at, weaker, absolute=True).on(here, name)


def test_each_control_changes_the_answer_and_hides_what_was_worked_for_the_job(shown, planned):
    page = shown(planned).page
    first = page.locator("#answer").get_attribute("data-hold")
    assert page.locator(".plan").is_visible()
    for label, value in (("Temperature", "27"), ("Humidity", "65"), ("Altitude", "10")):
        page.get_by_label(label).fill(value)
        assert page.locator("#answer").get_attribute("data-hold") != first
        assert not page.locator(".plan").is_visible()
        assert page.locator("#other").is_visible()
        page.get_by_role("button", name="Back to the job").click()
        assert page.locator("#answer").get_attribute("data-hold") == first
        assert page.locator(".plan").is_visible()
    page.get_by_label("Temperature").fill("90")
    assert page.locator("#setpoint").inner_text() == "Beyond this card"
    page.get_by_label("Temperature").fill("")
    assert page.locator("#answer").get_attribute("data-hold") == ""


def test_at_200_random_shops_the_page_is_never_deeper_nor_weaker_than_exact(shown, plain):
    page, rng = shown(plain).page, np.random.default_rng(11)
    low, high = (a[0] for a in plain.grid.axes), (a[-1] for a in plain.grid.axes)
    (T0, RH0, _), (T1, RH1, _) = low, high
    points = [
        (
            round(float(rng.uniform(T0, T1)) - ZERO_CELSIUS_K, 3),
            round(100.0 * float(rng.uniform(RH0, RH1)), 3),
            round(float(rng.uniform(0.0, 2400.0)), 1),
        )
        for _ in range(POINTS)
    ]
    shops = [(T + ZERO_CELSIUS_K, RH / 100.0, plain.barometer_Pa(h)) for T, RH, h in points]
    windows = 0
    for point, shop, found in zip(points, shops, exact(plain, {}, shops), strict=True):
        read = plain.grid.read(*shop)
        outcome, *numbers = page.evaluate(SET, list(map(str, point)))
        assert outcome == (read.outcome if read else "beyond"), point
        if outcome != WINDOW:
            continue
        windows += 1
        wanted = [read.hold, read.deepest, read.weakest, read.early]
        got = [float(x) if x else None for x in numbers]
        assert got == pytest.approx(wanted, rel=1e-9), point
        assert one_sided(read, found), point
        assert got[0] >= found.window.setpoint - 1e-6
        assert got[0] <= found.window.shallowest
    assert windows > POINTS / 4


def test_the_timer_runs_against_the_gel_and_takes_the_early_pull_away_in_time(shown, planned):
    page = shown(planned).page
    assert page.locator("#clock").inner_text() == "not mixed yet"
    assert page.locator("#early").is_visible()
    page.get_by_role("button", name="Mixed now").click()
    page.clock.run_for(90_600)
    assert page.locator("#clock").inner_text() == "1:30"
    first = planned.read("26 degC", "60 %").gel[0]
    told = re.match(r"(\d+):(\d\d) to the earliest gel", page.locator("#gel").inner_text())
    assert first - 92.0 <= 60.0 * int(told[1]) + int(told[2]) <= first - 90.0
    assert "mix" in page.locator(".plan li.current").inner_text()
    page.get_by_label("Minutes since mixing").fill("15")
    assert not page.locator("#early").is_visible()
    assert "hold to the gel" in page.locator(".plan li[aria-current]").inner_text()
    page.get_by_label("Minutes since mixing").fill("60")
    assert "should have gelled" in page.locator("#now").inner_text()
    page.reload()
    assert page.locator("#clock").inner_text().startswith("1:00:")
    page.get_by_role("button", name="Clear").click()
    assert page.locator("#clock").inner_text() == "not mixed yet"


def test_ticks_are_made_by_the_keyboard_and_kept(shown, planned):
    page = shown(planned).page
    boxes = page.locator(".plan input")
    assert boxes.count() == len(planned.plan)
    boxes.first.focus()
    page.keyboard.press("Space")
    page.reload()
    assert boxes.first.is_checked()
    assert not boxes.nth(1).is_checked()


def test_a_screen_reader_has_a_name_for_everything(shown, planned):
    page = shown(planned).page
    assert page.get_attribute("html", "lang") == "en"
    nameless = page.evaluate(
        """() => [...document.querySelectorAll("input, select, button")].filter((e) =>
          !(e.labels && [...e.labels].some((l) => l.textContent.trim())) && !e.textContent.trim()
        ).length"""
    )
    assert nameless == 0
    ids = page.evaluate("[...document.querySelectorAll('[id]')].map((e) => e.id)")
    assert len(ids) == len(set(ids))
    for named in page.evaluate(
        "[...document.querySelectorAll('[aria-labelledby]')].map((e) => e.ariaLabelledByElements"
        " ? e.ariaLabelledByElements.length : document.getElementById("
        "e.getAttribute('aria-labelledby')) ? 1 : 0)"
    ):
        assert named == 1
    assert page.get_attribute("#answer", "aria-live") == "polite"
    assert page.locator("#answer #setpoint").count() == 1
    unnamed = "[...document.querySelectorAll('svg')].filter((e) => e.ariaHidden !== 'true'"
    assert page.evaluate(f"{unnamed} && !e.ariaLabel).length") == 0
    order = page.evaluate("[...document.querySelectorAll('h1, h2')].map((e) => e.tagName)")
    assert order[0] == "H1"
    assert order.count("H1") == 1
    reached = set()
    for _ in range(30):
        page.keyboard.press("Tab")
        reached.add(page.evaluate("document.activeElement.id"))
    wanted = {"mixed", "stop", "temperature", "humidity", "altitude", "dial", "minutes", "back"}
    assert wanted <= reached


@pytest.mark.parametrize("which", ["plain", "planned"])
def test_it_prints_on_one_sheet_of_a4(shown, request, which, tmp_path):
    page = shown(request.getfixturevalue(which)).page
    printed = page.pdf(prefer_css_page_size=True)
    assert len(re.findall(rb"/Type\s*/Page\b(?!s)", printed)) == 1
    box = re.search(rb"/MediaBox\s*\[\s*0 0 ([\d.]+) ([\d.]+)", printed)
    assert [float(x) for x in box.groups()] == pytest.approx([595.0, 842.0], abs=2.0)


def test_the_picture_in_the_readme_is_what_its_card_says(browser, tmp_path):
    with Image.open(picture.PICTURE) as taken, picture.opened(browser, tmp_path) as page:
        assert taken.size == tuple(picture.PHONE.values())
        assert taken.text[picture.SAID] == picture.said(page)
        assert page.inner_text("#setpoint") in taken.text[picture.SAID]
    assert f"(notebooks/{picture.PICTURE.name})" in (picture.ROOT / "README.md").read_text()
