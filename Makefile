PY ?= python3
V := .venv
BENCH := $(V)/bench
BUILD ?= examples/dual-gpu-workstation

.PHONY: run test lint soak bench clean

$(V)/.ready: pyproject.toml requirements.lock
	$(PY) -m venv $(V)
	$(V)/bin/python -m pip install -q --disable-pip-version-check --require-hashes -r requirements.lock
	$(V)/bin/python -m pip install -q --disable-pip-version-check --no-deps --no-build-isolation -e .
	touch $@

# Set up, then do the main job on an example. check exits 1 when it finds something: that is its answer, not a failure.
run: $(V)/.ready
	@$(V)/bin/headrace check $(BUILD) || test $$? -eq 1
	@echo
	@$(V)/bin/headrace solve $(BUILD) || test $$? -eq 1
	@echo
	@echo "Next:"
	@echo "  open $(BUILD)/build.toml in an editor, change a line, and type: make run"
	@echo "  $(V)/bin/headrace explain $(BUILD) coolant_rise      opens a number: formula, inputs, source"
	@echo "  $(V)/bin/headrace solve $(BUILD) --room '32 °C'      the same loop on a summer day"
	@echo "  $(V)/bin/headrace new my-build                       starts a build of your own from an example"

test: $(V)/.ready
	$(V)/bin/python -m pytest -n 2

lint: $(V)/.ready
	$(V)/bin/ruff check .
	$(V)/bin/ruff format --check .
	$(V)/bin/mypy
	$(V)/bin/lint-imports

# The full sample counts. Finished chunks are kept in .soak and not run again; make clean forgets them.
soak: $(V)/.ready
	HEADRACE_SOAK=1 $(V)/bin/python -m pytest -m soak -p no:xdist -s

# Figures for docs/benchmarks.md, ratios side by side. Its libraries live apart: they hold scipy and pandas back.
# make bench PART=networks runs one part: networks, models, checks or processes.
bench: $(BENCH)/.ready
	$(BENCH)/bin/python -m benchmarks $(PART)

$(BENCH)/.ready: pyproject.toml requirements-bench.lock
	$(PY) -m venv $(BENCH)
	$(BENCH)/bin/python -m pip install -q --disable-pip-version-check --require-hashes -r requirements-bench.lock
	$(BENCH)/bin/python -m pip install -q --disable-pip-version-check --no-deps --no-build-isolation -e .
	touch $@

clean:
	rm -rf $(V) .soak .pytest_cache .mypy_cache .ruff_cache .hypothesis .import_linter_cache
