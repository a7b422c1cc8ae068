#!/usr/bin/env bash
# Installs what the tests of the editors drive, where it is missing: Debian's
# editors, and the packages of the VS Code extension (Node and npm must be there).
set -euo pipefail
cd "$(dirname "$0")"

declare -A package=(
  [nvim]=neovim
  [vim]=vim
  [emacs]=emacs-nox
  [kak]=kakoune
  [kate-syntax-highlighter]=libkf5syntaxhighlighting-tools
)
wanted=()
for program in "${!package[@]}"; do
  command -v "$program" >/dev/null || wanted+=("${package[$program]}")
done
[ -d /usr/share/vim-ale ] || wanted+=(vim-ale)
for name in eglot markdown-mode; do
  compgen -G "/usr/share/emacs/site-lisp/elpa/$name-*" >/dev/null || wanted+=("elpa-$name")
done
if [ ${#wanted[@]} -gt 0 ]; then
  apt-get update -qq
  DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends "${wanted[@]}"
fi

(cd vscode && npm ci --ignore-scripts --no-audit --no-fund --silent)
