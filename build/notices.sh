#!/usr/bin/env bash
# Prints the program's own licence in one paragraph, and those of everything that is
# compiled into it or embedded in its page, each in full.
. "$(dirname "$0")/env.sh"
cd "$root"

# notice NAME VERSION FOLDER: its licence, or a word that it has none.
notice() {
	local file found=
	printf '\n%s\n%s %s\n' "$(printf '=%.0s' {1..72})" "$1" "$2"
	for file in "$3"/*; do
		case $(basename "$file" | tr '[:upper:]' '[:lower:]') in
		licen[sc]e* | copying* | notice* | unlicense*)
			[ -f "$file" ] || continue
			printf '\n'
			cat "$file"
			found=yes
			;;
		esac
	done
	[ -n "$found" ] || die "$1 has no licence in its folder: look at where it comes from before you give the program away."
}

cat <<'END'
Strokeledger is free software: GPL-3.0-or-later (see LICENSE in its sources, or
/usr/share/common-licenses/GPL-3). It calls FFmpeg's libraries, which with
libx264 are under the GPL, version 2 or later. They, GTK and WebKitGTK are the
system's own and bring their notices with them.

What follows is compiled into the program or embedded in its page.
END
notice Go "$(go env GOVERSION)" "$(go env GOROOT)"
go list "${flags[@]}" -tags "$tags" -deps -f '{{with .Module}}{{if not .Main}}{{.Path}} {{.Version}} {{.Dir}}{{end}}{{end}}' ./app | sort -u | while read -r path version dir; do
	notice "$path" "$version" "$dir"
done
printf '\n%s\nSQLite, in github.com/mattn/go-sqlite3: dedicated to the public domain by its authors.\n' "$(printf '=%.0s' {1..72})"
cd frontend
# Of this package two networks are embedded, and it names its licence without a copy.
pose=node_modules/@mediapipe/pose
[ "$(node -p "require('./$pose/package.json').license")" = Apache-2.0 ] || die "The licence of @mediapipe/pose has changed: look at it before you give the program away."
printf '\n%s\n@mediapipe/pose %s\n' "$(printf '=%.0s' {1..72})" "$(node -p "require('./$pose/package.json').version")"
cat <<'END'

Copyright The MediaPipe Authors. Licensed under the Apache License, version 2.0.
Two of its files are embedded, unchanged: pose_landmark_full.tflite and the
network in pose_solution_packed_assets.data, pose_detection.tflite. Nothing else
of it is, and none of its code is run.

END
cat /usr/share/common-licenses/Apache-2.0 || die "The text of the Apache License is missing: it is in Debian's package base-files."
# Svelte's runtime is bundled though it is a tool of development to npm.
{
	npm ls --omit=dev --all --parseable 2>/dev/null | tail -n +2
	printf '%s\n' "$PWD/node_modules/svelte"
} | sort -u | while read -r dir; do
	notice "$(node -p "require('$dir/package.json').name")" "$(node -p "require('$dir/package.json').version")" "$dir"
done
