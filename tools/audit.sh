#!/bin/sh
# Looks every pinned package up among the published advisories, and sees to it that each has its hashes.
# Exit 0: nothing known, 1: an advisory or a missing hash, 2: the advisories could not be reached, so nothing is known.
set -u
cd "$(dirname "$0")/.."
dir=$(mktemp -d)
trap 'rm -rf "$dir"' EXIT
bad=0

for group in run dev; do
    lock=requirements/$group.lock
    # A pinned package is a line that begins with its name; it ends with the last of its hashes.
    bare=$(awk '/^[A-Za-z0-9]/ { if (name && !hashes) print name; name = $1; hashes = 0 }
                /--hash=sha256:[0-9a-f]+/ { hashes++ }
                END { if (name && !hashes) print name }' "$lock")
    loose=$(awk '/^[A-Za-z0-9]/ && $1 !~ /==/ { print $1 }' "$lock")
    if [ -n "$bare$loose" ]; then
        echo "$lock: without a hash or a version:" $bare $loose
        bad=1
    else
        echo "$lock: $(grep -c '^[A-Za-z0-9]' "$lock") packages, each with its version and its hashes."
    fi
done

# A tool of its own, in a place of its own: what it brings along is no part of Handturn.
python3 -m venv "$dir/venv" && "$dir/venv/bin/pip" install --quiet --disable-pip-version-check pip-audit >"$dir/said" 2>&1
if [ ! -x "$dir/venv/bin/pip-audit" ]; then
    tail -n 3 "$dir/said"
    echo "The package registry could not be reached, so nothing was looked up. Try again with a network."
    exit 2
fi
for group in run dev; do
    # --disable-pip: the lock is complete, so nothing is resolved or installed.
    "$dir/venv/bin/pip-audit" --require-hashes --disable-pip --progress-spinner off --timeout 20 --format json \
        -r "requirements/$group.lock" >"$dir/found" 2>"$dir/said"
    "$dir/venv/bin/python" - "requirements/$group.lock" "$dir/found" "$dir/said" <<'END'
import json, sys

lock, found, said = sys.argv[1:]
try:
    packages = json.load(open(found))["dependencies"]
except (ValueError, KeyError):
    print(*open(said).read().strip().splitlines()[-2:], sep="\n")
    packages = []
known = [(p["name"], p["version"], v) for p in packages for v in p.get("vulns", ())]
skipped = [p["name"] for p in packages if "skip_reason" in p]
for name, version, advisory in known:
    print(f"{name} {version}: {advisory['id']}, mended in {', '.join(advisory['fix_versions']) or 'no version yet'}")
looked_up = len(packages) - len(skipped)
print(f"{lock}: {looked_up} packages looked up, {len(known)} advisories.")
if skipped or not packages:
    print(f"{lock}: of {len(skipped) or 'all'} the advisories could not be reached, so nothing is known of them.")
sys.exit(1 if known else 2 if skipped or not packages else 0)
END
    code=$?
    [ "$code" -eq 0 ] || [ "$bad" -eq 1 ] || bad=$code
done
exit $bad
