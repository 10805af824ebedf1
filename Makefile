# What a newcomer and a developer say. `make help` lists it.
SHELL := /bin/sh
.SUFFIXES:
.DEFAULT_GOAL := help
PY := .venv/bin/python
FAST_SECONDS ?= 80
unexport PYTHONDONTWRITEBYTECODE  # the program starts a hundred times in the tests: it is compiled once

.PHONY: help demo serve test test-fast test-long mutation check lint format bench lock base dev

help: ## This list
	@grep -hE '^[a-z-]+:.*## ' $(MAKEFILE_LIST) | sed -E 's/^([a-z-]+):.*## /\1\t/' | expand -t 10

base: # the program's requirements
	@sh deploy/prepare.sh base

dev: # the tests' requirements as well
	@sh deploy/prepare.sh dev

demo: base ## Serve an invented shop at http://127.0.0.1:8000/ (PORT=… for another port); Ctrl-C stops it
	@exec $(PY) manage.py serve --demo

serve: base ## Serve your shop for real on this machine: settings from the environment or .env, data under var/
	@exec $(PY) manage.py serve

test: dev ## Install what the tests need, then run every check and every test
	@exec sh tests/run.sh

test-fast: dev ## What changed since main, nearest first: no browser, few examples, ended after 80 seconds (FAST_SECONDS=…)
	@last=$$(( $$(date +%s) + $(FAST_SECONDS) )); \
	files=$$($(PY) -m tests.changed); test -n "$$files" || { echo "Nothing that has a test was changed."; exit 0; }; \
	GARBOARD_EXAMPLES=5 GARBOARD_LAST=$$last $(PY) -m pytest $$files -q -n 2 -p no:randomly -m "not long"

test-long: dev ## The tests that take minutes each and that make test leaves out: each role through the whole demo, the benchmarks in small
	GARBOARD_EXAMPLES=100 $(PY) -m pytest tests -q -m long

mutation: dev ## Change the modules that must not be wrong in small ways, and see that their tests notice (SAMPLE=… mutants a module)
	@[ -x var/mutation/bin/python ] || { python3 -m venv var/mutation && \
	  var/mutation/bin/python -m pip install --quiet --no-deps --require-hashes -r requirements/mutation.txt; }
	@exec $(PY) -m tests.mutation --most $(or $(SAMPLE),60)

check: lint ## Format, lint, types, layers, templates, migrations, settings
	$(PY) -m ruff format --check .
	$(PY) -m mypy .
	$(PY) manage.py makemigrations --check --dry-run
	PUBLIC_URL=https://garboard.example.com TRUSTED_PROXIES=127.0.0.1 $(PY) manage.py check --deploy --fail-level WARNING

lint: dev ## Rules of style and of the house's floors
	$(PY) -m ruff check .
	.venv/bin/lint-imports --no-logo
	$(PY) -m djlint templates --lint --quiet

format: dev ## Put Python and templates into the house's form
	$(PY) -m ruff format .
	$(PY) -m ruff check --fix-only .

bench: dev ## Measure pages, reports and memory on databases made for it; the figures are in benchmarks/README.md
	@exec $(PY) -m benchmarks

lock: dev ## Pin requirements/*.in with hashes
	cd requirements && for name in base dev mutation; do \
	  CUSTOM_COMPILE_COMMAND='make lock' ../.venv/bin/pip-compile --quiet --allow-unsafe --strip-extras --generate-hashes \
	    --no-emit-index-url --no-emit-find-links --no-emit-trusted-host $(UPGRADE) --output-file=$$name.txt $$name.in || exit 1; done
