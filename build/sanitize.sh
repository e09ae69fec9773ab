#!/usr/bin/env bash
# Runs the tests of the C code and of what feeds it whole and damaged films, and the
# corpora of the fuzz targets above it, under AddressSanitizer and UBSan. Any
# complaint fails, and so does memory that nothing frees.
. "$(dirname "$0")/env.sh"
cd "$root"
export CGO_CFLAGS="-g -fsanitize=undefined -fno-sanitize-recover=undefined"
export CGO_LDFLAGS="-fsanitize=undefined"
export UBSAN_OPTIONS=print_stacktrace=1
export GODEBUG=clobberfree=1 # else what Go has freed still points at memory that nothing else does
sanitized() { go test "${flags[@]}" -tags "$tags" -asan -count 1 -timeout 60m "$@"; }
sanitized -skip 'Hangs' ./internal/clip/... # drives that hang are waited for by the clock, which the sanitizers slow down
sanitized ./internal/pose/neural
sanitized -run '^(TestMedia|FuzzMedia)' ./app
