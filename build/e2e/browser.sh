#!/usr/bin/env bash
# The page on the real backend, in a browser; see browser.mjs. Needs what
# build.sh has built.
. "$(dirname "$0")/../env.sh"
bash "$root/build/e2e/developer.sh"
exec node "$root/build/e2e/browser.mjs"
