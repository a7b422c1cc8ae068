#!/usr/bin/env bash
# Packages the extension as dist/sewable.vsix.
# Usage: package.sh, after `npm ci --ignore-scripts`.
set -euo pipefail
cd "$(dirname "$0")"
mkdir -p dist
cp ../../LICENSE LICENSE
trap 'rm -f LICENSE' EXIT
cp ../../lint/rules/docs/sewable.schema.json dist/
npm run --silent build
# The licences of what the build takes in.
npm ls --omit=dev --all --parseable | tail -n +2 | sort | while read -r package; do
  printf '== %s\n\n' "${package##*node_modules/}"
  cat "$package"/[Ll][Ii][Cc][Ee][Nn][SsCc][Ee]*
  printf '\n'
done >dist/THIRD-PARTY.txt
npx --no-install vsce package --no-dependencies --skip-license --allow-missing-repository --out dist/sewable.vsix
