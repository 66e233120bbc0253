# Everything is named relative to this folder: make cannot hold a space in the
# name of a target or prerequisite, and the folder's own path may have one.

PYTHON ?= python3
VENV := .venv
DEMO_VENV := .venv-demo
PEERS_VENV := .venv-peers
LOCK_VENV := build/lock-tools
STAMP := $(VENV)/installed
DEMO_STAMP := $(DEMO_VENV)/installed
PEERS_STAMP := $(PEERS_VENV)/installed

# The lock names every release and its hash. A constraint from the machine's own
# pip settings, or a wish for user installs, could only contradict it; and our own
# sources have no hash that a general wish for hashes could ask for.
PIP_ENV := PIP_CONSTRAINT=/dev/null PIP_USER=0 PIP_REQUIRE_HASHES=0 \
	PIP_DISABLE_PIP_VERSION_CHECK=1
# -qq: an index that lacks a release is no news; errors still show.
LOCKED := -qq --require-hashes --only-binary :all:
COMPILE := pip compile pyproject.toml --universal --generate-hashes --no-header \
	--python-version 3.11 --quiet $(UPGRADE)

.PHONY: help demo test bench format lint types quick slow wheel lock clean

help:
	@echo "make demo    assess the demo build, report in demo-build/report.html"
	@echo "make test    format, lint, types and all tests"
	@echo "make bench   time commands against what no program can avoid"
	@echo "make lint    format, lint and types only"
	@echo "make format  put the code into its one format"
	@echo "make wheel   build dist/*.whl"
	@echo "make lock    renew both locks (UPGRADE=--upgrade takes newer releases)"
	@echo "make clean   remove environments and everything built"

# An environment that was moved or copied still points at its old folder, so
# the stamp holds the folder and a different one counts as not installed.
ifneq "$(shell cat $(STAMP) 2>/dev/null)" "$(CURDIR)"
.PHONY: $(STAMP)
endif

$(STAMP): requirements.lock pyproject.toml
	@$(VENV)/bin/python -m pip --version >/dev/null 2>&1 || "$(PYTHON)" -m venv --clear $(VENV)
	@echo "installing requirements.lock into $(VENV)"
	@$(PIP_ENV) $(VENV)/bin/python -m pip install $(LOCKED) -r requirements.lock
	@$(PIP_ENV) $(VENV)/bin/python -m pip install -qq --no-deps --no-build-isolation -e .
	@printf '%s\n' "$(CURDIR)" > $@

# What our own solvers are timed against is heavy, and needed for nothing else.
$(PEERS_STAMP): requirements-peers.lock
	@$(PEERS_VENV)/bin/python -m pip --version >/dev/null 2>&1 \
		|| "$(PYTHON)" -m venv --clear $(PEERS_VENV)
	@echo "installing requirements-peers.lock into $(PEERS_VENV)"
	@$(PIP_ENV) $(PEERS_VENV)/bin/python -m pip install $(LOCKED) -r requirements-peers.lock
	@touch $@

$(DEMO_STAMP): requirements-demo.lock
	@$(DEMO_VENV)/bin/python -m pip --version >/dev/null 2>&1 \
		|| "$(PYTHON)" -m venv --clear $(DEMO_VENV)
	@echo "installing requirements-demo.lock into $(DEMO_VENV)"
	@$(PIP_ENV) $(DEMO_VENV)/bin/python -m pip install $(LOCKED) -r requirements-demo.lock
	@touch $@

# The demo runs from the sources, so its environment needs no build tools.
demo: $(DEMO_STAMP)
	PYTHONPATH=src $(DEMO_VENV)/bin/python -m swapwright demo demo-build --again

test: slow

format: $(STAMP)
	$(VENV)/bin/python -m ruff format .
	$(VENV)/bin/python -m ruff check --fix .

lint: $(STAMP)
	$(VENV)/bin/python -m ruff format --check .
	$(VENV)/bin/python -m ruff check .

types: lint
	$(VENV)/bin/python -m mypy

quick: types
	$(VENV)/bin/python -m pytest -n auto --maxprocesses 8 -m "not slow"

slow: quick
	$(VENV)/bin/python -m pytest -n auto --maxprocesses 8 -m slow

bench: $(STAMP) $(PEERS_STAMP)
	$(VENV)/bin/python benchmarks/bench_start.py
	PYTHONPATH=src $(PEERS_VENV)/bin/python benchmarks/bench_network.py
	PYTHONPATH=src $(PEERS_VENV)/bin/python benchmarks/bench_circuit.py

wheel: $(STAMP)
	$(VENV)/bin/python -m build --wheel --no-isolation --outdir dist

lock:
	"$(PYTHON)" -m venv --clear $(LOCK_VENV)
	$(LOCK_VENV)/bin/python -m pip install -qq uv
	$(LOCK_VENV)/bin/python -m uv $(COMPILE) --group dev -o requirements.lock
	$(LOCK_VENV)/bin/python -m uv $(COMPILE) --group dev --group peers -o requirements-peers.lock
	$(LOCK_VENV)/bin/python -m uv $(COMPILE) -o requirements-demo.lock
	@! grep -nE '^-|://|@ |file:' requirements.lock requirements-demo.lock requirements-peers.lock \
		|| { echo "a lock names an address or an option; it must hold releases and hashes only"; exit 1; }

clean:
	rm -rf $(VENV) $(DEMO_VENV) $(PEERS_VENV) build dist demo-build .mypy_cache .pytest_cache .ruff_cache
