# Every target sets up what it needs itself: a fresh machine has Python 3.11+, git and make.
PYTHON ?= python3
PY := .venv/bin/python
PORT ?= 8765

.PHONY: ready demo serve test lint proof lock clean

.venv/pyvenv.cfg:
	$(PYTHON) -c 'import sys; sys.exit(sys.version_info < (3, 11) and "Handturn needs Python 3.11 or newer; this is " + sys.version.split()[0])'
	$(PYTHON) -m venv .venv

# What `make demo` needs: the packages that build and serve, no browser.
.venv/.run: requirements/run.lock pyproject.toml | .venv/pyvenv.cfg
	$(PY) -m pip install --quiet --disable-pip-version-check --require-hashes -r requirements/run.lock
	$(PY) -m pip install --quiet --disable-pip-version-check --no-deps --no-build-isolation -e .
	touch $@

# What `make test` needs on top: test packages from the registry, browsers from the system.
.venv/.ready: .venv/.run requirements/dev.lock tools/browsers.sh
	$(PY) -m pip install --quiet --disable-pip-version-check --require-hashes -r requirements/dev.lock
	sh tools/browsers.sh
	touch $@

ready: .venv/.ready

demo: .venv/.run
	$(PY) -m generator.cli demo --port $(PORT)

serve: .venv/.run
	NO_MKDOCS_2_WARNING=1 .venv/bin/mkdocs serve

test: .venv/.ready
	sh tools/browsers.sh
	$(PY) -m ruff check .
	$(PY) -m ruff format --check .
	$(PY) -m mypy
	$(PY) -m pytest -n 2 --dist loadfile

# The long runs behind the short ones in `make test`; the tables of record are in bench/.
proof: .venv/.ready
	$(PY) -m tests.browser.kill_harness --lives 100
	$(PY) -m pytest -q -s tests/test_mutations.py tests/test_walks.py

lint: .venv/.ready
	$(PY) -m ruff check . && $(PY) -m ruff format --check . && $(PY) -m mypy

lock: .venv/pyvenv.cfg
	sh tools/lock.sh

clean:
	rm -rf .venv site build dist .pytest_cache .mypy_cache .ruff_cache .hypothesis
