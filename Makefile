# The two set-up commands: make demo, make test. Everything else is for developers.
# Needs python3 with venv, and make; fetches the rest.

VENV := .venv
PYTHON := $(VENV)/bin/python
READY := $(VENV)/ready
OUT := demo/out

.PHONY: demo test lint types contracts check chromium lock bench pictures figures tables reference clean

demo: $(READY)
	@$(PYTHON) demo/run.py $(OUT)

test: $(READY) chromium
	$(PYTHON) -m pytest -n auto --dist worksteal

lint: $(READY)
	$(VENV)/bin/ruff check .
	$(VENV)/bin/ruff format --check .

types: $(READY)
	$(VENV)/bin/mypy

contracts: $(READY)
	$(VENV)/bin/lint-imports

check: lint types contracts

bench: $(READY)
	$(PYTHON) benchmarks/review_speed.py
	$(PYTHON) benchmarks/band_speed.py

# Pages that are made from the code; tests fail when one is stale.
reference: $(READY)
	$(PYTHON) -m witnessmark.cli.reference docs/reference/commands.md
	$(PYTHON) -m witnessmark.jobs.build_reference docs/reference
	$(PYTHON) -m witnessmark.jobs.recipe_reference docs/reference
	$(PYTHON) -m witnessmark.jobs.tuner_answer docs/reference

# The bearing tables the film is read from: two minutes of finite differences.
tables: $(READY)
	$(PYTHON) -m witnessmark.physics.bearing.make_tables

# The figures of docs/explanation, made by the code they explain.
figures: $(READY)
	@for page in docs/figures/*.py; do $(PYTHON) $$page; done

# The picture in the README: the top of the demo's verdict.
pictures: demo chromium
	chromium --headless --no-sandbox --disable-gpu --hide-scrollbars --window-size=1000,745 \
		--screenshot=$(CURDIR)/docs/pictures/verdict.png file://$(CURDIR)/$(OUT)/verdict.html

# Versions and hashes are pinned; no address of any package index is written down.
lock: $(READY)
	$(VENV)/bin/uv pip compile pyproject.toml --group dev --all-extras --generate-hashes --no-annotate \
		--no-header --quiet --upgrade -o requirements.txt

$(READY): requirements.txt pyproject.toml
	@echo "Setting up $(VENV) (fetches packages, once)"
	@python3 -m venv $(VENV)
	@$(PYTHON) -m pip install --quiet --disable-pip-version-check uv
	@$(VENV)/bin/uv pip install --quiet --compile-bytecode --python $(PYTHON) --require-hashes -r requirements.txt
	@$(VENV)/bin/uv pip install --quiet --python $(PYTHON) --no-deps --no-build-isolation -e .
	@touch $(READY)

# The browser tests drive Debian's Chromium; the PDF tests read pages back with poppler.
chromium:
	@if command -v chromium >/dev/null && command -v pdftotext >/dev/null; then :; \
	elif [ "$$(id -u)" = 0 ] && command -v apt-get >/dev/null; then \
		echo "Installing Debian's Chromium and poppler for the tests"; \
		apt-get update -qq && \
		apt-get install -y -qq --no-install-recommends chromium poppler-utils >/dev/null; \
	else \
		echo "Without Chromium and poppler the browser and PDF tests are skipped."; \
		echo "To run them: sudo apt-get install chromium poppler-utils"; \
	fi

clean:
	rm -rf $(VENV) $(OUT)
