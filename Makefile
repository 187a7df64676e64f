# One command each; the plain commands they stand for are in README.md and below.
# Choose with: make test WORKERS=4, make run HOST=0.0.0.0 PORT=8080 PYTHON=/path/to/python3.12

PYTHON = python3
HOST = 127.0.0.1
PORT = 8000
WORKERS = 2

VENV = .venv
BIN = $(VENV)/bin
RUN_READY = $(VENV)/.ready-to-run
TEST_READY = $(VENV)/.ready-to-test
PIP = $(BIN)/python -m pip --disable-pip-version-check --quiet --no-input
UV = $(shell command -v uv || echo .tools/bin/uv)
EXPORT = UV_PYTHON_DOWNLOADS=never $(UV) export --quiet --no-header --no-emit-project --no-emit-index-url --python $(PYTHON)

.PHONY: help run test coverage audit bench seed lock screens texts

help: ## what there is
	@echo "make run       set up what is missing, then serve Thriftloom on this machine"
	@echo "make test      set up what is missing, then check and test everything"
	@echo "make coverage  test, and tell which lines no test reached (takes about twice as long)"
	@echo "make audit     look at every screen in a real browser: for everybody, by thumb, light, quick (test does all but quick)"
	@echo "make bench     measure plans and cut lists side by side with their peers; under half an hour (QUICK=1: minutes)"
	@echo "make seed      bring tables, catalogue and demo jobs up to date (run does this too)"
	@echo "make texts     bring the languages up to date; says what is not translated yet"
	@echo "make screens   take the pictures of the README and docs/screens anew, with Chromium"
	@echo "make lock      write the requirement locks anew, after a change of dependencies"

run: seed ## serve
	@$(BIN)/thriftloom serve --host $(HOST) --port $(PORT)

seed: $(RUN_READY)
	@$(BIN)/thriftloom seed

test: $(TEST_READY)
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .
	$(BIN)/mypy
	$(BIN)/lint-imports
	$(BIN)/pytest --numprocesses $(WORKERS) --dist loadfile --max-worker-restart 0

coverage: $(TEST_READY) ## which lines the tests reach; takes twice as long as they do alone
	$(BIN)/pytest --numprocesses $(WORKERS) --dist loadfile --max-worker-restart 0 --cov --cov-report=term

audit: $(TEST_READY) ## look at every screen in a real browser, and time it
	$(BIN)/pytest tests/browser/test_audits.py
	$(BIN)/python -m tests.browser.speed

bench: $(TEST_READY) ## measure
	$(BIN)/python -m tests.benchmarks $(if $(QUICK),--quick)

$(RUN_READY): requirements.lock pyproject.toml | $(VENV)/.made
	@echo "Installing what Thriftloom runs on (once; a minute or so) ..."
	@$(PIP) install --no-deps --require-hashes -r requirements.lock
	@$(PIP) install --no-deps --no-build-isolation -e .
	@$(BIN)/python -m compileall -q optimizer webapp migrations seed_catalog
	@touch $@

$(TEST_READY): requirements-dev.lock pyproject.toml | $(VENV)/.made
	@echo "Installing what the tests need (once; a minute or so) ..."
	@$(PIP) install --no-deps --require-hashes -r requirements-dev.lock
	@$(PIP) install --no-deps --no-build-isolation -e .
	@touch $@

# One sentence each for what is usually missing, before anything is made.
$(VENV)/.made:
	@command -v $(PYTHON) >/dev/null || { echo "Thriftloom needs Python 3.11 or newer and finds no $(PYTHON) here: install it, or name one with PYTHON=/path/to/python3.11"; exit 1; }
	@$(PYTHON) -c 'import sys; sys.exit(sys.version_info < (3, 11))' || { echo "Thriftloom needs Python 3.11 or newer and $(PYTHON) is older: name another one with PYTHON=/path/to/python3.11"; exit 1; }
	@$(PYTHON) -c 'import ensurepip, venv' 2>/dev/null || { echo "This Python cannot make virtual environments: install its venv package first (Debian, Ubuntu: apt-get install python3-venv)"; exit 1; }
	@$(PYTHON) -m venv $(VENV)
	@touch $@

texts: $(TEST_READY)
	@$(BIN)/python -m webapp.texts.extract

screens: $(TEST_READY)
	@$(BIN)/python -m tests.browser.screens

lock:
	@test -x "$(UV)" || { $(PYTHON) -m venv .tools && .tools/bin/python -m pip install --quiet uv==0.13.9; }
	$(EXPORT) --no-dev --group build --output-file requirements.lock
	$(EXPORT) --group dev --group build --output-file requirements-dev.lock
	@rm -f uv.lock
