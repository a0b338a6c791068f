# Two commands are all a fresh machine needs: `make demo` and `make test`.
PYTHON ?= python3
PIP = .venv/bin/python -m pip --disable-pip-version-check --quiet
INSTALL = $(PIP) install --require-hashes --only-binary :all: --no-deps
NODE = PATH=$(CURDIR)/.venv/bin:$$PATH
FRONTEND = $(shell git ls-files frontend 2>/dev/null || find frontend -path frontend/node_modules -prune -o -type f -print)
EXAMPLE ?= examples/rented-room
PACK ?= build/pack.pdf

.PHONY: demo serve test check bench format clean

demo: .stamps/run
	.venv/bin/seatfield plan $(EXAMPLE)
	@mkdir -p $(dir $(PACK))
	.venv/bin/seatfield pack $(EXAMPLE) --out $(PACK)

serve: .stamps/assets
	.venv/bin/seatfield serve $(EXAMPLE)

test: .stamps/assets
	scripts/debian-packages
	.venv/bin/python -m pytest -n 2 --dist loadgroup

check: .stamps/assets
	scripts/debian-packages
	cd frontend && $(NODE) npm run check
	cd frontend && $(NODE) npm test
	.venv/bin/ruff format --check
	.venv/bin/ruff check
	.venv/bin/mypy
	.venv/bin/lint-imports
	.venv/bin/python -m pytest -n 2 --dist loadgroup

bench: .stamps/develop
	.venv/bin/python -m benchmarks

format: .stamps/develop
	.venv/bin/ruff format
	.venv/bin/ruff check --fix

clean:
	rm -rf .venv .stamps build dist

.stamps/venv:
	@$(PYTHON) -c 'import sys; sys.exit(sys.version_info < (3, 11))' \
		|| { echo 'Seatfield needs Python 3.11 or newer; name one with `make PYTHON=python3.12 ...`.'; exit 1; }
	$(PYTHON) -m venv .venv \
		|| { echo 'Python lacks its venv module; on Debian: apt-get install python3-venv'; exit 1; }
	@mkdir -p .stamps && touch $@

.stamps/run: .stamps/venv requirements/run.lock pyproject.toml
	$(INSTALL) -r requirements/run.lock
	$(PIP) install --no-deps --no-build-isolation --editable .
	@touch $@

.stamps/develop: .stamps/run requirements/develop.lock
	$(INSTALL) -r requirements/develop.lock
	@touch $@

# The Node that builds the page comes from a Python package; users of the wheel need none.
.stamps/assets: .stamps/develop $(FRONTEND)
	cd frontend && $(NODE) npm ci --no-audit --no-fund --silent
	cd frontend && $(NODE) npm run build -- --logLevel warn
	@touch $@
