# Needs Python 3.11 or newer with venv and pip, and make; everything else goes into .venv.
PYTHON ?= python3
VENV := .venv
BIN := $(VENV)/bin
PIP := $(BIN)/python -m pip --disable-pip-version-check --no-input
WINDOWS_PYTHON ?= 3.11

# Two stamps: what running needs, and what testing needs on top. The second sets the first as well.
RUNTIME := $(VENV)/.installed-runtime
DEV := $(VENV)/.installed-dev

.PHONY: help demo open test check docs bench wheelhouse wheelhouse-windows clean

help:
	@echo "make demo                the story of the tipping-trailer hoist, in numbers"
	@echo "make open                the same hoist as a page in the browser"
	@echo "make test                every check, then every test"
	@echo "make check               format, lint, types, documentation"
	@echo "make docs                the documentation, into docs/_build/html"
	@echo "make bench               speed, with the machine and the rival in the same run"
	@echo "make wheelhouse          a folder of wheels to install from without a network, for this platform"
	@echo "make wheelhouse-windows  the same for a 64-bit Windows laptop (WINDOWS_PYTHON=3.12 for another Python)"
	@echo "make clean               remove .venv and everything built"

demo: $(RUNTIME)
	@$(BIN)/oilway demo

open: $(RUNTIME)
	@$(BIN)/oilway open examples/tipping_hoist.yaml

# pytest comes last and alone, so that its summary is the last line printed.
test: check
	@$(BIN)/python -m pytest -n auto --dist loadfile

check: $(DEV)
	$(BIN)/ruff format --check --quiet .
	$(BIN)/ruff check --quiet .
	$(BIN)/mypy
	$(BIN)/python docs/check_pages.py
	@$(BUILD_DOCS)

docs: $(DEV)
	@$(BUILD_DOCS)
	@echo "Open docs/_build/html/index.html"

# -E reads every page again: a warning once pickled away would let the next build pass.
BUILD_DOCS = $(BIN)/python -m sphinx -W -n --keep-going -E -q -b html \
	-d docs/_build/doctrees docs docs/_build/html

bench: $(DEV)
	@$(BIN)/python -m benchmarks

wheelhouse: $(RUNTIME)
	@echo "Collecting wheels of oilway and of everything it needs into wheelhouse/ ..."
	@rm -rf wheelhouse
	@$(PIP) wheel --quiet --wheel-dir wheelhouse .
	@ls wheelhouse

# colorama: pip judges "only on Windows" requirements by the machine it runs on, so it is named here.
wheelhouse-windows: $(RUNTIME)
	@echo "Collecting wheels for 64-bit Windows, Python $(WINDOWS_PYTHON), into wheelhouse-windows/ ..."
	@rm -rf wheelhouse-windows
	@$(PIP) wheel --quiet --no-deps --wheel-dir wheelhouse-windows .
	@$(PIP) download --quiet --dest wheelhouse-windows --only-binary=:all: --platform win_amd64 \
		--python-version $(WINDOWS_PYTHON) colorama wheelhouse-windows/oilway-*.whl
	@ls wheelhouse-windows

clean:
	rm -rf $(VENV) build dist wheelhouse wheelhouse-windows docs/_build docs/generated
	rm -rf .hypothesis .mypy_cache .pytest_cache .ruff_cache
	find src tests benchmarks docs -name __pycache__ -type d -prune -exec rm -rf {} +

$(VENV)/pyvenv.cfg:
	@command -v $(PYTHON) >/dev/null || { \
		echo "'$(PYTHON)' is not there. Oilway needs Python 3.11 or newer: make PYTHON=/path/to/python" >&2; exit 1; }
	@$(PYTHON) -c 'import sys; sys.exit(sys.version_info < (3, 11))' || { \
		echo "'$(PYTHON)' is $$($(PYTHON) --version 2>&1). Oilway needs Python 3.11 or newer:" \
			"make PYTHON=python3.12" >&2; exit 1; }
	@$(PYTHON) -c 'import ensurepip, venv' || { \
		echo "'$(PYTHON)' lacks venv or pip; on Debian and its kin install the package python3-venv." >&2; exit 1; }
	@$(PYTHON) -m venv $(VENV) || { rm -rf $(VENV); exit 1; }

$(RUNTIME): pyproject.toml | $(VENV)/pyvenv.cfg
	@echo "Installing Oilway and what it needs into $(VENV) (once; takes a minute) ..."
	@$(PIP) install --quiet --editable .
	@touch $@

$(DEV): pyproject.toml | $(VENV)/pyvenv.cfg
	@echo "Installing Oilway and what its tests need into $(VENV) (once; takes a minute or two) ..."
	@$(PIP) install --quiet --editable '.[dev]'
	@touch $(RUNTIME) $@
