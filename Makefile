# pipelegend: `make` alone lists what can be made.

# The locks lie in .ci beside the scripts that read them: no hand edits them, and the top folder
# stays for what people read. build.lock holds what builds a package, so that nothing is fetched
# outside the locks; dev.lock holds all of runtime.lock and the test tools.
PIP := .venv/bin/python -m pip --disable-pip-version-check install --quiet
DEMO := build/demo

.DEFAULT_GOAL := help
.PHONY: help demo test test-full lint types samples bench lock clean setup tools

help: ## list what can be made
	@sed -n 's/^\([a-z-]*\):.*## /  make \1\t/p' Makefile | expand -t 20

demo: .venv/ready ## set up, then run the main job on the demo plant into build/demo
	@.ci/check-tools --install cairo
	.venv/bin/pipelegend order output_samples/demo_plant.xlsx -o $(DEMO) --force
	@echo "Made in $(DEMO):"
	@find $(DEMO) -type f | LC_ALL=C sort | sed 's/^/  /'
	@echo "Now open the page: .venv/bin/pipelegend web"

test: setup lint types ## set up, then lint, types and tests
	.ci/test-halves -m "not full"

test-full: setup lint types ## the same with the exhaustive tests
	.ci/test-halves

lint: .venv/ready-dev ## style and format
	.venv/bin/ruff check .
	.venv/bin/ruff format --check .

types: .venv/ready-dev ## static types
	.venv/bin/mypy

samples: setup ## draw output_samples again
	.venv/bin/python -m tests.samples

bench: setup ## time, memory and nests; ROWS="demo own20k" runs those, INSTANCES=folder adds nests
	.venv/bin/python -m tests.bench $(ROWS) $(if $(INSTANCES),--instances "$(INSTANCES)")

setup: .venv/ready-dev tools ## all that the tests need, and nothing run

tools: .venv/ready
	@.ci/check-tools --install cairo test
	@.ci/check-tools --install browser || echo "Tests of the page in a browser are skipped."

# The stamps are younger than what they were made from, so a second run installs nothing.
.venv/ready: .ci/build.lock .ci/runtime.lock pyproject.toml
	@.ci/make-venv
	@echo "Installing the locked packages into .venv (a minute or so the first time)"
	@$(PIP) --require-hashes -r .ci/build.lock
	@$(PIP) --require-hashes --no-build-isolation -r .ci/runtime.lock
	@PYTHONWARNINGS="ignore:Editable installation" $(PIP) --no-deps --no-build-isolation -e .
	@echo "Compiling the nester's kernels, once"
	@.venv/bin/python -c "from layouts.nest import warm; warm()"
	@touch $@

.venv/ready-dev: .venv/ready .ci/dev.lock
	@$(PIP) --require-hashes --no-build-isolation -r .ci/dev.lock
	@touch $@

lock: ## renew the locks from pyproject.toml
	.ci/make-locks

clean: ## remove what was made here, .venv too
	rm -rf .venv build dist *.egg-info .mypy_cache .ruff_cache .pytest_cache .hypothesis .coverage
	find . -name __pycache__ -type d -prune -exec rm -rf {} +
