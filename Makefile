# Each target works on a fresh machine that has make and Python 3.11 or later.
#   make demo | quick | test | test-all | fuzz | mutants | lint | bench | clean
#   make MINUTES=10 SEED=7 fuzz
#   make N=40 SEED=7 IN="logic checks/gap.py" mutants
#   make PYTHON=python3.12 VENV=elsewhere ARGS="-k gap" test

PYTHON ?= python3
VENV   ?= .venv
ARGS   ?=
# For how long `fuzz` draws, and what it begins from; without SEED it draws one and says it.
MINUTES ?= 10
SEED    ?=
# How many faults `mutants` puts in, into which packages or files (none: into any), and what survivors meet as well.
N       ?= 40
IN      ?=
WIDE    ?=

BIN := $(VENV)/bin
PIP := $(BIN)/python -m pip --disable-pip-version-check install --quiet

# A stamp says what is installed; a changed pyproject.toml makes it stale.
BASE := $(VENV)/.alertlang-base
TEST := $(VENV)/.alertlang-test
LINT := $(VENV)/.alertlang-lint

.DEFAULT_GOAL := demo
.PHONY: demo quick test test-all fuzz mutants lint bench clean
# Two installs into one environment at once would collide.
.NOTPARALLEL:
.DELETE_ON_ERROR:

demo: $(BASE)
	@$(BIN)/alertlang tour $(ARGS)

# For while one writes: reading, binding, numbers and the pages of all checks, in half a minute.
quick: $(TEST)
	@$(BIN)/python -m pytest -q -n auto --dist worksteal --benchmark-disable tests/text tests/units tests/syntax tests/model tests/checks/test_pages.py $(ARGS)

test: $(TEST)
	@$(BIN)/python -m pytest -q -n auto --dist worksteal --benchmark-disable $(ARGS)

# From change to change some of each property's examples, of the cases that are alike and of the recorded runs will do;
# here are all.
test-all: $(TEST)
	@$(BIN)/python -m pytest -q -n auto --dist worksteal --benchmark-disable --all-examples $(ARGS)

fuzz: $(TEST)
	@$(BIN)/python -m pytest -q -n auto --benchmark-disable -p tests.fuzz --minutes '$(MINUTES)' --seed '$(SEED)' $(ARGS)

# Whether the tests notice: what survives is a test that is missing, or a fault that changes nothing. Which test runs
# which line is measured once, which takes as long as the tests do, and after that for the files of tests that changed.
mutants: $(TEST)
	@$(BIN)/python -m tests.mutants --map
	@$(BIN)/python -m tests.mutants -n '$(N)' --seed '$(or $(SEED),1)' --wide "$(WIDE)" $(IN)

lint: $(LINT)
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .
	$(BIN)/mypy
	$(BIN)/lint-imports

# The numbers in parentheses are ratios to the fastest of the group.
bench: $(TEST)
	@$(BIN)/python -m pytest tests/benchmarks -q --benchmark-only --benchmark-group-by=group \
	    --benchmark-columns=min,median,iqr,ops,rounds --benchmark-sort=min $(ARGS)

clean:
	rm -rf build dist .benchmarks .fuzz .hypothesis .import_linter_cache .mypy_cache .pytest_cache .ruff_cache
	find alertlang tests examples -type d -name __pycache__ -prune -exec rm -rf {} + 2>/dev/null || true
	@# An environment that this file did not fill is not this file's to remove.
	@if [ -f '$(BASE)' ] && [ -f '$(VENV)/pyvenv.cfg' ]; then rm -rf '$(VENV)'; fi

$(BIN)/python:
	@$(PYTHON) -c 'import sys; sys.version_info >= (3, 11) or sys.exit("alertlang needs Python 3.11 or later; name one with: make PYTHON=...")'
	$(PYTHON) -m venv $(VENV)

$(BASE): pyproject.toml | $(BIN)/python
	$(PIP) -e '.[all]'
	@touch $@

$(TEST): $(BASE)
	$(PIP) -e '.[test]'
	@touch $@

# The tests' types are checked against the libraries that they use.
$(LINT): $(TEST)
	$(PIP) -e '.[lint]'
	@touch $@
