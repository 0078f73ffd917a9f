#!/usr/bin/env bash
# Extracts as osmium-tool writes them, in every way that it has, give the same places; and its own GeoJSON, with areas put together
# by it, gives them too. Left out where osmium is not installed.
set -euo pipefail
program=$(realpath "$1") here=$(mktemp -d)
trap 'rm -rf "$here"' EXIT
command -v osmium >/dev/null || exit 77
from=tests/reference/places/region.osm

rows() { # FILE: one line a place, in order
    rm -f "$here/book.sqlite"
    "$program" import "$1" --source s --book "$here/book.sqlite" >/dev/null
    for spot in 38.3,-112.5 52,-179.99; do
        "$program" places near $spot --within 200km --limit 100 --json --book "$here/book.sqlite"
    done | python3 -c '
import json, sys
text, rows, at = sys.stdin.read(), [], 0
while text[at:].strip():
    answer, at = json.JSONDecoder().raw_decode(text, at + len(text[at:]) - len(text[at:].lstrip()))
    rows += answer["places"]
for r in rows:
    if r["kinds"] != ["place"]:
        print(r["name"], "+".join(r["kinds"]), r["is_drinkable"], "%.6f %.6f" % (r["latitude_deg"], r["longitude_deg"]))
' | LC_ALL=C sort
}

rows $from >"$here/want"
[ "$(wc -l <"$here/want")" = 14 ] || { cat "$here/want"; echo "14 places are wanted"; exit 1; }
osmium sort -O $from -o "$here/sorted.osm"
write() { osmium cat -O "$here/sorted.osm" -o "$1" -f "$2"; }
write "$here/plain.osm.pbf" pbf
write "$here/raw.osm.pbf" pbf,pbf_compression=none
write "$here/sparse.osm.pbf" pbf,pbf_dense_nodes=false,add_metadata=false
write "$here/packed.osm.gz" osm
osmium cat "$here/sorted.osm" -f osm | gzip >"$here/packed.osm.gz"
osmium add-locations-to-ways "$here/plain.osm.pbf" -O -o "$here/located.osm.pbf" 2>/dev/null ||
    osmium add-locations-to-ways --ignore-missing-nodes "$here/plain.osm.pbf" -O -o "$here/located.osm.pbf"
osmium export --geometry-types=point,polygon -u type_id $from -f geojson -O -o "$here/areas.geojson"
for file in plain.osm.pbf raw.osm.pbf sparse.osm.pbf packed.osm.gz located.osm.pbf areas.geojson; do
    rows "$here/$file" >"$here/got"
    diff "$here/want" "$here/got" || { echo "$file gives other places"; exit 1; }
done
