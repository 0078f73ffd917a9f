#!/usr/bin/env bash
# A map of land in the forms that GDAL writes tells the same at each point, and the same as GDAL itself, which is asked for the areas around
# it. Left out where ogr2ogr is not installed.
set -euo pipefail
program=$(realpath "$1") here=$(mktemp -d)
trap 'rm -rf "$here"' EXIT
command -v ogr2ogr >/dev/null && command -v ogrinfo >/dev/null || exit 77
from=tests/reference/land/land.geojson
points="38.51,-112.52 38.22,-112.12 38.29,-112.19 38.45,-112.39"

said() { # of the book
    for at in $points; do
        echo "$at $("$program" places at "$at" --book "$here/book.sqlite" --json |
            python3 -c 'import json, sys; print(sorted(l["name"] for l in json.load(sys.stdin)["lands"]))')"
    done
}

for at in $points; do
    lat=${at%,*} lon=${at#*,}
    ogr2ogr -f GeoJSON "$here/around.json" $from -spat "$lon" "$lat" "$lon" "$lat"
    echo "$at $(python3 -c 'import json, sys; print(sorted(f["properties"]["Unit_Nm"] for f in json.load(open(sys.argv[1]))["features"]))' "$here/around.json")"
done >"$here/want"
ogr2ogr -f GPKG "$here/land.gpkg" $from
ogr2ogr -f GPKG -t_srs EPSG:3857 "$here/metres.gpkg" $from -where "Unit_Nm <> 'Seam'" 2>/dev/null
ogr2ogr "$here/land.shp" $from -where "Unit_Nm <> 'A gate'" 2>/dev/null
(cd "$here" && python3 -m zipfile -c land.zip land.shp land.shx land.dbf land.prj)
for file in $from "$here/land.gpkg" "$here/metres.gpkg" "$here/land.shp" "$here/land.zip"; do
    rm -f "$here"/book.sqlite*
    "$program" import "$file" --book "$here/book.sqlite" >/dev/null
    said >"$here/got"
    diff "$here/want" "$here/got" || { echo "$file tells otherwise than GDAL"; exit 1; }
done

# Roads: the same in each form.
roads=tests/reference/roads/roads.geojson
ogr2ogr -f GPKG "$here/roads.gpkg" $roads -where "OGR_GEOMETRY <> 'POINT'" -nlt MULTILINESTRING 2>/dev/null
ogr2ogr -f GeoJSONSeq "$here/roads.jsons" $roads
for file in $roads "$here/roads.gpkg" "$here/roads.jsons"; do
    rm -f "$here"/book.sqlite*
    "$program" import "$file" --book "$here/book.sqlite" | grep -q ': 3 new, 0 updated, 0 gone; roads' || { echo "$file: other roads"; exit 1; }
    "$program" import tests/reference/places/services.geojson --book "$here/book.sqlite" >/dev/null
    printf 'lat,lon,name\n38.1,-112.4014,Flat spot\n' >"$here/spot.csv"
    "$program" import "$here/spot.csv" --book "$here/book.sqlite" >/dev/null
    "$program" places search "flat spot" --book "$here/book.sqlite" | tr '\n' ' ' | tr -s ' ' | grep -q 'by Flat Road, track: gravel; high clearance; up to 11 %; dry weather only' ||
        { echo "$file tells another road"; exit 1; }
done

# Terrain through a GeoTIFF comes out as it was.
command -v gdalwarp >/dev/null || exit 0
zcat tests/reference/terrain/N38W112.hgt.gz >"$here/N38W112.hgt"
gunzip -c tests/reference/terrain/N38W112.hgt.gz | python3 -c '
import struct, sys
side = 121
raw = struct.unpack(">%dh" % side ** 2, sys.stdin.buffer.read())
print("ncols %d\nnrows %d\nxllcenter -112\nyllcenter 38\ncellsize %.15f\nNODATA_value -32768" % (side, side, 1 / (side - 1)))
for r in range(side):
    print(*raw[r * side:(r + 1) * side])' >"$here/heights.asc"
gdal_translate -q -a_srs EPSG:4326 -ot Int16 "$here/heights.asc" "$here/heights.tif"
"$program" import "$here/heights.tif" --book "$here/book.sqlite" | grep -q '1 tile of 1201 x 1201 heights, 1500 to 2500 m'
python3 - "$here" <<'HEIGHTS'
import struct, sys
here = sys.argv[1]
few = struct.unpack(">%dh" % 121 ** 2, open(here + "/N38W112.hgt", "rb").read())
many = struct.unpack(">%dh" % 1201 ** 2, open(here + "/terrain/N38W112.hgt", "rb").read())
for r in range(121):
    for c in range(121):
        got, want = many[r * 10 * 1201 + c * 10], few[r * 121 + c]
        assert got == want, "row %d, column %d: %d, want %d" % (r, c, got, want)
HEIGHTS
