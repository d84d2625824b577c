#!/usr/bin/env bash
# Run a command beside a PostgreSQL server of its own, which is gone afterwards:
#   tools/with_postgres.sh .venv/bin/python -m pytest tests/web
# The command finds it under TIERWRIGHT_TEST_SERVER. Where PostgreSQL is not installed the command runs without one,
# unless TIERWRIGHT_NEED_POSTGRES is set.
set -euo pipefail

programs=$(find /usr/lib/postgresql /usr/local/pgsql /usr/pgsql* -maxdepth 3 -name initdb 2>/dev/null | sort -V | tail -n 1 || true)
if [ -z "$programs" ]; then
    if [ -n "${TIERWRIGHT_NEED_POSTGRES:-}" ]; then
        echo "PostgreSQL is not installed" >&2
        exit 1
    fi
    exec "$@"
fi
programs=$(dirname "$programs")

folder=$(mktemp -d)
as=()
if [ "$(id -u)" = 0 ]; then
    # The server refuses to run as root.
    chown postgres "$folder"
    as=(runuser -u postgres --)
fi
port=$(python3 -c 'import socket; s = socket.socket(); s.bind(("127.0.0.1", 0)); print(s.getsockname()[1])')
end() {
    "${as[@]}" "$programs/pg_ctl" -D "$folder/data" -m immediate stop >/dev/null 2>&1 || true
    rm -rf "$folder"
}
trap end EXIT

cd /tmp
"${as[@]}" "$programs/initdb" -D "$folder/data" -U baker --auth=trust --encoding=UTF8 --locale=C >/dev/null
# What it holds is thrown away: nothing waits for the disk.
"${as[@]}" "$programs/pg_ctl" -D "$folder/data" -w -l "$folder/log" \
    -o "-p $port -k $folder -c listen_addresses=127.0.0.1 -c fsync=off -c max_connections=60" start >/dev/null
cd - >/dev/null
export TIERWRIGHT_TEST_SERVER="postgresql://baker@127.0.0.1:$port"
"$@"
