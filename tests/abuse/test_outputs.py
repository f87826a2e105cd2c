"""Outputs that cannot be written, old locales, killed writers, many workers, twice the same."""

import json
import multiprocessing
import os
import subprocess
import sys
import threading
from concurrent.futures import ProcessPoolExecutor, ThreadPoolExecutor
from pathlib import Path

import pytest

import outgas

UP = "orthophthalic-polyester"
SHOP = "--temperature 26C --humidity 60%"
OUTGAS = f'"{sys.executable}" -m outgas'
UNSAFE, BAD_INPUT, STOPPED = 1, 2, 130


def shell(line, folder, **environment):
    """Exit code and what was said on standard error."""
    done = subprocess.run(
        ["bash", "-c", line], check=False, capture_output=True, cwd=folder, timeout=120,
        env={**os.environ, "PYTHONPATH": str(Path(outgas.__file__).parents[1]), **environment},
    )  # fmt: skip
    return (
        done.returncode,
        done.stdout.decode("utf-8", "replace"),
        done.stderr.decode("utf-8", "replace"),
    )


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="this machine has no full device")
def test_a_full_device_is_said_in_one_line_and_is_no_refusal_of_a_bag(tmp_path):
    code, _, said = shell(f"{OUTGAS} convert '60 mbar' > /dev/full", tmp_path)
    assert (code, said) == (
        STOPPED,
        "outgas: the output cannot be written: No space left on device\n",
    )


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="this machine has no full device")
def test_bad_input_stays_bad_input_where_nobody_can_be_told(tmp_path):
    assert shell(f"{OUTGAS} convert 60 2> /dev/full", tmp_path)[0] == BAD_INPUT
    assert shell(f"{OUTGAS} convert 60 2>&-", tmp_path)[0] == BAD_INPUT


def test_a_reader_that_goes_away_turns_no_answer_into_a_refusal(tmp_path):
    line = f"{OUTGAS} advise {UP} {SHOP} --full | head -c 1 > /dev/null; exit ${{PIPESTATUS[0]}}"
    code, _, said = shell(line, tmp_path)
    assert code in (0, STOPPED)
    assert "Traceback" not in said
    code, _, said = shell(f"{OUTGAS} convert '60 mbar' >&-", tmp_path)
    assert (code, said) == (0, "")


@pytest.mark.parametrize(
    "locale",
    [
        {"LC_ALL": "C", "PYTHONUTF8": "0", "PYTHONCOERCECLOCALE": "0"},
        {"PYTHONIOENCODING": "ascii"},
        {"PYTHONIOENCODING": "latin-1"},
    ],
    ids=["C", "ascii", "latin-1"],
)
def test_a_locale_that_knows_no_unicode_loses_no_answer(tmp_path, locale):
    code, out, said = shell(f"{OUTGAS} schedule {UP} {SHOP} --ply '400 g/m2 woven glass' --full",
                            tmp_path, **locale)  # fmt: skip
    assert code in (0, UNSAFE), said
    assert "inHg" in out
    code, _, said = shell(f"{OUTGAS} advise 'härter µ' {SHOP}", tmp_path, **locale)
    assert code == BAD_INPUT
    assert "Traceback" not in said


KILL = """
import os, signal, sys
from outgas import files
from outgas.cli.main import main
if sys.argv[1] == "before":
    os.fsync = lambda handle: os.kill(os.getpid(), signal.SIGKILL)
else:
    write = os.fdopen
    def half(handle, *rest):
        out = write(handle, *rest)
        if "w" in rest[0]:
            whole = out.write
            class Half:
                def __enter__(self): return self
                def __exit__(self, *_): return False
                def write(self, content):
                    whole(content[: len(content) // 2]); out.flush()
                    os.kill(os.getpid(), signal.SIGKILL)
            return Half()
        return out
    os.fdopen = half
main(sys.argv[2:])
"""
WRITERS = {
    "job.toml": ["job", "new", UP, *SHOP.split(), "--force", "--out", "job.toml"],
    "card.html": ["card", UP, *SHOP.split(), "--out", "card.html"],
}


@pytest.mark.parametrize("moment", ["before", "half"])
@pytest.mark.parametrize("name", WRITERS)
def test_a_killed_writer_leaves_the_old_file(tmp_path, name, moment):
    (tmp_path / name).write_text("the old one", encoding="utf-8")
    done = subprocess.run(
        [sys.executable, "-c", KILL, moment, *WRITERS[name]],
        cwd=tmp_path, capture_output=True, timeout=120, check=False,
        env={**os.environ, "PYTHONPATH": str(Path(outgas.__file__).parents[1])},
    )  # fmt: skip
    assert done.returncode == -9, done.stderr.decode()[-300:]
    assert (tmp_path / name).read_text(encoding="utf-8") == "the old one"


def test_a_cache_cut_short_is_made_again_not_believed(tmp_path, monkeypatch):
    from outgas.tables import built
    from outgas.tables.volatiles import Table

    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path))
    known = outgas.volatile("acetone").built
    made = []

    def make():
        made.append(1)
        return known

    ask = lambda: built.product(Table, "saturation", "mine", "a key", make)  # noqa: E731
    assert ask() == known
    (kept,) = tmp_path.rglob("*.json")
    whole = kept.read_bytes()
    for cut in (0, 1, 64, len(whole) // 2, len(whole) - 1):
        kept.write_bytes(whole[:cut])
        before = len(made)
        assert ask() == known
        assert len(made) == before + 1
        assert kept.read_bytes() == whole
    assert ask() == known
    assert len(made) == 6  # whole again: read, not made


AT_ONCE = """
import sys, threading
sys.path.insert(0, sys.argv[1])
from test_outputs import answer_of
sys.setswitchinterval(1e-6)
together, found = threading.Barrier(8), []
def ask():
    together.wait()
    found.append(answer_of(24))
threads = [threading.Thread(target=ask) for _ in range(8)]
[thread.start() for thread in threads]
[thread.join() for thread in threads]
print(len(found), len(set(found)))
"""


@pytest.mark.parametrize("attempt", range(3))
def test_threads_that_all_ask_first_end_no_process(attempt):
    """Records were learned by several threads at once, which crashed one process in two."""
    done = subprocess.run(
        [sys.executable, "-c", AT_ONCE, str(Path(__file__).parent)],
        capture_output=True, text=True, check=False, timeout=120,
        env={**os.environ, "PYTHONPATH": str(Path(outgas.__file__).parents[1])},
    )  # fmt: skip
    assert (done.returncode, done.stdout) == (0, "8 1\n"), done.stderr[-300:]


def answer_of(temperature):
    """One answer, as it is printed for a machine."""
    shop = outgas.Shop(temperature=f"{temperature} degC", humidity="60 %")
    return outgas.advise(UP, shop, bag_pressure="300 mbar").to_json()


WARMTHS = (18, 21, 24, 27)


def test_threads_forks_and_spawned_processes_answer_as_one_thread_does():
    alone = [answer_of(t) for t in WARMTHS]
    with ThreadPoolExecutor(len(WARMTHS), initializer=threading.Event) as pool:
        assert list(pool.map(answer_of, WARMTHS * 3)) == alone * 3
    spawned = (
        "import sys; sys.path.insert(0, sys.argv[1]); from test_outputs import answer_of, WARMTHS;"
        "import json; print(json.dumps([answer_of(t) for t in WARMTHS]))"
    )
    done = subprocess.run(
        [sys.executable, "-c", spawned, str(Path(__file__).parent)],
        capture_output=True, text=True, check=True, timeout=120,
        env={**os.environ, "PYTHONPATH": str(Path(outgas.__file__).parents[1])},
    )  # fmt: skip
    assert json.loads(done.stdout) == alone


@pytest.mark.skipif("fork" not in multiprocessing.get_all_start_methods(), reason="no forks here")
@pytest.mark.filterwarnings("ignore::DeprecationWarning")  # of forking beside threads of numpy's
def test_a_forked_process_answers_alike():
    alone = [answer_of(t) for t in WARMTHS[:2]]
    context = multiprocessing.get_context("fork")
    with ProcessPoolExecutor(1, mp_context=context) as pool:
        assert list(pool.map(_in_a_fork, WARMTHS[:2])) == alone


def _in_a_fork(temperature):
    return answer_of(temperature)


def test_the_same_question_gets_the_same_answer_byte_for_byte(tmp_path):
    asked = f"{OUTGAS} schedule {UP} {SHOP} --ply '4 x 400 g/m2 woven glass' --json"
    first, again, other = (shell(asked, tmp_path, PYTHONHASHSEED=seed) for seed in ("7", "7", "8"))
    assert first == again == other
    assert first[1].startswith("{")
