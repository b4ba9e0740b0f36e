#!/bin/sh
# Fills assets/vendor/ with the chart library that package.json pins. Run from anywhere, before go build.
set -eu
cd "$(dirname "$0")"
npm ci --ignore-scripts --no-audit --no-fund
rm -rf assets/vendor
mkdir -p assets/vendor
for file in dist/echarts.min.js LICENSE NOTICE; do
    cp "node_modules/echarts/$file" assets/vendor/
done
cp node_modules/zrender/LICENSE assets/vendor/LICENSE-zrender
cp node_modules/tslib/LICENSE.txt assets/vendor/LICENSE-tslib
