#!/usr/bin/env bash
# The one command of the tests: brings what they need, builds, runs all of them
# and ends with one line "N passed, N failed". Each step's full output stays in
# build/bin/log.
. "$(dirname "$0")/env.sh"
[ $# = 0 ] || { say "Usage: bash build/test.sh" >&2; exit 2; }
cd "$root"

bash build/setup.sh --tests
. "$root/build/env.sh" # finds what setup.sh brought
log=$bin/log
rm -rf "$log"
mkdir -p "$log"

passed=0 failed=0

# step NAME COUNTER COMMAND...: runs the command with its output in a file. The
# counter names how to count tests in it (see count.mjs), "-" for a check that
# has none. A command that fails adds a failure even where none was counted.
step() {
	local name=$1 counter=$2 file=$log/${1// /-}.txt begun=$SECONDS status=0 p=0 f=0 word=fine
	shift 2
	if [ "$counter" = - ]; then
		"$@" >"$file" 2>&1 </dev/null || status=$?
	else
		"$@" >"$file" 2>"$file.err" </dev/null || status=$?
		[ -f "$file.json" ] && mv "$file.json" "$file"
		read -r p f < <(node build/count.mjs "$counter" "$file" 2>"$file.failed") || true
		: "${p:=0}" "${f:=0}"
		[ "$status" = 0 ] && [ "$p" = 0 ] && [ "$f" = 0 ] && { echo "$name ran no test" >>"$file.failed"; status=1; }
	fi
	[ "$status" = 0 ] || [ "$f" -gt 0 ] || f=1
	[ "$f" = 0 ] || word=FAILED
	passed=$((passed + p)) failed=$((failed + f))
	printf '%-34s %-6s %4d s' "$name" "$word" $((SECONDS - begun))
	[ "$counter" = - ] || printf '  %d passed, %d failed' "$p" "$f"
	printf '\n'
	[ "$f" = 0 ] && return
	[ "$counter" = - ] || cat "$file.err" "$file.failed" >"$file.say"
	tail -n 60 "$([ "$counter" = - ] && echo "$file" || echo "$file.say")" >&2
}

unformatted() { local bad; bad=$(gofmt -l app frontend/*.go internal); [ -z "$bad" ] || { echo "not formatted: $bad"; false; }; }
# Every fuzz target, five seconds each. Those that stand on C code run as they are
# built already: the compiler's guidance would build SQLite and FFmpeg's bindings anew.
fuzz() {
	local file target dir
	while IFS=: read -r file target; do
		dir=${file%/*}
		if [[ " ${pure[*]/#/internal/} " = *" $dir "* ]]; then
			CGO_ENABLED=0 go test "${flags[@]}" -run '^$' -fuzz "^$target\$" -fuzztime 5s "./$dir" || return
		else
			go test "${flags[@]}" -tags "$tags" -c -o "$log/fuzz.test" "./$dir" &&
				(cd "$dir" && "$log/fuzz.test" -test.run '^$' -test.fuzz "^$target\$" -test.fuzztime 5s -test.fuzzcachedir "$log/fuzz") || return
		fi </dev/null
	done < <(grep -rEo --include='*_test.go' '^func Fuzz[A-Za-z]+' app internal | sed 's/func //')
}
nilerr() { go vet "${flags[@]}" -tags "$tags" -vettool="$(go tool -n nilerr)" ./...; }
vitest() { (cd frontend && node node_modules/vitest/vitest.mjs run --reporter=json --outputFile="$log/page-tests.txt.json"); }

pure=(timecode cache club aim roster tally tally/{advice,agreement,climb,contrast,group,interval,prior,rate,reading,streak,verdict,wording} redact contact proposal table measure
	alignment alike joined merge picture sighting standard swing)
mapfile -t rest < <(go list -tags "$tags" ./... | grep -vxF -f <(printf 'strokeledger/internal/%s\n' "${pure[@]}"))
watched=(clip store desk) # where goroutines meet: run with the race detector

step "build" - bash build/build.sh
step "gofmt" - unformatted
step "go vet" - go vet "${flags[@]}" -tags "$tags" ./...
step "staticcheck" - go tool staticcheck -tags "$tags" ./...
step "nilerr" - nilerr
step "errorlint" - go tool go-errorlint -tags "$tags" ./...
step "unconvert" - go tool unconvert -tags "$tags" ./...
step "unparam" - env GOFLAGS="-tags=$tags" go tool unparam ./...
step "shellcheck" - shellcheck build/*.sh build/e2e/*.sh .ci/run
step "svelte-check" - npm --prefix frontend run --silent check
step "page lint" - npm --prefix frontend run --silent lint
step "page tests" vitest vitest
step "pure packages without cgo" go env CGO_ENABLED=0 go test "${flags[@]}" -json "${pure[@]/#/./internal/}"
step "go tests" go go test "${flags[@]}" -timeout 30m -tags "$tags" -json "${rest[@]}"
# What takes long and in which nothing runs side by side is not run again: drawing the
# invented club under the detector alone takes minutes.
alone='TestDemoAgreesWithTruth|TestFilmsJoinedEndToEnd|TestEveryFrameShowsItsOwnNumber|TestFieldsAreTheirOwnMoments|TestNastyNamesGoThroughEverything|TestExposureRecountedByHand|TestTwoCameras|TestStrokesAreHeardAndSeen|TestFamilyPages|TestUndoIsAThousandDeepAcrossRestarts|TestUndoAgainstAModel|TestFilmsThatWereCutOff'
step "go tests, race detector" go go test "${flags[@]}" -timeout 30m -tags "$tags" -race -skip "$alone" -json "${watched[@]/#/./internal/}"
step "fuzzing" - fuzz
step "browser" lines bash build/e2e/browser.sh
step "nasty names in the page" lines bash build/e2e/nasty.sh
step "real window" lines bash build/e2e/window.sh
step "cut off from the network" lines bash build/e2e/alone.sh

echo "$passed passed, $failed failed"
[ "$failed" = 0 ]
