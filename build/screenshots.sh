#!/usr/bin/env bash
# Draws the pictures of the README anew, from the invented club.
. "$(dirname "$0")/env.sh"
bash "$root/build/setup.sh" --tests
bash "$root/build/build.sh"
bash "$root/build/e2e/developer.sh"
scratch=$(mktemp -d)
trap 'rm -rf "$scratch"' EXIT
"$bin/strokeledger" demo "$scratch/club"
node "$root/build/e2e/screenshots.mjs" "$scratch/club/library"
