#!/bin/sh
# Reruns every reference calculation in R and compares with the committed inputs and results. Status 1 when something differs.
# run.sh --update writes the results anew instead.
set -eu
cd "$(dirname "$0")"
command -v Rscript >/dev/null || { echo "Rscript is missing: apt-get install r-base-core r-cran-lme4 r-cran-lmertest r-cran-numderiv r-cran-jsonlite" >&2; exit 1; }
folder=$(mktemp -d)
trap 'rm -rf "$folder"' EXIT
if [ "${1:-}" = "--update" ]; then
    target=results
    Rscript make_data.R
else
    target=$folder/results
    mkdir -p "$target" "$folder/data"
    cp make_data.R "$folder/"
    (cd "$folder" && Rscript make_data.R)
    for file in "$folder"/data/*.csv; do
        cmp "$file" "data/$(basename "$file")"
    done
fi
for script in mixed prediction statistics learning beside comparison; do
    Rscript "$script.R" "$target"
done
Rscript compare.R results "$target"
