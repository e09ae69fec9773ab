#!/usr/bin/env bash
# Runs every benchmark of the Go code and prints a table: time, memory and
# whatever else a benchmark reports. An argument picks benchmarks by name, as a
# regular expression; "contact" prints the table of the detector of contacts on
# sounds with known truth, beside aubioonset, its speed, and the table of halls drawn
# from wide ranges (of the held-out seeds, or with "contact tuning" of those that the
# detector may be tuned on, without the rest); "refit" prints what the tuning seeds say of
# how contacts sound, beside what the detector takes to be known; "bursts" prints how
# many borders of turns are proposed where they are; "clip" prints the
# table of stepping and opening, on clips that it makes (once, in build/bin/bench);
# "window" plays in the real window, which build.sh must have built; "keys [n] [seed]"
# presses n random keys in it (8000) and fails where memory does not level off, a row
# is lost or anything is complained of; "summary"
# sums up a large library beside the same query in SQLite's own shell; "few" prints
# how often sheets without any difference call one, and how often an interval holds
# the truth (ten minutes); "reel" makes a film of twenty moments
# beside one ffmpeg command; "table" prints how well the camera and the floor are known
# from clicks, from the lines of a picture and without clicks, and whether a camera that
# moved is noticed, in drawn halls and on the invented club's clips, and how long it
# takes; "measures [seed]..." draws clubs that nothing was tuned on (202 to 204), measures
# their strokes and prints how suggestions lie beside the truth; "merge" takes a file of
# 100,000 rows into a library; "joined [seed]..." draws
# clubs that nothing was tuned on and prints how well strokes and sides are told by sound
# and joints (701, with the network: half an hour and more; with STROKELEDGER_DRAWN=1 the
# joints are drawn), and how long a film of two hours takes to be joined; "weights" fits what
# swings and elbows are told by anew, to the seeds that they may be tuned on, and prints it
# as Go (two hours). "write NAME"
# runs one of these and puts its table, with the
# day and the machine, into build/figures.md.
. "$(dirname "$0")/env.sh"
cd "$root"
if [ "${1:-}" = write ]; then
	name=${2:?"say which: clip, window, few, summary, merge, bursts, measures or joined"}
	grep -qxF "<!-- $name -->" build/figures.md || die "build/figures.md has no place for \"$name\"."
	made=$(mktemp)
	trap 'rm -f "$made"' EXIT
	bash "$0" "${@:2}" >"$made"
	grep -q '^|' "$made" || die "The benchmark \"$name\" printed no table: nothing was written."
	# An empty line before each table's head, which the line of dashes follows.
	awk 'NR > 1 { print (line ~ /^\|/ && $0 ~ /^\|---/ && NR > 2 ? "\n" : "") line } { line = $0 } END { print line }' "$made" >"$made.md"
	printf '\nMeasured on %s, %s processors.\n' "$(date +%F)" "$(nproc)" >>"$made.md"
	awk -v name="$name" -v made="$made.md" '
		$0 == "<!-- end of " name " -->" { skip = 0 }
		!skip
		$0 == "<!-- " name " -->" { skip = 1; while ((getline line < made) > 0) print line }
	' build/figures.md >"$made.all"
	mv "$made.all" build/figures.md
	rm -f "$made.md"
	exit
fi
[ "${1:-}" != reel ] || set -- '^BenchmarkReel$'
if [ "${1:-}" = contact ]; then
	export STROKELEDGER_BENCH_HALLS=${2:-held-out}
	which=(-run '^TestTable$' -bench '^Benchmark(Find|AnyHall)$')
	[ "$STROKELEDGER_BENCH_HALLS" = held-out ] || which=(-run '^$' -bench '^BenchmarkAnyHall$' -benchtime 1x)
	go test "${flags[@]}" -tags "$tags" -count 1 -timeout 30m "${which[@]}" -v ./internal/contact |
		sed -n 's/^ *\(table\|any_hall\|any_bounds\)_test.go:[0-9]*: //p; /^BenchmarkFind/p; /^ *--- FAIL/p'
	exit "${PIPESTATUS[0]}"
fi
if [ "${1:-}" = table ]; then
	rows() { sed -n 's/^ *[a-z]*_test.go:[0-9]*: //p; /^Benchmark.*ns.op/p; /^ *--- FAIL/p'; }
	go test "${flags[@]}" -timeout 1h -run '^Test(Reach|UprightCovers)$' -bench '^Benchmark(SnapHalls|FindHalls|Moved)$' -benchtime 1x -v ./internal/table | rows
	go test "${flags[@]}" -run '^$' -bench '^Benchmark(Fit|Floor|Snap|Find|Support)$' ./internal/table | rows
	go test "${flags[@]}" -tags "$tags" -run '^Test(Snap|Find)$' -v ./internal/demo/film | rows
	exit "${PIPESTATUS[0]}"
fi
if [ "${1:-}" = measures ]; then
	shift
	STROKELEDGER_JUDGES=${*:-202 203 204} go test "${flags[@]}" -tags "$tags" -timeout 2h -run '^$' -bench '^BenchmarkMeasures$' -benchtime 1x ./internal/desk | grep '^|'
	exit "${PIPESTATUS[0]}"
fi
if [ "${1:-}" = joined ]; then
	shift
	STROKELEDGER_SPARS=${*:-701} go test "${flags[@]}" -tags "$tags" -timeout 3h -run '^$' -bench '^BenchmarkJoined$' -benchtime 1x ./internal/desk | grep '^|\|^Of '
	go test "${flags[@]}" -run '^$' -bench '^BenchmarkStrokes$' ./internal/joined | grep '^Benchmark'
	exit "${PIPESTATUS[0]}"
fi
if [ "${1:-}" = weights ]; then
	STROKELEDGER_REFIT=1 go test "${flags[@]}" -tags "$tags" -timeout 6h -run '^$' -bench '^BenchmarkRefit$' -benchtime 1x ./internal/desk | sed -n '/^func /,/^}/p'
	exit "${PIPESTATUS[0]}"
fi
if [ "${1:-}" = refit ]; then
	STROKELEDGER_REFIT=1 go test "${flags[@]}" -tags "$tags" -run '^$' -benchtime 1x -bench '^BenchmarkRefit$' -v ./internal/contact |
		sed -n 's/^ *refit_test.go:[0-9]*: //p; /^ *--- FAIL/p'
	exit "${PIPESTATUS[0]}"
fi
if [ "${1:-}" = bursts ]; then
	go test "${flags[@]}" -count 1 -run '^TestBorders' -v -bench '^BenchmarkLearn$' ./internal/proposal |
		sed -n 's/^ *session_test.go:[0-9]*: //p; /^BenchmarkLearn/p; /^--- FAIL/p'
	exit "${PIPESTATUS[0]}"
fi
table() { printf '| clip | what | figure to reach | measured | |\n|---|---|---|---|---|\n'; }
machine() { printf '\n%s, %s processors, load %s before and %s after; %s.\n' "$(sed -n 's/^model name.*: //p' /proc/cpuinfo | head -n 1)" "$(nproc)" "$1" "$(cut -d' ' -f1 /proc/loadavg)" "$(ffmpeg -version | sed -n 's/^\(ffmpeg version [^ ]*\).*/\1/p')"; }
load=$(cut -d' ' -f1 /proc/loadavg)
if [ "${1:-}" = clip ] || [ "${1:-}" = window ]; then
	export STROKELEDGER_BENCH_CLIPS=$bin/bench
	mkdir -p "$STROKELEDGER_BENCH_CLIPS"
fi
if [ "${1:-}" = clip ]; then
	go test "${flags[@]}" -tags "$tags" -c -o "$bin/bench/clip.test" ./internal/clip
	run() { (cd internal/clip && "$bin/bench/clip.test" -test.run '^$' -test.benchtime 1x -test.timeout 30m -test.bench "$1") 2>&1 | sed -n '/^|/p; /^--- FAIL/,$p'; }
	table
	run '^Benchmark(InOrder|Held|Zoomed|Beside|Jump|Hour)$'
	for film in 1080p60 2160p60 1080i25; do
		GOGC=50 run "^BenchmarkMemory\$/^$film" # as the program sets it; each in a process of its own: it reads the peak of that
	done
	machine "$load"
	exit
fi
if [ "${1:-}" = window ]; then
	table
	node build/e2e/playing.mjs
	machine "$load"
	exit
fi
if [ "${1:-}" = keys ]; then
	node build/e2e/keys.mjs "${@:2}"
	exit
fi
if [ "${1:-}" = summary ]; then
	go test "${flags[@]}" -tags "$tags" -c -o "$bin/desk.test" ./internal/desk
	run() { (cd "$1" && shift && "$@") 2>&1 | sed -n '/^|/p; /^--- FAIL/,$p'; }
	printf '| 1,000,000 marks, 3,000,000 strokes, 300 players, five years | figure to reach | measured |\n|---|---|---|\n'
	run internal/desk "$bin/desk.test" -test.run '^$' -test.benchtime 1x -test.bench '^BenchmarkSummary$'
	machine "$load"
	exit
fi
if [ "${1:-}" = merge ]; then
	printf '| work of another library | figure to reach | measured |\n|---|---|---|\n'
	go test "${flags[@]}" -tags "$tags" -run '^$' -benchtime 3x -bench '^BenchmarkTake$' ./internal/desk 2>&1 | sed -n '/^|/p; /^--- FAIL/,$p'
	machine "$load"
	exit
fi
if [ "${1:-}" = few ]; then
	go test "${flags[@]}" -timeout 1h -run '^$' -benchtime 1x -bench '^Benchmark(FewTurns|Coverage|PaceCoverage)$' ./internal/tally | sed -n '/^|/p; /^--- FAIL/,$p'
	exit "${PIPESTATUS[0]}"
fi
go test "${flags[@]}" -tags "$tags" -run '^$' -bench "${1:-.}" -benchmem ./... 2>&1 |
	awk '
		/^pkg: / { sub("strokeledger/", "", $2); place = $2 }
		/^Benchmark/ {
			name = $1; sub(/^Benchmark/, "", name); sub(/-[0-9]+$/, "", name)
			line = ""
			for (i = 3; i < NF; i += 2) line = line sprintf("  %12s %-10s", $i, $(i + 1))
			printf "%-18s %-36s%s\n", place, name, line
		}
		/^(FAIL|panic|---)/ { print; bad = 1 }
		END { exit bad }
	'
