#!/usr/bin/env bash
# Builds the program with the development server in it, through which a browser
# reaches the real backend.
. "$(dirname "$0")/../env.sh"
cd "$root"
go build "${flags[@]}" -tags dev,webkit2_41 -o "$bin/strokeledger-dev" ./app
