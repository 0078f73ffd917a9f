#!/bin/bash
# leeway batch as a partner in talk: a program that writes a line and waits, one that goes away, one that interrupts; and the
# examples of docs/use/batch.md.
set -u
PATH=$(dirname "$(realpath "$1")"):$PATH
here=$(mktemp -d) failed=0
trap 'rm -rf "$here"' EXIT
camp='{"leeway":1,"rig":"van","crew":"2 adults","place":{"latitude":"38.2 N","longitude":"111.1 W"},"stay":{"arrive":"2026-06-08 15:00"}}'

complain() {
    echo "$1" >&2
    failed=1
}

# An answer comes while the input stays open, time after time.
coproc talk { exec leeway batch --draws 1; }
pid=$talk_PID
exec 5<&"${talk[0]}" 6>&"${talk[1]}"
for id in 1 2 3; do
    echo "{\"id\":$id,\"scenario\":$camp}" >&6
    read -r -t 60 answer <&5 || complain "no answer to line $id while the input stays open"
    [[ $answer == "{\"schema\":\"leeway.batch/1\",\"line\":$id,\"id\":$id,\"outlook\":{"*"}}" ]] ||
        complain "line $id is answered by ${answer:0:200}"
done

# Interrupted while it waits: it ends, by that signal, and has written nothing but whole lines.
kill -TERM "$pid"
wait "$pid"
code=$?
[ $code = 143 ] || complain "ended by SIGTERM with exit code $code, want 143"
[ -z "$(cat <&5)" ] || complain "something stands behind the last answer"
exec 5<&- 6>&-

# Interrupted at work on lines that would take minutes.
yes "$camp" | head -200 >"$here/lines"
leeway batch --draws 1000000 "$here/lines" >"$here/out" &
pid=$!
sleep 1
kill -TERM $pid
began=$SECONDS
wait $pid
code=$?
[ $code = 143 ] || complain "ended at work by SIGTERM with exit code $code, want 143"
[ $((SECONDS - began)) -lt 20 ] || complain "it took $((SECONDS - began)) s to stop"
[ "$(tail -c 1 "$here/out" | wc -l)" = "$(head -c 1 "$here/out" | wc -c)" ] || complain "the last answer is cut"

# Nobody reads any more, and the input stays open: it ends by itself.
mkfifo "$here/in"
{ leeway batch --draws 1 <"$here/in"; echo $? >"$here/code"; } | head -1 >"$here/first" &
pid=$!
exec 6>"$here/in"
echo "$camp" >&6
for _ in $(seq 600); do
    [ -s "$here/code" ] && break
    sleep 0.1
done
[ "$(cat "$here/code" 2>&1)" = 0 ] || complain "it goes on though nobody reads: $(cat "$here/code" 2>&1)"
exec 6>&-
wait $pid
[ "$(wc -l <"$here/first")" = 1 ] || complain "the reader got no answer"

# The examples of the page: single lines, and programs.
awk '/^<!-- line -->/ { wanted = 1 } /^```json/ && wanted { inside = 1; next } /^```/ { inside = wanted = 0 } inside' \
    docs/use/batch.md >"$here/page"
[ "$(wc -l <"$here/page")" = 2 ] || complain "docs/use/batch.md: its lines are not found"
[ "$(leeway batch --draws 1 "$here/page" | grep -c '"outlook":{')" = 2 ] || complain "docs/use/batch.md: a line is not answered"
for kind in python sh; do
    awk -v fence="\`\`\`$kind" '/^<!-- runs -->/ { wanted = 1; next } $0 == fence && wanted { inside = 1; next }
        /^```/ { inside = wanted = 0 } inside' docs/use/batch.md >"$here/$kind"
    [ -s "$here/$kind" ] || complain "docs/use/batch.md: no example in $kind"
done
if command -v python3 >/dev/null; then
    python3 "$here/python" >"$here/out" || complain "the example in Python fails"
    grep -qE '^100 W: [0-9.]+ days$' "$here/out" || complain "the example in Python says: $(head -3 "$here/out")"
    cat "$here/out"
fi
if command -v jq >/dev/null; then
    bash "$here/sh" >"$here/out" || complain "the example in the shell fails"
    [ "$(grep -cE '^June [0-9]+: [a-z]+$' "$here/out")" = 4 ] || complain "the example in the shell says: $(head -5 "$here/out")"
    cat "$here/out"
fi
exit $failed
