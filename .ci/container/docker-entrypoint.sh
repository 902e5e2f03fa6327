#!/bin/sh
# Starts Debian's PostgreSQL in a container on the terms of pgtest: makes a cluster whose superuser is POSTGRES_USER with
# POSTGRES_PASSWORD, says twice that it is ready, and serves on every address of the container.
set -eu
[ "$1" = postgres ] || exec "$@"
shift
bin=$(echo /usr/lib/postgresql/*/bin)
data=/var/lib/postgresql/cluster

as_postgres() { setpriv --reuid=postgres --regid=postgres --init-groups "$@"; }

install -d -o postgres -g postgres -m 0700 "$data"
install -d -o postgres -g postgres /run/postgresql
install -o postgres -m 0600 /dev/null /tmp/password
printf '%s\n' "$POSTGRES_PASSWORD" >/tmp/password
as_postgres "$bin/initdb" -D "$data" -U "$POSTGRES_USER" --pwfile=/tmp/password -E UTF8 --locale=C.UTF-8 --no-sync \
	--auth-local=trust --auth-host=scram-sha-256
echo 'host all all all scram-sha-256' >>"$data/pg_hba.conf"

# The first readiness is that of a server which nobody outside can reach.
as_postgres "$bin/pg_ctl" -D "$data" -o '-c listen_addresses=' -w start
[ "$POSTGRES_DB" = postgres ] || as_postgres "$bin/createdb" -U "$POSTGRES_USER" "$POSTGRES_DB"
as_postgres "$bin/pg_ctl" -D "$data" -m fast -w stop
exec setpriv --reuid=postgres --regid=postgres --init-groups "$bin/postgres" -D "$data" -c 'listen_addresses=*' "$@"
