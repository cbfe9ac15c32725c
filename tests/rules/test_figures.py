"""The figures of the house count what is there: `python -m tools.figures`."""

from __future__ import annotations

from pathlib import Path

import pytest

from tools import figures


def planted(root: Path, lines: int) -> dict[str, str]:
    """Return the figures of a tree with one function of so many lines in each language, and a folder of 21 files."""
    for name in ("generator", "site_overrides/vendor", "tests/golden", "tools"):
        (root / name).mkdir(parents=True)
    (root / "DEVELOPERS.md").write_text("# Short\n")
    body = "\n".join(["    x = 1"] * (lines - 1))
    (root / "generator" / "one.py").write_text(f"def long_one(given: Any) -> int:\n{body}\n")
    script = "\n".join(["  go();"] * (lines - 2))
    (root / "site_overrides" / "two.js").write_text(f"export const long_two = () => {{\n{script}\n}};\n")
    (root / "site_overrides" / "vendor" / "theirs.js").write_text("\n" * 5000)
    for number in range(21):
        (root / "tools" / f"{number}.py").write_text("")
    (root / "tests" / "a.py").write_text("x = 1\n")
    return figures.figures(root)


def test_what_is_planted_is_counted(tmp_path: Path) -> None:
    found = planted(tmp_path, 61)
    assert found["desk: files, lines"] == "1, 61" and found["phone: files, lines"] == "1, 61"
    assert found["desk: longest function"] == "61 (long_one)"
    assert found["phone: longest function"] == "61 (long_two)"
    assert found["desk: functions over 60 lines"] == found["phone: functions over 60 lines"] == "1"
    assert found["desk: annotations that name Any"] == "50.0 % of 2"
    assert found["folders of code over 20 entries"] == "1" and found["largest folder, 1"] == "21 tools"


def test_a_function_of_60_lines_is_not_over_60(tmp_path: Path) -> None:
    found = planted(tmp_path, 60)
    assert found["desk: functions over 60 lines"] == found["phone: functions over 60 lines"] == "0"


def test_a_commit_that_is_not_there_is_told_in_git_s_words() -> None:
    with pytest.raises(SystemExit, match=r"git archive: .*none-such"):
        figures.git("archive", "none-such")
