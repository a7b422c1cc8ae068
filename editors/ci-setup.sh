#!/usr/bin/env bash
# Installs what the tests of this folder drive: editors from Debian, libraries from npm.
# What is there already is left alone.
set -euo pipefail
cd "$(dirname "$0")"

debian=(
  neovim vim vim-ale kakoune libkf5syntaxhighlighting-tools
  emacs-nox elpa-eglot elpa-markdown-mode
  kate xvfb dbus-daemon
  chromium nodejs npm
)
# What the VS Code build is made of.
installer=../../shared/tools/vscode-server-install.sh
vscode=${XDG_CACHE_HOME:-$HOME/.cache}/sewable-editors/vscode
build_vscode=
if [ -x "$installer" ] && [ ! -e "$vscode/complete" ]; then
  build_vscode=yes
  debian+=(ripgrep libkrb5-dev libx11-dev libxkbfile-dev libsecret-1-dev pkg-config g++ make python3)
fi

missing=()
for package in "${debian[@]}"; do
  case $package in
    nodejs | npm) command -v "${package%js}" >/dev/null && continue ;; # of whatever origin
  esac
  dpkg-query -W -f '${Status}' "$package" 2>/dev/null | grep -q '^install ok' || missing+=("$package")
done
if [ ${#missing[@]} -gt 0 ]; then
  echo "installing ${missing[*]}"
  apt-get update -qq
  DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends "${missing[@]}" >/dev/null
fi

# npm notes what it installed; the lock file says what should be there.
if ! npm ls --prefix vscode --all >/dev/null 2>&1; then
  echo "installing the packages of editors/vscode"
  npm ci --prefix vscode --ignore-scripts --no-audit --no-fund --silent
fi

if [ -n "$build_vscode" ]; then
  echo "making a VS Code build"
  rm -rf "$vscode"
  "$installer" "$vscode" >/dev/null
  touch "$vscode/complete"
fi
