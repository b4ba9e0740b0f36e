#!/bin/sh
# Fills assets/vendor/ with a build of the chart library that holds only what echarts.mjs takes from it, at the versions that
# package-lock.json pins, and the licences of what is in the build. Run from anywhere, before go build. The same inputs
# give the same bytes.
set -eu
cd "$(dirname "$0")"
npm ci --ignore-scripts --no-audit --no-fund
rm -rf assets/vendor
mkdir -p assets/vendor
for file in LICENSE NOTICE; do
    cp "node_modules/echarts/$file" assets/vendor/
done
cp node_modules/echarts/licenses/LICENSE-d3 assets/vendor/
cp node_modules/zrender/LICENSE assets/vendor/LICENSE-zrender
cp node_modules/tslib/LICENSE.txt assets/vendor/LICENSE-tslib
node_modules/.bin/esbuild echarts.mjs --bundle --minify --format=iife --global-name=echarts --target=es2020 --legal-comments=eof \
    --define:process.env.NODE_ENV='"production"' --log-level=warning --outfile=assets/vendor/echarts.min.js
