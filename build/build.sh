#!/usr/bin/env bash
# Builds the program into build/bin/strokeledger; does only what changed.
# Needs what setup.sh brings.
. "$(dirname "$0")/env.sh"
cd "$root"
go_is_enough || die "Go $(sed -n 's/^go //p' go.mod) or newer is missing: run bash build/setup.sh first."
node_is_enough || die "Node 20.19, 22.12 or newer is missing: run bash build/setup.sh first."
mkdir -p "$bin"
modules

# The page, when one of its files differs from the last build.
page_state() {
	(cd frontend && find . -path ./node_modules -prune -o -path ./dist -prune -o -type f ! -name '*.go' ! -name '*.test.ts' -print0 |
		sort -z | xargs -0 sha256sum | sha256sum)
}
now=$(page_state)
if [ ! -f frontend/dist/index.html ] || [ "$now" != "$(cat "$bin/page.state" 2>/dev/null)" ]; then
	say "Page."
	(cd frontend && node node_modules/vite/bin/vite.js build --logLevel error)
	echo "$now" >"$bin/page.state"
fi

# The networks that find joints (see DEVELOPERS.md) come with the page's packages, whose
# hashes are locked.
take() { cmp -s "frontend/node_modules/@mediapipe/pose/$1" "internal/pose/weights/$2" || install -m 644 "frontend/node_modules/@mediapipe/pose/$1" "internal/pose/weights/$2"; }
take pose_landmark_full.tflite landmarks.tflite
take pose_solution_packed_assets.data detector.tflite # the one file that is packed in it

say "Program."
go build "${flags[@]}" -tags "$tags" -ldflags "-s -w -X main.version=$(sed -n 's/.*"productVersion": "\(.*\)".*/\1/p' wails.json)" -o "$bin/strokeledger" ./app
