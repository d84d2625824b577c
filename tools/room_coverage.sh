#!/bin/sh
# Coverage by branch of each room under its own tests and its published checks alone: tools/room_coverage.sh [ROOM ...]
# The data stay in out/coverage/, where tools/mutants.py reads which test ran which line.
set -eu
cd "$(dirname "$0")/.."
python=${PYTHON:-.venv/bin/python}
failed=0
mkdir -p out/coverage
[ $# -gt 0 ] || set -- sizing formula heat bake sugar coating finish support keeping label purchase price handover brief larder
for room in "$@"; do
    tests="tests/$room"
    for published in tests/published/test_"${room}"_*.py; do
        [ ! -e "$published" ] || tests="$tests $published"
    done
    # Word by word on purpose: no path of ours holds a space. A test that fails is told, and the report still made.
    # shellcheck disable=SC2086
    COVERAGE_FILE="out/coverage/$room" OPENBLAS_NUM_THREADS=1 \
        "$python" -m coverage run --source="src/tierwright/$room" -m pytest -q -p no:cacheprovider $tests || failed=1
    COVERAGE_FILE="out/coverage/$room" "$python" -m coverage report --show-missing
done
exit $failed
