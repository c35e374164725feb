#!/bin/sh
# Finds a Python that this program runs on and hands over to set_up.py.  Use: tools/set_up.sh run|test|check ...
set -eu
cd "$(dirname "$0")/.."

fits() {
    command -v "$1" >/dev/null 2>&1 && "$1" -c 'import sys; sys.exit(not (3, 11) <= sys.version_info[:2] <= (3, 13))' >/dev/null 2>&1
}

makes_environments() {
    "$1" -c 'import ensurepip, venv' >/dev/null 2>&1
}

choose() {
    for candidate in .venv/bin/python python3.11 python3 python3.12 python3.13; do
        if fits "$candidate" && makes_environments "$candidate"; then
            echo "$candidate"
            return 0
        fi
    done
    return 1
}

if ! chosen=$(choose); then
    if [ "$(id -u)" = 0 ] && command -v apt-get >/dev/null 2>&1; then
        echo "set-up: installing python3 and python3-venv"
        apt-get update -q >/dev/null && DEBIAN_FRONTEND=noninteractive apt-get install -y -q --no-install-recommends python3 python3-venv >/dev/null
    fi
    chosen=$(choose) || {
        echo "set-up: this needs Python 3.11, 3.12 or 3.13 with its venv module." >&2
        echo "set-up: on Debian or Ubuntu: sudo apt-get install python3 python3-venv" >&2
        exit 1
    }
fi
exec "$chosen" tools/set_up.py "$@"
