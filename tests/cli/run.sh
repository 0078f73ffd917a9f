#!/bin/bash
# Runs the command line cases of one file: bash tests/cli/run.sh build/debug/leeway tests/cli/options.case
# In the source folder. Lines of a case:
#   $ command       one bash command line; a new one begins a new case; $TMP is an empty folder
#   ! 2             exit code wanted; 0 when not said (of the last part of a pipe)
#   1> text         standard output, line by line; without such a line it is not looked at
#   1= nothing      standard output is empty
#   1~ pattern      a line of standard output matches (extended regular expression)
#   1! pattern      no line of it does
#   2> 2~ 2!        the same for standard error, which without any is empty
#   # text          what the case is about
set -u
program=$1 cases=$2
here=$(mktemp -d) || exit 1
trap 'rm -rf "$here"' EXIT
PATH=$(dirname "$(realpath "$program")"):$PATH
export PATH TMP="$here/files" XDG_DATA_HOME="$here/nobody" LC_ALL=C.UTF-8 TERM=xterm TZ=UTC
unset COLUMNS NO_COLOR
mkdir "$TMP"
failed=0 count=0 command= line=0

complain() {
    echo "$cases:$line: $1" >&2
    echo "  command: $command" >&2
    failed=1
}

matches() { # file, pattern
    grep -qE -- "$2" "$1"
}

check() {
    [ -z "$command" ] && return
    count=$((count + 1))
    bash -c "$command" >"$here/out" 2>"$here/err" </dev/null
    local code=$? pattern
    [ "$code" = "$want_code" ] || complain "exit code $code, want $want_code; standard error: $(head -3 "$here/err")"
    if [ "$has_out" = 1 ] && ! diff -u "$here/want_out" "$here/out" >"$here/diff"; then
        complain "standard output differs"
        cat "$here/diff" >&2
    fi
    if [ "$has_err" = 1 ] && ! diff -u "$here/want_err" "$here/err" >"$here/diff"; then
        complain "standard error differs"
        cat "$here/diff" >&2
    elif [ "$has_err" = 0 ] && [ -s "$here/err" ]; then
        complain "standard error holds: $(head -3 "$here/err")"
    fi
    for pattern in "${yes_out[@]}"; do
        matches "$here/out" "$pattern" || complain "no line of standard output matches: $pattern"
    done
    for pattern in "${no_out[@]}"; do
        matches "$here/out" "$pattern" && complain "a line of standard output matches: $pattern"
    done
    for pattern in "${yes_err[@]}"; do
        matches "$here/err" "$pattern" || complain "no line of standard error matches: $pattern ($(head -1 "$here/err"))"
    done
    for pattern in "${no_err[@]}"; do
        matches "$here/err" "$pattern" && complain "a line of standard error matches: $pattern"
    done
}

begin() {
    command=$1 want_code=0 has_out=0 has_err=0 yes_out=() no_out=() yes_err=() no_err=()
    : >"$here/want_out"
    : >"$here/want_err"
}

begin ""
while IFS= read -r text || [ -n "$text" ]; do
    line=$((line + 1))
    case $text in
    '$ '*) check; begin "${text#??}" ;;
    '! '*) want_code=${text#??} ;;
    '1> '* | '1>') has_out=1; text=${text#1>}; echo "${text# }" >>"$here/want_out" ;;
    '1= nothing') has_out=1 ;;
    '1~ '*) yes_out+=("${text#???}") ;;
    '1! '*) no_out+=("${text#???}") ;;
    '2> '*) has_err=1; echo "${text#???}" >>"$here/want_err" ;;
    '2~ '*) has_err=2; yes_err+=("${text#???}") ;;
    '2! '*) has_err=2; no_err+=("${text#???}") ;;
    '' | '#'*) ;;
    *) echo "$cases:$line: not a line of a case: $text" >&2; exit 1 ;;
    esac
done <"$cases"
check
echo "$cases: $count cases"
[ "$count" -gt 0 ] || failed=1
exit $failed
