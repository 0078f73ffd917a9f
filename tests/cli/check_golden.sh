#!/bin/bash
# The reports of the examples are those in tests/cli/golden, read line by line when they were put there. After a wanted
# change:  bash tests/cli/check_golden.sh build/debug/leeway --renew  and read the difference before committing it.
set -u
program=$(realpath "$1") renew=${2:-} failed=0
export LC_ALL=C.UTF-8 TZ=UTC
unset COLUMNS NO_COLOR

check() { # name, arguments of leeway
    local name=tests/cli/golden/$1.txt
    shift
    if [ "$renew" = --renew ]; then
        mkdir -p tests/cli/golden
        "$program" "$@" >"$name" || exit 1
        echo "renewed $name"
    elif ! "$program" "$@" | diff -u "$name" -; then
        echo "leeway $* differs from $name" >&2
        failed=1
    fi
}

check ten-lines outlook examples/ten-lines.yaml --draws 1
check ten-lines-draws outlook examples/ten-lines.yaml --draws 200 --details
check winter-trailer-si outlook examples/winter-trailer.yaml --draws 1 --units si
COLUMNS=100 check what-if outlook examples/ten-lines.yaml --draws 1 --what-if "crew=2 adults"
exit $failed
