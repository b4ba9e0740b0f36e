#!/bin/sh
# Tells whether two releases hold the same: same_release.sh OLD NEW, each a release folder (such as current/) or a folder of several.
# Left out of the comparison: the program's version, the release's id and the times of its run. Prints each file that differs; exits 1 where one does.
set -eu
test $# -eq 2 || { echo "usage: same_release.sh OLD NEW" >&2; exit 2; }
old=$(cd "$1" && pwd) new=$(cd "$2" && pwd)
scratch=$(mktemp -d)
trap 'rm -rf "$scratch"' EXIT

# A digest and a path a line. Texts lose what a run alone gives them; the digests in the manifest follow from the files themselves.
list() {
    (cd "$1" && find . -type f ! -name manifest.json ! -name '*.out' | LC_ALL=C sort | while IFS= read -r file; do
        case $file in
        *.html | *.json | *.txt)
            digest=$(sed -E -e 's/[0-9]{8}T[0-9]{6}Z(-[0-9]+)?/RELEASE/g' -e 's/"(version|commit|began_at|ended_at)": *"[^"]*"/"\1": ""/g' \
                -e 's/<span class="version">[^<]*</<span class="version"></g' "$file" | sha256sum) ;;
        *) digest=$(sha256sum <"$file") ;;
        esac
        echo "${digest%% *} $file"
    done) >"$2"
}
list "$old" "$scratch/old"
list "$new" "$scratch/new"
if diff "$scratch/old" "$scratch/new" | sed -n 's/^\([<>]\) [0-9a-f]* /\1 /p' | LC_ALL=C sort -k 2 -u | cut -c 3- | grep .; then
    exit 1
fi
echo "the same: $(wc -l <"$scratch/new") files"
