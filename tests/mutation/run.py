"""Make single edits of the safety path, one by one, and ask whether a test notices each.

    python tests/mutation/run.py --sample 130      the table of the contributor guide
    python tests/mutation/run.py --only limits.py  every edit of one file
    python tests/mutation/run.py --named           the edits of named.toml
    python tests/mutation/run.py --again said.txt  what went by before, by what that run printed

Each edit is made in a copy of the tree and meets the tests that safety_path.toml names for its
file, in a process of its own: forked from one that has loaded numpy and the like, and never
outgas. It counts as noticed if a test fails, or takes very much longer than it should, and that
same test passes on the tree as it is. What no test can notice stands in equivalent.toml with its
reason.
"""

import argparse
import importlib
import json
import multiprocessing
import os
import re
import shutil
import subprocess
import sys
import tempfile
import time
import tomllib
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))
from edits import Edit, edits_of

HERE = Path(__file__).parent
ROOT = HERE.parents[1]
COPIED = ("outgas", "data", "tests", "pyproject.toml", "README.md", "DEVELOPERS.md")
LOADED = (
    *("numpy", "scipy.optimize", "scipy.stats", "scipy.integrate", "CoolProp", "pint", "msgspec"),
    *("click", "hypothesis", "pytest"),
)
LONGEST_S = 120.0  # of one edit's tests: the slowest set takes less than a minute
MOST_BYTES = 4 << 30  # of one edit's process: a turned condition may well gather without end
MOST_FAULTY = 0.1  # of the edits may go by
WENT_BY = "not noticed: "
QUIET = ["-x", "-q", "-p", "no:randomly", "-p", "no:cacheprovider", "-p", "no:xdist",
         "-p", "no:benchmark", "-W", "ignore::pytest.PytestAssertRewriteWarning",
         "-o", "addopts=--import-mode=importlib --strict-config",
         "--hypothesis-profile=mutation"]  # fmt: skip


@dataclass(frozen=True, slots=True)
class Result:
    """What became of one edit: the test that noticed it, empty where none did."""

    edit: Edit
    noticed_by: str
    seconds: float


class Tree:
    """A copy of the tree, in which files are edited and given back."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self._sound: dict[str, bool] = {}
        for name in COPIED:
            source, to = ROOT / name, folder / name
            if source.is_dir():
                shutil.copytree(source, to, ignore=shutil.ignore_patterns("__pycache__"))
            elif source.exists():
                shutil.copy2(source, to)

    def failing(self, edit: Edit, tests: Sequence[str]) -> str:
        """Return the test that fails with an edit and passes without it; empty where none does."""
        path = self.folder / edit.file
        source = path.read_text(encoding="utf-8")
        path.write_text(edit.made(source), encoding="utf-8")
        self._forget(path)
        try:
            failed = self._tested(tests)
        finally:
            path.write_text(source, encoding="utf-8")
            self._forget(path)
        if failed and not self._passes(failed, tests):
            raise SystemExit(f"{failed} fails on the tree as it is: mend it first")
        return failed

    def _passes(self, test: str, tests: Sequence[str]) -> bool:
        asked = tests if test not in self._sound and "::" not in test else [test]
        if test not in self._sound:
            self._sound[test] = not self._tested(asked)
        return self._sound[test]

    def _tested(self, tests: Sequence[str]) -> str:
        """Return the first of these tests to fail, empty where all pass."""
        said = self.folder / "said"
        process = multiprocessing.get_context("fork").Process(
            target=_pytest, args=(self.folder, list(tests), said)
        )
        process.start()
        process.join(LONGEST_S)
        if process.is_alive():
            process.kill()
            process.join()
            return f"{tests[0]} (takes too long)"
        if process.exitcode == 0:
            return ""
        found = re.search(
            r"^(?:FAILED|ERROR) (.+?)(?: - .*)?$", said.read_text("utf-8"), re.MULTILINE
        )
        return found[1] if found else tests[0]

    @staticmethod
    def _forget(path: Path) -> None:
        """Drop the compiled file: two edits within a second and of one length look the same."""
        for compiled in (path.parent / "__pycache__").glob(f"{path.stem}.*"):
            compiled.unlink()


def _pytest(folder: Path, tests: list[str], said: Path) -> None:
    """Run tests in this process, which ends with them."""
    import resource

    import pytest

    if any(name.split(".")[0] == "outgas" for name in sys.modules):
        raise RuntimeError("outgas was loaded before the edit was made")
    resource.setrlimit(resource.RLIMIT_DATA, (MOST_BYTES, MOST_BYTES))
    with said.open("w", encoding="utf-8") as out:
        os.dup2(out.fileno(), 1)
        os.dup2(out.fileno(), 2)
        os.chdir(folder)
        os.environ.update(PYTHONPATH=str(folder), COLUMNS="400")
        sys.path[:] = [str(folder), *(p for p in sys.path if p not in ("", str(ROOT), str(HERE)))]
        code = pytest.main([*QUIET, *tests[:1]])  # by itself: to gather the others takes long
        if code == 0 and tests[1:]:
            code = pytest.main([*QUIET, *tests[1:]])
        sys.stdout.flush()
    os._exit(int(code))


def safety_path() -> dict[str, list[str]]:
    """Return the files of the safety path, each with its tests, the likeliest first."""
    table = tomllib.loads((HERE / "safety_path.toml").read_text(encoding="utf-8"))["tests"]
    return {file: [f"tests/{test}" for test in tests] for file, tests in table.items()}


def equivalent() -> dict[str, str]:
    """Return the edits that change no answer, each with its reason."""
    table = tomllib.loads((HERE / "equivalent.toml").read_text(encoding="utf-8"))
    return {row["edit"]: row["reason"] for row in table["equivalent"]}


def drawn(seed: int, most: int | None, only: str = "") -> list[Edit]:
    """Return a seeded sample of all edits, or every edit."""
    edits = [e for file in safety_path() if only in file for e in edits_of(ROOT, file)]
    return sorted(edits, key=lambda edit: edit.drawn(seed))[:most]


def again(said: str) -> list[Edit]:
    """Return the edits that went by in a run, by what it printed."""
    lines = Path(said).read_text(encoding="utf-8").splitlines()
    names = {line.removeprefix(WENT_BY) for line in lines if line.startswith(WENT_BY)}
    return [edit for edit in drawn(0, None) if edit.name in names]


def named() -> list[tuple[Edit, list[str]]]:
    """Return the edits that have a name, each with the test that is to notice it."""
    table = tomllib.loads((HERE / "named.toml").read_text(encoding="utf-8"))
    found = []
    for row in table["edit"]:
        source = (ROOT / row["file"]).read_text(encoding="utf-8")
        if source.count(row["was"]) != 1:
            raise SystemExit(f"{row['name']}: its line stands {source.count(row['was'])} times")
        start = source.index(row["was"])
        edit = Edit(row["file"], row["name"], "named", start, start + len(row["was"]), row["was"],
                    row["becomes"])  # fmt: skip
        found.append((edit, [f"tests/{row['noticed_by']}"]))
    return found


def tried(edits: Sequence[tuple[Edit, list[str]]], say: Callable[[Result], None]) -> list[Result]:
    """Try edits, one after the other, in a copy of the tree."""
    for name in LOADED:
        importlib.import_module(name)
    found = []
    with tempfile.TemporaryDirectory() as folder:
        tree, same = Tree(Path(folder)), equivalent()
        for edit, tests in edits:
            began = time.monotonic()
            failed = "" if edit.name in same else tree.failing(edit, tests)
            found.append(Result(edit, failed, time.monotonic() - began))
            say(found[-1])
    return found


def table(results: Sequence[Result]) -> str:
    """Return what became of them, by file, as it stands in the contributor guide."""
    listed = equivalent()
    lines = ["| file | edits | noticed | equivalent | share |", "|---|---|---|---|---|"]
    files = sorted({result.edit.file for result in results})
    for file in [*files, "all"]:
        of = [r for r in results if file in ("all", r.edit.file)]
        noticed = sum(bool(r.noticed_by) for r in of)
        same = sum(not r.noticed_by and r.edit.name in listed for r in of)
        share = f"{noticed / (len(of) - same):.0%}" if len(of) > same else "-"
        name = file if file == "all" else f"`{file}`"
        lines.append(f"| {name} | {len(of)} | {noticed} | {same} | {share} |")
    return "\n".join(lines)


def survivors(results: Sequence[Result]) -> list[str]:
    """Return the edits that no test noticed and that are not known to change nothing."""
    listed = equivalent()
    return [r.edit.name for r in results if not r.noticed_by and r.edit.name not in listed]


def _in_parts(arguments: argparse.Namespace) -> list[Result]:
    """Try the sample in several processes, each with a tree of its own."""
    own = [a for a in sys.argv[1:] if not a.startswith("--jobs")]
    parts = [
        subprocess.Popen(
            [sys.executable, __file__, *own, f"--part={i}/{arguments.jobs}"],
            stdout=subprocess.PIPE, text=True,
        )
        for i in range(arguments.jobs)
    ]  # fmt: skip
    found = []
    for part in parts:
        out, _ = part.communicate()
        if part.returncode:
            raise SystemExit(part.returncode)
        for line in out.splitlines():
            row = json.loads(line)
            found.append(Result(Edit(**row["edit"]), row["noticed_by"], row["seconds"]))
    return found


def _say(result: Result) -> None:
    mark = f"noticed by {result.noticed_by}" if result.noticed_by else "NOT NOTICED"
    print(f"{result.seconds:5.1f} s  {result.edit.name}: {mark}", file=sys.stderr, flush=True)


def main() -> int:
    """Try what was asked for, print the table and what went by unnoticed; 1 where too much did."""
    asked = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawTextHelpFormatter
    )
    asked.add_argument("--sample", type=int, help="how many edits; all where it is left out")
    asked.add_argument("--seed", type=int, default=17)
    asked.add_argument("--only", default="", help="files whose path holds this")
    asked.add_argument("--named", action="store_true", help="the edits of named.toml")
    asked.add_argument("--again", default="", help="a file: what went by, as a run printed it")
    asked.add_argument("--jobs", type=int, default=1, help="processes, as in --jobs=2")
    asked.add_argument("--part", default="", help=argparse.SUPPRESS)
    arguments = asked.parse_args()
    tests = safety_path()
    chosen = (
        again(arguments.again)
        if arguments.again
        else drawn(arguments.seed, arguments.sample, arguments.only)
    )
    edits = named() if arguments.named else [(e, tests[e.file]) for e in chosen]
    if arguments.part:
        part, of = map(int, arguments.part.split("/"))
        for result in tried(edits[part::of], _say):
            row = {name: getattr(result.edit, name) for name in Edit.__slots__}
            print(json.dumps({"edit": row, "noticed_by": result.noticed_by,
                              "seconds": result.seconds}), flush=True)  # fmt: skip
        return 0
    results = _in_parts(arguments) if arguments.jobs > 1 else tried(edits, _say)
    went_by = survivors(results)
    print(table(results))
    for name in went_by:
        print(f"{WENT_BY}{name}")
    return int(len(went_by) > MOST_FAULTY * len(results))


if __name__ == "__main__":
    sys.exit(main())
