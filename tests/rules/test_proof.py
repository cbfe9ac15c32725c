"""The runner of the long proofs: what it prints, writes and returns, and that it leaves no harness out."""

from __future__ import annotations

import importlib.util
import subprocess
import sys
import time
from pathlib import Path

import pytest

from tests import proof
from tests.proof import SHARES, Share, main
from tests.proofs.full_harness import WAYS, Run, failures

ROOT = Path(__file__).parents[2]


@pytest.fixture(autouse=True)
def _shares_of_this_test_are_found(tmp_path, monkeypatch):
    monkeypatch.setenv("PYTHONPATH", str(tmp_path))


def says(tmp_path: Path, name: str, code: str, limit: int = 20) -> Share:
    """Return a share that is a module of its own, so that it runs as the real ones do."""
    (tmp_path / f"share_{name}.py").write_text(code)
    return Share(name, (f"share_{name}",), limit)


def test_every_table_is_written_when_its_share_ends_and_the_last_line_says_that_all_hold(tmp_path, capsys):
    shares = [says(tmp_path, "one", "print('nothing lost')"), says(tmp_path, "two", "print('nothing mixed')")]
    assert main(["--into", str(tmp_path / "bench")], shares) == 0
    told = capsys.readouterr().out
    assert told.endswith("All proofs hold.\n")
    assert "of at most 120 min 0 s" in told
    written = (tmp_path / "bench" / "one.txt").read_text().splitlines()
    assert written[0].startswith("20") and "python -m share_one" in written[0]
    assert written[1].endswith("; holds")
    assert "nothing lost" in written
    assert "nothing mixed" in (tmp_path / "bench" / "two.txt").read_text()


def test_a_test_that_waits_for_ever_fails_by_its_name_and_the_next_one_runs(tmp_path, pytestconfig):
    assert 0 < float(pytestconfig.getini("timeout")) <= 300
    (tmp_path / "test_waits.py").write_text("import time\ndef test_waits(): time.sleep(60)\ndef test_next(): pass\n")
    made = [sys.executable, "-m", "pytest", "-c", str(ROOT / "pyproject.toml"), "-o", "timeout=1", "--rootdir", "."]
    told = subprocess.run([*made, "test_waits.py"], cwd=tmp_path, capture_output=True, text=True, timeout=50).stdout
    assert "test_waits - Failed: Timeout" in told and "1 failed, 1 passed" in told


def test_a_broken_share_keeps_no_other_from_running_and_is_named_last(tmp_path, capsys):
    shares = [says(tmp_path, "bad", "print('3 lost'); raise SystemExit(1)"), says(tmp_path, "good", "print('0 lost')")]
    assert main(["--into", str(tmp_path), "--lanes", "1"], shares) == 1
    assert capsys.readouterr().out.endswith("Broken: bad\n")
    assert "BROKEN: exit code 1" in (tmp_path / "bad.txt").read_text()
    assert "; holds" in (tmp_path / "good.txt").read_text()


def test_a_share_that_hangs_is_ended_with_all_it_started_and_leaves_what_it_printed(tmp_path, capsys):
    code = "import subprocess, time\nprint('row 1', flush=True)\nsubprocess.Popen(['sleep', '60'])\ntime.sleep(60)"
    begun = time.monotonic()
    assert main(["--into", str(tmp_path)], [says(tmp_path, "slow", code, limit=2)]) == 1
    assert time.monotonic() - begun < 15
    written = (tmp_path / "slow.txt").read_text()
    assert "BROKEN: ended after its limit of 2 s" in written
    assert "row 1" in written


def test_a_share_that_prints_nothing_proves_nothing(tmp_path, capsys):
    assert main(["--into", str(tmp_path)], [says(tmp_path, "quiet", "print()")]) == 1
    assert "BROKEN: it printed nothing" in (tmp_path / "quiet.txt").read_text()
    assert main(["--into", str(tmp_path)], [Share("gone", ("share_gone",), 20)]) == 1
    assert capsys.readouterr().out.endswith("Broken: gone\n")


def test_whoever_breaks_a_run_off_leaves_no_share_running(tmp_path):
    mark = tmp_path / "mark"
    code = f"import pathlib, time\nwhile True: pathlib.Path({str(mark)!r}).touch(); time.sleep(0.05)"
    runs = proof.ended([says(tmp_path, "short", "print('done')"), says(tmp_path, "long", code)], 2)
    next(runs)
    while not mark.exists():
        time.sleep(0.05)
    runs.close()
    time.sleep(0.3)
    mark.unlink()
    time.sleep(0.3)
    assert not mark.exists()


def test_one_share_is_taken_by_its_name_and_a_wrong_name_lists_those_there_are(tmp_path, capsys):
    shares = [says(tmp_path, "one", "print(1)"), says(tmp_path, "two", "print(2)")]
    assert main(["two", "--into", str(tmp_path / "bench")], shares) == 0
    assert [file.name for file in (tmp_path / "bench").iterdir()] == ["two.txt"]
    assert capsys.readouterr().out.endswith("These proofs hold.\n")
    with pytest.raises(SystemExit):
        main(["tow"], shares)
    assert "There is no share `tow`. Write one of: one, two." in capsys.readouterr().err


def test_every_harness_has_its_share_and_every_share_its_harness():
    run = {one.command[0] for one in SHARES} - {"pytest"}
    for module in run:
        assert importlib.util.find_spec(module), f"no module {module}"
    harnesses = {
        ".".join(path.relative_to(ROOT).with_suffix("").parts) for path in (ROOT / "tests").rglob("*_harness.py")
    }
    assert harnesses, "no harness found: this test looks in the wrong place"
    assert harnesses <= run, f"not in the table of shares: {sorted(harnesses - run)}"
    for one in SHARES:
        for file in (word for word in one.command if word.endswith(".py")):
            assert (ROOT / file).is_file(), file


def test_the_table_of_record_of_every_share_is_known_by_its_name():
    named = {file.stem for file in (ROOT / "bench").glob("*.txt")}
    assert named <= {one.name for one in SHARES}, "a table in bench/ that no share writes"


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({}, []),
        ({"painted": 0}, ["no tick was painted, so none could be lost"]),
        ({"lost": 1}, ["1 painted as kept and lost"]),
        ({"online": False}, ["it did not open with a network either"]),
        ({"offline": False}, []),
        ({"offline": False, "said": False}, ["it did not open without a network, and nobody had been told"]),
    ],
)
def test_a_full_phone_that_breaks_a_promise_or_ticks_nothing_is_told(change, said):
    sound = {"way": WAYS[0], "painted": 2, "lost": 0, "while_full": None, "offline": True, "online": True, "said": True}
    run = Run(**sound | change)
    assert list(failures([("ext4", run)])) == [f"ext4: {WAYS[0].title}: {line}" for line in said]


def test_a_proof_of_the_full_phone_without_a_run_is_broken():
    assert list(failures([])) == ["there was no run"]
