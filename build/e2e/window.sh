#!/usr/bin/env bash
# The real window under test; see window.mjs. Needs what build.sh has built.
. "$(dirname "$0")/../env.sh"
exec node "$root/build/e2e/window.mjs"
