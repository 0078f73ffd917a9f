#!/bin/bash
# Every scenario of tests/bad is refused: exit code 2, nothing on standard output, one line on standard error that names
# the file and holds what the scenario's first line says ("# expect: ...").
set -u
program=$(realpath "$1") count=0 failed=0
for file in tests/bad/*.yaml; do
    [ -e "$file" ] || break
    [ "$file" = tests/bad/no-arrival.yaml ] && continue # the command line arrives now
    count=$((count + 1))
    want=$(sed -n '1s/^# expect: //p' "$file")
    said=$("$program" outlook "$file" 2>&1 >/dev/null)
    code=$?
    out=$("$program" outlook "$file" 2>/dev/null)
    if [ $code != 2 ] || [ -n "$out" ] || [ "$(printf '%s\n' "$said" | wc -l)" != 1 ] || [ -z "$want" ] ||
        [[ $said != "leeway: $file"* ]] || [[ $said != *"$want"* ]]; then
        printf '%s: exit code %s, standard output %s bytes\n  said: %s\n  want: %s\n' "$file" $code ${#out} "$said" "$want" >&2
        failed=1
    fi
done
echo "$count bad scenarios"
[ $count -gt 0 ] || failed=1
exit $failed
