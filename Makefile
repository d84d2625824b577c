# Two commands for a newcomer: `make run` and `make test`. Both set up what they need and are quick the second time.
PYTHON ?= python3
VENV := .venv
BIN := $(VENV)/bin
PIP := $(BIN)/python -m pip --disable-pip-version-check --quiet
# uv lays down a lock in a tenth of the time that pip takes; where it cannot be had or cannot fetch, pip does it.
LAY = { $(PIP) install --require-hashes -r requirements-uv.lock && \
	$(BIN)/uv pip install --quiet --python $(BIN)/python --require-hashes -r $(1); } || \
	$(PIP) install --require-hashes -r $(1)
EXAMPLE := examples/centenary
# Small matrices: threads inside the algebra only fight those of the test runner.
export OPENBLAS_NUM_THREADS ?= 1
# The tests start hundreds of processes: what a module compiles to is kept, whatever the machine would rather have.
unexport PYTHONDONTWRITEBYTECODE

.PHONY: run web test test-postgres audit docs bench lock format

run: $(VENV)/run.stamp
	$(BIN)/tierwright dossier $(EXAMPLE)/commission.toml --kitchen $(EXAMPLE)/kitchen.toml --out out

web: $(VENV)/run.stamp
	$(BIN)/tierwright serve

test: $(VENV)/dev.stamp
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .
	$(BIN)/lint-imports --no-cache
	@# The types are checked beside the tests and told after them, where they are read; what every process of the tests
	@# would compile is compiled once before.
	said=$$(mktemp); $(BIN)/mypy >$$said 2>&1 & types=$$!; \
	$(BIN)/python -c 'from tierwright.keeping import warm_up; warm_up()'; \
	$(BIN)/python -m pytest --collect-only >/dev/null; \
	tools/with_postgres.sh $(BIN)/python -m pytest -n 4; tests=$$?; \
	wait $$types || tests=1; cat $$said; rm $$said; exit $$tests

# The tests of the pages once more, with everything in PostgreSQL instead of SQLite.
test-postgres: $(VENV)/dev.stamp
	TIERWRIGHT_NEED_POSTGRES=yes tools/with_postgres.sh sh -c \
		'DATABASE_URL=$$TIERWRIGHT_TEST_SERVER/postgres $(BIN)/python -m pytest -n 4 tests/web'

# Known faults of the packages that the program runs on.
audit: $(VENV)/dev.stamp
	$(BIN)/pip-audit --strict --require-hashes --disable-pip -r requirements.lock

docs: $(VENV)/dev.stamp
	$(BIN)/python -m mkdocs build --strict

bench: $(VENV)/dev.stamp
	$(BIN)/python -m benchmarks --out out/benchmarks.md

format: $(VENV)/dev.stamp
	$(BIN)/ruff check --fix .
	$(BIN)/ruff format .

# For maintainers, with uv on the path: pins every dependency with its hashes.
lock:
	uv pip compile --quiet --universal --python-version 3.11 --generate-hashes --no-header --no-annotate pyproject.toml --extra build --extra fast --extra plan --extra picture --extra web -o requirements.lock
	uv pip compile --quiet --universal --python-version 3.11 --generate-hashes --no-header --no-annotate pyproject.toml --all-extras -o requirements-dev.lock
	echo uv==0.13.9 | uv pip compile --quiet --universal --python-version 3.11 --generate-hashes --no-header --no-annotate - -o requirements-uv.lock

$(BIN)/python:
	$(PYTHON) -m venv $(VENV)

$(VENV)/run.stamp: $(BIN)/python requirements.lock requirements-uv.lock pyproject.toml
	$(call LAY,requirements.lock)
	$(PIP) install --no-deps --no-build-isolation --editable .
	touch $@

$(VENV)/dev.stamp: $(BIN)/python requirements-dev.lock requirements-uv.lock pyproject.toml
	$(call LAY,requirements-dev.lock)
	$(PIP) install --no-deps --no-build-isolation --editable .
	touch $@
