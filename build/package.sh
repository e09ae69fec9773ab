#!/usr/bin/env bash
# Makes build/bin/strokeledger_VERSION_ARCH.deb for the Debian that it runs on.
. "$(dirname "$0")/env.sh"
cd "$root"
bash build/setup.sh
bash build/build.sh

version=$(sed -n 's/.*"productVersion": "\(.*\)".*/\1/p' wails.json)
arch=$(dpkg --print-architecture)
stage=$bin/package
rm -rf "$stage"
install -D -m 755 "$bin/strokeledger" "$stage/usr/bin/strokeledger"
install -D -m 644 build/desktop/strokeledger.desktop "$stage/usr/share/applications/strokeledger.desktop"
install -D -m 644 build/desktop/strokeledger.png "$stage/usr/share/icons/hicolor/256x256/apps/strokeledger.png"
install -D -m 644 build/desktop/strokeledger.svg "$stage/usr/share/icons/hicolor/scalable/apps/strokeledger.svg"
install -D -m 644 README.md "$stage/usr/share/doc/strokeledger/README.md"
bash build/notices.sh >"$bin/copyright"
install -D -m 644 "$bin/copyright" "$stage/usr/share/doc/strokeledger/copyright"

# What the program itself asks the loader for, as Debian calls it.
owner() {
	local path
	path=$(ldconfig -p | sed -n "s/.*[[:space:]]$1 .*=> //p" | head -n 1)
	# The loader's path may be a link that no package knows by this name.
	{ dpkg-query -S "$path" || dpkg-query -S "$(readlink -f "$path")"; } 2>/dev/null | sed 's/:.*//' | head -n 1
}
needs=$(objdump -p "$bin/strokeledger" | sed -n 's/ *NEEDED *//p' | while read -r lib; do
	owner "$lib" || die "No package owns $lib."
done | sort -u | paste -sd, | sed 's/,/, /g')

mkdir -p "$stage/DEBIAN"
cat >"$stage/DEBIAN/control" <<END
Package: strokeledger
Version: $version
Architecture: $arch
Maintainer: The Strokeledger team <strokeledger@localhost>
Section: video
Priority: optional
Depends: $needs
Recommends: gstreamer1.0-plugins-base, gstreamer1.0-plugins-good
Description: stroke faults per player and drill, from table-tennis training clips
 Step through training clips frame by frame, mark stroke faults with the
 team's own codes, and read fault rates per player and drill. Everything stays
 on this computer.
END
dpkg-deb --build --root-owner-group "$stage" "$bin/strokeledger_${version}_$arch.deb" >/dev/null
say "Made build/bin/strokeledger_${version}_$arch.deb; install it with: apt install ./build/bin/strokeledger_${version}_$arch.deb"
