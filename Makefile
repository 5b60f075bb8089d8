# One word per chore; `make help` lists them. The work is done in Python: clinic/start.py, tests/run.py.
# PORT=9000 after the word is another port.
PYTHON ?= python3

VENV_PYTHON = .venv/bin/python

.PHONY: run tablet test lint types contracts unit js browser postgres bench load torture machines backup restore bench-ranking atlas atlas-sheets keys codes figure format clean help

run: ## start the practice on this machine
	@$(PYTHON) -m clinic.start

tablet: ## serve the practice to the tablets of the local network, over TLS
	@$(PYTHON) -m clinic.start tablet

test: ## every check, as in CI
	@$(PYTHON) -m tests.run

lint: ## layout and lint
	@$(PYTHON) -m tests.run format lint

types contracts unit js browser postgres: ## one step of `make test`
	@$(PYTHON) -m tests.run $@

bench: ## the speeds we promise, in one run
	@$(VENV_PYTHON) -m tests.bench

torture: ## kill, fill, tamper and fuzz until something is lost: make torture, or PART=kill
	@PART=$(PART) $(VENV_PYTHON) -m tests.torture

machines: ## three servers on one PostgreSQL, one killed; the review from a copy of the database: figures
	@$(VENV_PYTHON) -m tests.machines

load: ## 200 tablets and 20 clinicians at once, on both databases: figures, and out/load.json
	@$(VENV_PYTHON) -m tests.load

backup: ## copy everything into one new file, read back: make backup TO=folder KEY=file
	@$(VENV_PYTHON) manage.py backup --to "$(TO)" $(if $(KEY),--key-file "$(KEY)")

restore: ## bring a copy back into an empty place: TAUTLINE_DATA=folder make restore FROM=file KEY=file
	@$(VENV_PYTHON) manage.py restore "$(FROM)" $(if $(KEY),--key-file "$(KEY)")

bench-ranking: ## how good the ranking is, in one run: tables, and out/ranking-quality.json
	@$(VENV_PYTHON) -m bodymaps.making.quality

atlas: ## compile the muscle patterns from their text
	@$(VENV_PYTHON) -m bodymaps.making.atlas

atlas-sheets: ## pictures of every pattern, to look at
	@$(VENV_PYTHON) -m bodymaps.making.sheets

keys: ## write the list of every key a case may carry (bodymaps/data/reasoning/keys.md)
	@$(VENV_PYTHON) -m bodymaps.making.keys

codes: ## write the table of diagnosis codes from its package (charting/coding/data)
	@$(VENV_PYTHON) -m charting.coding.making

figure: ## make the body figure, its regions, their shares and the atlas from the mesh: make figure MESH=folder
	@$(VENV_PYTHON) -m bodymaps.making.figure $(MESH)
	@$(VENV_PYTHON) -m bodymaps.making.regions
	@$(VENV_PYTHON) -m bodymaps.making.surface
	@$(VENV_PYTHON) -m bodymaps.making.atlas

format: ## lay the code out and mend what ruff can mend
	@.venv/bin/ruff format . && .venv/bin/ruff check --fix .

clean: ## remove caches (never data, never .venv)
	@rm -rf .mypy_cache .ruff_cache .pytest_cache .import_linter_cache .hypothesis
	@find . -name __pycache__ -not -path './.venv/*' -prune -exec rm -rf {} +

help: ## this list
	@grep -hE '^[a-z -]+:.*##' $(MAKEFILE_LIST) | sed 's/:[^#]*## /\t/' | expand -t 44
