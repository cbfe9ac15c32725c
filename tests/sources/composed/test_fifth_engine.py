"""An engine that nobody thought of while the procedures were written comes through all the same."""

from __future__ import annotations

from tests.other_work import fifth
from tests.support import demo
from tests.support.walker import Walker


def test_an_engine_written_from_the_guide_alone_has_no_fault_and_its_job_comes_to_its_end() -> None:
    walker = Walker(fifth.sheet()).go_on()
    assert walker.state["complete"]
    assert sum(item["open"] for item in walker.state["items"].values()) == 0
    asked = {path for path, seen in walker.state["steps"].items() if seen["state"] == "done"}
    elsewhere = {step["path"] for sheet in demo.checked().sheets for step in sheet["steps"]}
    assert len(asked - elsewhere) > 5  # steps that no engine of the demo has
