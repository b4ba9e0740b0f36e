#!/bin/sh
# Makes a district folder of a real month of raw airport reports and the demo's routes: build.sh DIR
# Then: lanetally nightly DIR. The reports come from the data folder, by default shared/data beside the repository.
set -eu
test $# -eq 1 || { echo "usage: build.sh DIR" >&2; exit 2; }
here=$(cd "$(dirname "$0")" && pwd)
data=${LANETALLY_DATA:-$here/../../../shared/data}
test -f "$data/airport-2014-01.metar" || { echo "no airport-2014-01.metar in $data; set LANETALLY_DATA" >&2; exit 1; }
mkdir -p "$1/inbox/weather"
cp -R "$here/district.toml" "$here/reference" "$1/"
cp -R "$here/inbox/passes" "$1/inbox/"
cp "$data/airport-2014-01.metar" "$1/inbox/weather/"
