#!/usr/bin/env bash
# Runs every benchmark of the Go code and prints a table: time, memory and
# whatever else a benchmark reports. An argument picks benchmarks by name, as a
# regular expression; "contact" prints the table of the detector of contacts on
# sounds with known truth, beside aubioonset, and its speed.
. "$(dirname "$0")/env.sh"
cd "$root"
if [ "${1:-}" = contact ]; then
	go test "${flags[@]}" -tags "$tags" -count 1 -run '^TestTable$' -v -bench '^BenchmarkFind$' ./internal/contact |
		sed -n 's/^ *table_test.go:[0-9]*: //p; /^BenchmarkFind/p; /^--- FAIL/p'
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
