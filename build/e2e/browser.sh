#!/usr/bin/env bash
# The page on the real backend, in a browser; see access.mjs, browser.mjs, viewing.mjs, strokes.mjs, bursts.mjs, pass.mjs, playback.mjs, sessions.mjs, todo.mjs, agreement.mjs, ruler.mjs, exchange.mjs, cameras.mjs, safety.mjs, hands.mjs and monkey.mjs.
# Needs what build.sh has built.
. "$(dirname "$0")/../env.sh"
bash "$root/build/e2e/developer.sh"
failed=0
for part in access browser viewing strokes bursts pass playback sessions todo agreement ruler exchange cameras safety hands monkey; do
	node "$root/build/e2e/$part.mjs" || failed=1
done
exit $failed
