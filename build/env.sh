# shellcheck shell=bash disable=SC2034 # whoever sources it uses the names
# What every script here agrees on: where things lie, and with which flags the
# program is built. Sourced, never run.
set -euo pipefail

root=$(cd "$(dirname "${BASH_SOURCE[0]}")/.." && pwd)
tools=$root/build/tools # brought by setup.sh, ignored by git
bin=$root/build/bin     # what gets built, ignored by git

go_wanted=1.26.8  # brought where Go is missing or older than go.mod asks for
node_wanted=22    # brought where Node is missing or older than Vite asks for

for dir in "$tools/go/bin" "$tools/node/node_modules/.bin" "$tools/node/bin"; do
	[ -d "$dir" ] && PATH=$dir:$PATH
done
export PATH
export GOTOOLCHAIN=local # what setup.sh found or brought, and nothing else

# One set of flags everywhere: each different set compiles SQLite and FFmpeg's
# bindings anew.
tags=desktop,production,webkit2_41
flags=(-trimpath -buildvcs=false)

say() { printf '%s\n' "$*"; }
die() { printf '%s\n' "$*" >&2; exit 1; }

# at_least HAVE WANT: is version HAVE the same as or newer than WANT?
at_least() { [ "$(printf '%s\n%s\n' "$1" "$2" | sort -V | head -n 1)" = "$2" ]; }

go_is_enough() {
	local have
	have=$(go env GOVERSION 2>/dev/null) || return 1
	at_least "${have#go}" "$(sed -n 's/^go //p' "$root/go.mod")"
}

node_is_enough() {
	local have
	have=$(node --version 2>/dev/null) && npm --version >/dev/null 2>&1 || return 1
	have=${have#v}
	case $have in
	20.* | 22.*) at_least "$have" "$([ "${have%%.*}" = 20 ] && echo 20.19 || echo 22.12)" ;;
	*) at_least "$have" 22.12 ;;
	esac
}

# modules brings the page's packages if the lock file has changed since.
modules() {
	local stamp=$root/frontend/node_modules/.installed now
	now=$(cd "$root/frontend" && sha256sum package-lock.json | cut -d' ' -f1)
	[ -f "$stamp" ] && [ "$(cat "$stamp")" = "$now" ] && return
	say "Fetching the page's packages with npm."
	(cd "$root/frontend" && npm ci --no-audit --no-fund --loglevel=error)
	echo "$now" >"$stamp"
}
