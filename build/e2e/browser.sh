#!/usr/bin/env bash
# The page on the real backend, in a browser: its parts two at a time, since most of them
# wait for the program. Needs what build.sh has built.
. "$(dirname "$0")/../env.sh"
bash "$root/build/e2e/developer.sh"
node "$root/build/e2e/club.mjs"
told=$(mktemp -d)
trap 'rm -rf "$told"' EXIT
# A pass presses keys as a coach would, by the clock, so it is beside those that do little.
parts=(pass todo sessions agreement access definitions pairs twocoaches drawing browser viewing strokes bursts sizes playback ruler exchange cameras guide safety hands monkey)
failed=0
printf '%s\n' "${parts[@]}" | xargs -P 2 -I '{}' sh -c "node '$root/build/e2e/{}.mjs' >'$told/{}.txt'" || failed=1
for part in "${parts[@]}"; do cat "$told/$part.txt"; done
exit $failed
