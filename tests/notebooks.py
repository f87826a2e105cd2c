"""The notebooks run anew; `python tests/notebooks.py` stores what comes out.

They are kept with their outputs, for whoever opens them without running anything; a test compares
what is stored with a fresh run.
"""

import re
import tempfile
from pathlib import Path

import nbformat
from nbclient import NotebookClient

FOLDER = Path(__file__).parents[1] / "notebooks"
SECONDS = 600
PLAIN = {"kernelspec": {"display_name": "Python 3", "language": "python", "name": "python3"}}
_SVG = re.compile(r"<svg.*?</svg>", flags=re.DOTALL)


def names():
    return sorted(path.stem for path in FOLDER.glob("*.ipynb"))


def stored(name):
    return nbformat.read(FOLDER / f"{name}.ipynb", as_version=4)


def ran(name):
    """Return a notebook run anew, in a folder of its own, with nothing in it that a run leaves."""
    book = stored(name)
    with tempfile.TemporaryDirectory() as folder:
        where = {"metadata": {"path": folder}}
        NotebookClient(book, timeout=SECONDS, kernel_name="python3", resources=where).execute()
    for cell in book.cells:
        cell.metadata.pop("execution", None)  # when it began and ended
    book.metadata = {**PLAIN, "language_info": {"name": "python"}}
    return book


def code_lines(book):
    """Return the lines of code: neither empty nor a comment alone."""
    lines = [
        line.strip() for c in book.cells if c.cell_type == "code" for line in c.source.splitlines()
    ]
    return [line for line in lines if line and not line.startswith("#")]


def said(cell):
    """Return what a cell put out as words, by its kind; of a picture only that there is one."""
    found = []
    for out in cell.get("outputs", []):
        if out.output_type == "stream":
            if found and found[-1][0] == out.name:  # what was printed comes in one piece or two
                found[-1] = (out.name, found[-1][1] + out.text)
            else:
                found.append((out.name, out.text))
            continue
        for kind, text in sorted(out.get("data", {}).items()):
            if kind == "image/svg+xml":
                found.append((kind, "a picture"))
            else:
                found.append((kind, _SVG.sub("a picture", text)))
    return found


if __name__ == "__main__":
    for name in names():
        nbformat.write(ran(name), FOLDER / f"{name}.ipynb")
