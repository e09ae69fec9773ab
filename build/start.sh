#!/usr/bin/env bash
# The main job in one command: sets up, builds and opens the window on the
# invented club.
#
#   bash build/start.sh               the window
#   bash build/start.sh --headless    no window: prints the fault summary and
#                                     writes it as a page; also what happens
#                                     where there is no display
#
# The club is made on the first start in the user's data folder and kept, with
# whatever was marked in it.
. "$(dirname "$0")/env.sh"

headless=
case ${1:-} in
'') [ "${DISPLAY:-}${WAYLAND_DISPLAY:-}" ] || headless=yes ;;
--headless) headless=yes ;;
*) say "Usage: bash build/start.sh [--headless]" >&2; exit 2 ;;
esac

bash "$root/build/setup.sh"
bash "$root/build/build.sh"

club=${XDG_DATA_HOME:-$HOME/.local/share}/strokeledger/demo-club
program=$bin/strokeledger
# Without its stamp the making was broken off.
if [ ! -f "$club/.made" ]; then
	say "Making the invented club in $club."
	rm -rf "$club"
	mkdir -p "$(dirname "$club")"
	"$program" demo "$club" >/dev/null
	touch "$club/.made"
fi

if [ "$headless" ]; then
	"$program" --library "$club/library" summary --format text
	"$program" --library "$club/library" summary --format html --out "$club/fault-summary.html" >/dev/null
	say "The same as a page, with pictures: $club/fault-summary.html"
else
	exec "$program" --library "$club/library"
fi
