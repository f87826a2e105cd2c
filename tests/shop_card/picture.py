"""The README's picture of a card on a phone: `python tests/shop_card/picture.py` makes it anew.

What the page said when it was taken goes along in the file, so that a test can tell an old one.
"""

import contextlib
import re
import shlex
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from PIL import Image
from PIL.PngImagePlugin import PngInfo

ROOT = Path(__file__).parents[2]
PICTURE = ROOT / "notebooks" / "card.png"
PHONE = {"width": 390, "height": 844}
SAID = "said"


def command() -> list[str]:
    """Return the words of the command that the README prints beside the picture."""
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    found = re.search(r"`outgas (card [^`]*) --out card\.html`", readme)
    assert found is not None
    return shlex.split(found[1])


@contextlib.contextmanager
def opened(browser: Any, folder: Path) -> Iterator[Any]:
    """Open the card that the command makes, as a phone shows it by day."""
    from outgas.cli.main import main

    path = folder / "card.html"
    main([*command(), "--out", str(path)])
    page = browser.new_page(viewport=PHONE, color_scheme="light")
    page.goto(path.as_uri())
    yield page
    page.close()


def said(page: Any) -> str:
    """Return the words of the page that do not run on with the clock."""
    return "\n".join(line.strip() for line in page.inner_text("main").splitlines() if line.strip())


def main() -> None:
    from conftest import BROWSERS, found_browser
    from playwright.sync_api import sync_playwright

    path = found_browser()
    if path is None:
        sys.exit(f"none of {', '.join(BROWSERS)} is on the path")
    with sync_playwright() as driver, tempfile.TemporaryDirectory() as folder:
        browser = driver.chromium.launch(executable_path=path, args=["--no-sandbox"])
        with opened(browser, Path(folder)) as page:
            page.screenshot(path=PICTURE)
            words = said(page)
        browser.close()
    kept = PngInfo()
    kept.add_itxt(SAID, words)
    with Image.open(PICTURE) as image:
        image.convert("P", palette=Image.Palette.ADAPTIVE, colors=64).save(
            PICTURE, pnginfo=kept, optimize=True
        )


if __name__ == "__main__":
    main()
