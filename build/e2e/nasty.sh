#!/usr/bin/env bash
# Names are text on every screen; see nasty.mjs. Needs what build.sh has built.
. "$(dirname "$0")/../env.sh"
bash "$root/build/e2e/developer.sh"
exec node "$root/build/e2e/nasty.mjs"
