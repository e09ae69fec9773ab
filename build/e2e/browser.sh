#!/usr/bin/env bash
# The page on the real backend, in a browser; see access.mjs, browser.mjs, viewing.mjs, strokes.mjs, bursts.mjs, pass.mjs, playback.mjs, sessions.mjs, todo.mjs, agreement.mjs, twocoaches.mjs, definitions.mjs, ruler.mjs, exchange.mjs, cameras.mjs, sizes.mjs, guide.mjs, safety.mjs, hands.mjs, pairs.mjs, drawing.mjs and monkey.mjs.
# Needs what build.sh has built.
. "$(dirname "$0")/../env.sh"
bash "$root/build/e2e/developer.sh"
failed=0
node "$root/build/e2e/access.mjs" || failed=1
# Two at a time: most parts wait for the program, a pass for its strokes, two coaches
# for their programs to begin and end.
beside() {
	local failed=0 part
	for part in pass twocoaches definitions pairs drawing; do node "$root/build/e2e/$part.mjs" || failed=1; done
	return $failed
}
beside >"$bin/beside.txt" &
beside=$!
for part in browser viewing strokes bursts playback sessions todo agreement ruler exchange cameras sizes guide safety hands monkey; do
	node "$root/build/e2e/$part.mjs" || failed=1
done
wait "$beside" || failed=1
cat "$bin/beside.txt"
exit $failed
