# Everything runs inside .venv, made here from the hashed lock; nothing else is needed than Python 3.11+ and git.
PYTHON ?= python3
VENV   := .venv
BIN    := $(VENV)/bin

.PHONY: demo test check format lint types layers docs bench clean setup setup-dev lock

demo: setup            ## build the invented shop and do the main job on it
	$(BIN)/gambrel demo

# The shop's pages are driven in a real browser, and its records are tested a second time on PostgreSQL.
test: setup-dev        ## every test
	$(BIN)/python tools/browser.py >/dev/null
	$(BIN)/python -m pytest -n auto --dist loadfile
	$(BIN)/python tools/postgres.py $(BIN)/python -m pytest -n auto --dist loadfile -m "not browser and not own_file" tests/shop

check: setup-dev format lint types layers docs   ## format, lint, types, layers, docs: before a change is offered

format: setup-dev
	$(BIN)/ruff format --check src tests tools bench

lint: setup-dev
	$(BIN)/ruff check src tests tools bench

# The renderer and its tools are a folder of scripts of their own; what needs PyTorch, or is imported as part of a
# package, is left out.
types: setup-dev
	$(BIN)/mypy
	cd tools/faces && ../../$(BIN)/mypy --config-file ../../pyproject.toml render $(filter-out network.py train.py export.py reopen.py views.py loss.py fit_glare.py,$(notdir $(wildcard tools/faces/*.py)))

layers: setup-dev
	$(BIN)/lint-imports

docs: setup-dev
	$(BIN)/python -m pytest -q tests/docs

bench: setup-dev       ## speed and memory, this machine named
	$(BIN)/python bench/run.py

clean:
	rm -rf $(VENV) build dist gambrel-demo bench-out .pytest_cache .mypy_cache .ruff_cache .import_linter_cache .hypothesis
	find src tests tools bench -name __pycache__ -type d -prune -exec rm -rf {} +

setup: $(VENV)/runtime-ready
setup-dev: $(VENV)/dev-ready

$(BIN)/python:
	$(PYTHON) -c 'import sys; sys.exit("gambrel needs Python 3.11 or later, this is " + sys.version.split()[0]) if sys.version_info < (3, 11) else None'
	$(PYTHON) -m venv $(VENV)

# The package is installed as a link to src; byte-code is compiled by hand because some shells switch it off,
# and without it every start is slow.
$(VENV)/runtime-ready: locks/runtime.txt pyproject.toml | $(BIN)/python
	$(BIN)/python -m pip install --quiet --require-hashes -r locks/runtime.txt
	$(BIN)/python -m pip install --quiet --no-deps --no-build-isolation --editable .
	$(BIN)/python -m compileall -q src
	touch $@

$(VENV)/dev-ready: locks/dev.txt pyproject.toml | $(BIN)/python
	$(BIN)/python -m pip install --quiet --require-hashes -r locks/dev.txt
	$(BIN)/python -m pip install --quiet --no-deps --no-build-isolation --editable .
	$(BIN)/python -m compileall -q src
	touch $@ $(VENV)/runtime-ready

lock:        ## resolve the two locks anew (needs uv on the path)
	cd locks && uv pip compile --universal --generate-hashes --python-version 3.11 --no-header --upgrade dev.in -o dev.txt
	cd locks && uv pip compile --universal --generate-hashes --python-version 3.11 --no-header --upgrade -c dev.txt runtime.in -o runtime.txt
