# Every target sets up what it needs itself: a fresh machine has Python 3.11+, git and make.
PYTHON ?= python3
PY := .venv/bin/python
PORT ?= 8765

.PHONY: ready demo serve test lint proof audit lock clean

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

# The long runs behind the short ones in `make test`; the tables of record are in bench/. One that breaks its promise
# does not keep the others from running: all are told, and the last line says which failed.
PROOFS = "browser.kill_harness --lives 300 --webkit 100" "browser.power_cut" "browser.update_harness --updates 200" \
  "browser.storage_harness --trials 3" "merge_harness --splits 10000" "hostile.yaml_harness --files 100000 --workers 2" "browser.xss_harness --rounds 12" "browser.net_log"

proof: .venv/.ready
	sh tools/browsers.sh
	@broken=; for proof in $(PROOFS); do \
	  echo; echo "== python -m tests.$$proof"; $(PY) -m tests.$$proof || broken="$$broken [$$proof]"; \
	done; \
	$(PY) -m pytest -q -s tests/test_mutations.py tests/test_walks.py || broken="$$broken [mutations and walks]"; \
	if [ -n "$$broken" ]; then echo "Broken:$$broken"; exit 1; fi; echo "All proofs hold."

audit: .venv/.run
	sh tools/audit.sh

lint: .venv/.ready
	$(PY) -m ruff check . && $(PY) -m ruff format --check . && $(PY) -m mypy

lock: .venv/pyvenv.cfg
	sh tools/lock.sh

clean:
	rm -rf .venv site build dist .pytest_cache .mypy_cache .ruff_cache .hypothesis
