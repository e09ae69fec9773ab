#!/usr/bin/env bash
# Nothing leaks: the window and the commands without a network; see alone.mjs.
# Needs what build.sh has built.
. "$(dirname "$0")/../env.sh"
exec node "$root/build/e2e/alone.mjs"
