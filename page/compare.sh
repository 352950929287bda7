#!/usr/bin/env bash
# Builds the page from its sources and compares it with the one that is committed.
set -euo pipefail
cd "$(dirname "$0")"
fresh=$(mktemp -d)
trap 'rm -rf "$fresh"' EXIT
npx --no-install openapi-typescript openapi.json -o "$fresh/contract.d.ts" >/dev/null
npm run --silent check
npx --no-install vite build --outDir "$fresh/static" --logLevel error
if ! diff -q "$fresh/contract.d.ts" src/server/contract.d.ts || ! diff -rq "$fresh/static" ../src/gapwright/web/static; then
    echo "the committed page is not the one that its sources give: run make page and commit what it writes" >&2
    exit 1
fi
echo "the committed page is the one that its sources give"
