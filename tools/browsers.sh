#!/bin/sh
# Puts the two browser engines that the tests drive on this machine: Chromium and WebKitGTK, from the system's packages.
# Installs what is missing where that is possible; otherwise says what to install. A missing engine is never passed over.
set -eu

have_webkit() {
    /usr/bin/python3 -c "import gi; gi.require_version('WebKit2', '4.1'); from gi.repository import WebKit2" 2>/dev/null
}

missing=""
command -v chromium >/dev/null 2>&1 || missing="$missing chromium"
have_webkit || missing="$missing gir1.2-webkit2-4.1 python3-gi"
command -v Xvfb >/dev/null 2>&1 || missing="$missing xvfb"
command -v strace >/dev/null 2>&1 || missing="$missing strace"
fc-list 2>/dev/null | grep -q . || missing="$missing fontconfig fonts-dejavu-core"
[ -z "$missing" ] && exit 0

if [ "$(id -u)" = 0 ] && command -v apt-get >/dev/null 2>&1; then
    echo "Installing for the tests:$missing"
    apt-get update -qq
    # Only quicker than the browser itself, so nothing is missing where the system has no such package.
    [ -z "$(apt-cache search --names-only '^chromium-headless-shell$')" ] || missing="$missing chromium-headless-shell"
    # shellcheck disable=SC2086
    DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends $missing >/dev/null
    exit 0
fi

echo "The tests need these system packages, and this user cannot install them:$missing" >&2
echo "On Debian or Ubuntu write:  sudo apt-get install --no-install-recommends$missing" >&2
exit 1
