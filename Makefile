# Everything works from nothing: each target makes the virtual environment it needs.
.DEFAULT_GOAL := help
.PHONY: help run test check page page-check tests coverage speed proof fuzz format docs clean
SHELL := /bin/bash
JOBS ?= 2
FUZZ_SECONDS ?= 60
BIN := .venv/bin
# Empty where this Python has no tested set of versions; pip then chooses by pyproject.toml.
CONSTRAIN = $$(v=$$($(BIN)/python -c 'import sys; print("%d.%d" % sys.version_info[:2])'); \
	test -f "constraints/python-$$v.txt" && echo "-c constraints/python-$$v.txt")

help: ## this list
	@awk -F ':.*## ' '/^[a-z]+:.*## / { printf "  make %-10s %s\n", $$1, $$2 }' Makefile

run: .venv/.run-stamp ## set up, then the main job on the demonstration rigs
	@$(BIN)/python -m gapwright demo

test: check tests ## everything a change needs: check, then all tests

check: .venv/.dev-stamp ## style, types, import ranks, dead code, dependencies, spelling
	@$(BIN)/python -m ruff format --check .
	@$(BIN)/python -m ruff check .
	@$(BIN)/python -m mypy
	@$(BIN)/lint-imports --no-logo
	@$(BIN)/python -m vulture
	@$(BIN)/python -m deptry .
	@$(BIN)/python -m codespell_lib

tests: .venv/.dev-stamp ## the tests alone
	@command -v ngspice >/dev/null || { \
		echo "ngspice is missing, so the checks against an outside simulator are skipped."; \
		echo "  Debian or Ubuntu: sudo apt install ngspice    macOS: brew install ngspice"; }
	@$(BIN)/python -m pytest -q -n $(JOBS) --dist loadfile

coverage: .venv/.dev-stamp ## the tests with the lines and branches they miss
	@$(BIN)/python -m pytest -q -n $(JOBS) --dist loadfile --cov --cov-report=term-missing

speed: .venv/.dev-stamp ## benchmarks: seconds are reported, only ratios can fail
	@status=0; for bench in speed/[a-z]*.py; do \
		echo "== $$bench"; $(BIN)/python "$$bench" || status=1; done; exit $$status

proof: .venv/.dev-stamp ## the long checks; each writes its summary into proof/
	@status=0; for proof in proof/[a-z]*.py; do \
		echo "== $$proof"; $(BIN)/python "$$proof" || status=1; done; exit $$status

fuzz: .venv/.dev-stamp ## feed every reader of captures with wrong bytes, FUZZ_SECONDS each
	@$(BIN)/python -m pip install --quiet --disable-pip-version-check -e '.[fuzz]'
	@status=0; for target in $$($(BIN)/python fuzz/run.py); do \
		echo "== $$target"; $(BIN)/python fuzz/run.py $$target $(FUZZ_SECONDS) || status=1; done; exit $$status

page: .venv/.run-stamp page/node_modules/.stamp ## build the page of the bench anew
	@$(BIN)/python page/write_contract.py
	@cd page && npm run --silent types && npm run --silent check && npm run --silent build

page-check: page/node_modules/.stamp ## build the page beside the committed one and compare
	@page/compare.sh

page/node_modules/.stamp: page/package-lock.json
	@node -e 'const [a, b] = process.versions.node.split("."); process.exit(a > 20 || (a == 20 && b >= 19) ? 0 : 1)' \
		2>/dev/null || { echo "building the page needs Node 20.19 or newer; using the bench does not."; exit 1; }
	@cd page && npm ci --silent
	@touch $@

format: .venv/.dev-stamp ## put files into form
	@$(BIN)/python -m ruff check --fix .
	@$(BIN)/python -m ruff format .

docs: .venv/.dev-stamp ## write the generated pages anew
	@$(BIN)/python -m gapwright.cli.reference > docs/commands.md

clean: ## remove the virtual environment and everything generated
	rm -rf .venv build dist .mypy_cache .ruff_cache .pytest_cache .hypothesis .import_linter_cache

.venv/bin/python:
	@python=""; old=""; \
	for name in python3 python3.13 python3.12 python3.11; do \
		command -v $$name >/dev/null || continue; \
		if $$name -c 'import sys; sys.exit(not (3, 11) <= sys.version_info < (3, 14))'; \
		then python=$$name; break; else old="$$($$name --version)"; fi; \
	done; \
	if [ -z "$$python" ]; then \
		echo "gapwright needs Python 3.11, 3.12 or 3.13; found $${old:-none}."; \
		echo "  Debian or Ubuntu: sudo apt install python3 python3-venv    macOS: brew install python@3.13"; exit 1; fi; \
	if ! $$python -c 'import ensurepip, venv' 2>/dev/null; then \
		echo "$$python cannot make a virtual environment: its venv module is a package of its own here."; \
		echo "  Debian or Ubuntu: sudo apt install python3-venv"; exit 1; fi; \
	echo "making .venv with $$($$python --version)"; \
	$$python -m venv .venv || { rm -rf .venv; exit 1; }

.venv/.run-stamp: pyproject.toml $(wildcard constraints/*.txt) | .venv/bin/python
	@echo "installing gapwright and what it needs into .venv (about a minute)"
	@$(BIN)/python -m pip install --quiet --disable-pip-version-check $(CONSTRAIN) -e .
	@touch $@

.venv/.dev-stamp: .venv/.run-stamp
	@echo "installing what the checks need into .venv"
	@$(BIN)/python -m pip install --quiet --disable-pip-version-check $(CONSTRAIN) -e '.[dev]'
	@touch $@
