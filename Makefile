# Every target does the set-up that it needs; a second run starts at once.
# Other address or port:  make run HOST=0.0.0.0 PORT=8123, or PORT=8123 make run

SHELL = /bin/sh
HOST = 127.0.0.1
PORT ?= 8000
PROCESSES = 3
ORACLE_PYTHON = .venv/bin/python

python = .venv/bin/python
set_up = tools/set_up.sh
quiet_book = env -u DATABASE_URL -u SCIONARY_DEBUG -u SCIONARY_LOGIN -u SCIONARY_HTTPS SCIONARY_BOOK="$(CURDIR)/.setup/tests/book.sqlite3" \
	SCIONARY_LOGS=off SCIONARY_SECRET_KEY=only-for-tests-and-checks-never-for-a-book-of-anybody OPENBLAS_NUM_THREADS=1 OMP_NUM_THREADS=1
pytest = $(python) -m pytest -n $(PROCESSES) --dist worksteal
on_both_databases = tests/book tests/answers tests/web tests/cli
# Where the two databases could differ: the record itself, questions of sets and dates, work beside the pages, and many writers.
sets_and_dates = called contact_map jobs only_worker schedule_kept since weather_import without_plant worker
on_both_in_short = tests/book $(wildcard $(patsubst %,tests/answers/test_%.py,$(sets_and_dates))) \
	tests/web/test_hand_events.py tests/web/test_hand_nouns.py tests/web/test_others_writing.py

.PHONY: help setup run test check long speed calibration reach oracle lock

help:
	@echo "make run      the demo book if there is no book, the season's summary, then the pages (HOST=, PORT=)"
	@echo "make test     all tests on SQLite, then those of the record and of what asks most of a database on PostgreSQL"
	@echo "make check    style, types, borders between parts, docstrings, deploy check, licences"
	@echo "make long     all tests with the slow families in their full forms, pages and terminal on PostgreSQL too, then the timings"
	@echo "make speed    the timings of docs/speed.md"
	@echo "make calibration  whether ranges of take rates hold what they promise, on simulated nurseries (minutes)"
	@echo "make reach    what each engine was to reach, beside what is measured now (about an hour)"
	@echo "make oracle   the stored grids of other programs again, and how far they differ (ORACLE_PYTHON: one with the extra oracle)"
	@echo "make setup    everything that the others need, and nothing more"
	@echo "make lock     write requirements/*.txt again from pyproject.toml (UPGRADE=1 for newer versions)"

setup:
	@$(set_up) run test check

run:
	@$(set_up) run
	@exec .venv/bin/scionary serve --with-demo --host $(HOST) --port $(PORT)

test:
	@$(set_up) test
	@echo "== tests on SQLite"
	@$(quiet_book) $(pytest)
	@echo "== tests of the record and its answers on PostgreSQL"
	@$(quiet_book) $(python) tests/postgres.py -- $(pytest) -m "not browser and not own_book" $(on_both_in_short)

check:
	@$(set_up) check
	@$(quiet_book) $(python) tools/check.py

long = SCIONARY_HYPOTHESIS=long SCIONARY_KILLS=300 SCIONARY_TRIALS=20000 SCIONARY_DEMO_SEEDS=100 SCIONARY_PAGES=all SCIONARY_REBUILD=all SCIONARY_SWEEP=all

long:
	@$(set_up) test
	@echo "== all tests, the slow families in full, on SQLite"
	@$(quiet_book) $(long) $(pytest)
	@echo "== the same on PostgreSQL"
	@$(quiet_book) $(long) $(python) tests/postgres.py -- $(pytest) -m "not browser and not own_book" $(on_both_databases)
	@$(MAKE) --no-print-directory speed

speed:
	@$(set_up) run
	@$(python) benchmarks/start_up.py
	@$(python) benchmarks/label_speed.py
	@$(python) benchmarks/photo_reading.py
	@$(python) benchmarks/spread_speed.py
	@$(python) benchmarks/finding_speed.py
	@$(python) benchmarks/phone_pages.py
	@$(python) benchmarks/page_load.py

calibration:
	@$(set_up) run
	@OPENBLAS_NUM_THREADS=1 $(python) benchmarks/take_calibration.py

# Each tells its table and ends with 1 where an aim is not met; all are run.
reach:
	@$(set_up) test
	@missed=0; for table in take_reach plan_reach packing_reach dome_reach air_speed season_speed union_speed; do \
		OPENBLAS_NUM_THREADS=1 $(python) benchmarks/$$table.py || missed=1; \
	done; exit $$missed

oracle:
	@PYTHONPATH=tools $(ORACLE_PYTHON) -m oracle.season --compare

lock:
	@$(set_up) run
	@$(python) tools/lock.py $(if $(UPGRADE),--upgrade)
