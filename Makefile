# Every target sets up what it needs itself: a fresh machine has Python 3.11+, git and make.
PYTHON ?= python3
PY := .venv/bin/python
PORT ?= 8765

.PHONY: ready demo serve test lint proof bench audit lock clean

.venv/pyvenv.cfg:
	$(PYTHON) -c 'import sys; sys.exit(sys.version_info < (3, 11) and "Handturn needs Python 3.11 or newer; this is " + sys.version.split()[0])'
	$(PYTHON) -m venv .venv

# What `make demo` needs: the packages that build and serve, no browser.
.venv/.run: requirements/run.lock pyproject.toml | .venv/pyvenv.cfg
	$(PY) -m pip install --quiet --disable-pip-version-check --require-hashes -r requirements/run.lock
	$(PY) -m pip install --quiet --disable-pip-version-check --no-deps --no-build-isolation -e .
	touch $@

# What `make test` needs on top: test packages from the registries, browsers from the system.
.venv/.ready: .venv/.run requirements/dev.lock tools/browsers.sh tools/js.sh tools/js/package.json tools/js/package-lock.json
	$(PY) -m pip install --quiet --disable-pip-version-check --require-hashes -r requirements/dev.lock
	sh tools/js.sh
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
	sh tools/lint_js.sh
	$(PY) -m pytest -n 2 --dist loadfile --no-loadscope-reorder

# The long runs behind the short ones in `make test`: at most two hours for all of them on two cores. Each writes its table
# to bench/ as it ends. `make proof SHARE=kill` runs one, `make proof SHARE="kill storage"` two.
SHARE ?=

proof: .venv/.ready
	sh tools/browsers.sh
	$(PY) -m tests.proof $(SHARE)

# What takes how long, beside the obvious way to do it.
bench: .venv/.ready
	$(PY) -m tests.bench

audit: .venv/.run
	sh tools/audit.sh

# All four look, whatever the others find.
lint: .venv/.ready
	@found=0; for look in "$(PY) -m ruff check ." "$(PY) -m ruff format --check ." "$(PY) -m mypy" "sh tools/lint_js.sh"; \
	do echo "$$look"; $$look || found=1; done; exit $$found

lock: .venv/pyvenv.cfg
	sh tools/lock.sh

clean:
	rm -rf .venv site build dist .pytest_cache .mypy_cache .ruff_cache .hypothesis
