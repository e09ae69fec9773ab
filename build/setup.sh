#!/usr/bin/env bash
# Brings what building and running Strokeledger needs and this machine lacks.
#
#   bash build/setup.sh            to build and run
#   bash build/setup.sh --tests    the same, and what the tests need
#
# Debian's packages are installed with apt (as root, or through sudo); a Go or
# Node that Debian has only in an older version goes into build/tools, which
# nothing else sees. Run it again whenever you like: it does only what is left.
. "$(dirname "$0")/env.sh"

packages=(
	ca-certificates gcc g++ pkg-config
	# the window
	libgtk-3-dev libwebkit2gtk-4.1-dev
	# pictures and sound of a clip: FFmpeg 5.1
	libavcodec-dev libavformat-dev libavutil-dev libavfilter-dev
	libavdevice-dev libswscale-dev libswresample-dev libjpeg62-turbo-dev
	# playing a clip's sound in the window
	gstreamer1.0-plugins-base gstreamer1.0-plugins-good
)
for_tests=(ffmpeg chromium poppler-utils xvfb openbox xdotool imagemagick sqlite3 aubio-tools freetennis-common strace iproute2 shellcheck python3-opencv
	libreoffice-calc-nogui) # opens the workbook

case ${1:-} in
'') ;;
--tests) packages+=("${for_tests[@]}") ;;
*) say "Usage: bash build/setup.sh [--tests]" >&2; exit 2 ;;
esac

# shellcheck source=/dev/null
system=$(. /etc/os-release 2>/dev/null; echo "${ID:-}-${VERSION_ID:-}")
if [ "$system" != debian-12 ]; then
	cat >&2 <<END
This is not Debian 12, so nothing was installed. Install what your system calls
these Debian packages (FFmpeg must be of the 5.1 series):
  ${packages[*]}
and Go $go_wanted or newer, and Node $node_wanted. Then: bash build/build.sh
END
	exit 1
fi

as_root() {
	if [ "$(id -u)" = 0 ]; then
		"$@"
	elif command -v sudo >/dev/null; then
		sudo "$@"
	else
		die "Installing packages needs root: run this as root, or install sudo."
	fi
}

# install PACKAGE...: apt for those that are missing.
fresh_lists=
install() {
	local missing=() p
	for p in "$@"; do
		[ "$(dpkg-query -W -f '${Status}' "$p" 2>/dev/null)" = "install ok installed" ] || missing+=("$p")
	done
	[ ${#missing[@]} = 0 ] && return
	say "Installing with apt: ${missing[*]}"
	[ "$fresh_lists" ] || as_root apt-get -qq update
	fresh_lists=yes
	as_root env DEBIAN_FRONTEND=noninteractive apt-get -qq install -y --no-install-recommends "${missing[@]}" </dev/null >/dev/null
}

# An older Go can fetch a newer one: toolchains are modules, checked against the
# public checksum database like any other.
bring_go() {
	command -v go >/dev/null || install golang-go
	local arch fetched=$tools/fetch
	arch=$(dpkg --print-architecture)
	say "Fetching Go $go_wanted into build/tools."
	rm -rf "$fetched" "$tools/go"
	mkdir -p "$fetched"
	(
		cd "$fetched"
		echo "module fetch" >go.mod # or an old Go reads ours, and fails
		GOMODCACHE=$fetched/mod GOFLAGS=-modcacherw GO111MODULE=on \
			go mod download "golang.org/toolchain@v0.0.1-go$go_wanted.linux-$arch"
	)
	mv "$fetched/mod/golang.org/toolchain@v0.0.1-go$go_wanted.linux-$arch" "$tools/go"
	find "$tools/go/bin" "$tools/go/pkg/tool" -type f -exec chmod +x {} +
	rm -rf "$fetched"
}

# Node is on npm too, one package an architecture.
bring_node() {
	command -v npm >/dev/null || install npm
	local arch
	case $(dpkg --print-architecture) in
	amd64) arch=x64 ;;
	arm64) arch=arm64 ;;
	*) die "There is no Node $node_wanted on npm for this processor: install Node 20.19 or newer yourself." ;;
	esac
	say "Fetching Node $node_wanted into build/tools."
	rm -rf "$tools/node"
	mkdir -p "$tools/node"
	(cd "$tools/node" && npm install --prefix . --no-save --no-audit --no-fund --loglevel=error \
		"node-linux-$arch@$node_wanted" npm@11)
	ln -s "node_modules/node-linux-$arch/bin" "$tools/node/bin"
}

mkdir -p "$tools"
install "${packages[@]}"
go_is_enough || bring_go
node_is_enough || bring_node
. "$root/build/env.sh" # finds what was brought
go_is_enough || die "Go $go_wanted did not arrive: look at the messages above."
node_is_enough || die "Node $node_wanted did not arrive: look at the messages above."
modules
say "Ready: $(go env GOVERSION), Node $(node --version), FFmpeg $(pkg-config --modversion libavcodec | sed 's/^/libavcodec /')."
