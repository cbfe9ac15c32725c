#!/bin/sh
# Pins every package with its hashes: requirements/run.lock builds and serves, requirements/dev.lock tests.
set -eu
dir=$(mktemp -d)
trap 'rm -rf "$dir"' EXIT
python3 -m venv "$dir/v"
"$dir/v/bin/pip" install --quiet uv
for group in run dev; do
    "$dir/v/bin/uv" pip compile --quiet --generate-hashes --no-header --no-annotate --universal --python-version 3.11 \
        --default-index https://pypi.org/simple --group "$group" --output-file "$dir/$group.lock" pyproject.toml
    mv "$dir/$group.lock" "requirements/$group.lock"
done
