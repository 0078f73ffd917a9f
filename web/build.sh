#!/usr/bin/env bash
# Builds the page into web/dist, from where the program's build takes it up; does nothing where that is done already.
#   web/build.sh          what the page is made of
#   web/build.sh --test   also what its tests need
# Needs node 18 or newer and npm, and the npm registry once. The program builds without any of this: then it has a plain page of its own.
set -euo pipefail
cd "$(dirname "$0")"

what=page
[ "${1:-}" = --test ] && what=test
made_of() { { echo "$1"; node --version; find index.html package-lock.json vite.*.ts svelte.config.js tsconfig.json src public -type f -print0 | sort -z | xargs -0 sha256sum; } | sha256sum; }
tools_of() { { echo "$1"; node --version; sha256sum package-lock.json; } | sha256sum; }

mkdir -p build
if [ "$(cat build/tools_of_test 2>/dev/null)" != "$(tools_of test)" ] && [ "$(cat build/tools_of_$what 2>/dev/null)" != "$(tools_of $what)" ]; then
    rm -f build/tools_of_*
    [ $what = test ] && npm ci || npm ci --omit=dev
    tools_of $what >build/tools_of_$what
fi
if [ ! -f dist/carry.html ] || [ "$(cat build/made_of 2>/dev/null)" != "$(made_of page)" ]; then
    npm run build
    made_of page >build/made_of
fi
