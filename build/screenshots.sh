#!/usr/bin/env bash
# Draws the pictures of the README and of the guide anew, from the invented club.
. "$(dirname "$0")/env.sh"
bash "$root/build/setup.sh" --tests
bash "$root/build/build.sh"
bash "$root/build/e2e/developer.sh"
scratch=$(mktemp -d)
trap 'rm -rf "$scratch"' EXIT
"$bin/strokeledger" demo "$scratch/club"
"$bin/strokeledger" demo "$scratch/two" --second-coach
node "$root/build/e2e/screenshots.mjs" "$scratch/club/library"
node "$root/build/e2e/guidepictures.mjs" "$scratch/two/library"
