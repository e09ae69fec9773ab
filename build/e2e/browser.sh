#!/usr/bin/env bash
# The page on the real backend, in a browser; see browser.mjs, strokes.mjs, playback.mjs and sessions.mjs.
# Needs what build.sh has built.
. "$(dirname "$0")/../env.sh"
bash "$root/build/e2e/developer.sh"
failed=0
for part in browser strokes playback sessions; do
	node "$root/build/e2e/$part.mjs" || failed=1
done
exit $failed
