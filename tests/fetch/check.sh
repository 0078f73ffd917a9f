#!/bin/bash
# leeway weather fetch against a server on this machine: what it says, its exit code, and that the last good forecast stays
# byte for byte through every failure.
#   bash tests/fetch/check.sh LEEWAY SERVER        in the source folder
set -u
program=$(realpath "$1") server=$(realpath "$2") good=tests/reference/forecast.json
here=$(mktemp -d) || exit 1
export LC_ALL=C.UTF-8 TZ=UTC HOME=$here/home XDG_CACHE_HOME=$here/cache no_proxy=127.0.0.1
unset http_proxy https_proxy all_proxy ALL_PROXY HTTPS_PROXY
mkdir "$HOME"
"$server" "$good" >"$here/port" &
serving=$!
trap 'kill $serving 2>/dev/null; wait $serving 2>/dev/null; rm -rf "$here"' EXIT
for _ in $(seq 50); do [ -s "$here/port" ] && break; sleep 0.1; done
base=http://127.0.0.1:$(cat "$here/port")
count=0 failed=0

complain() { echo "$1" >&2; failed=1; }

# refused KIND EXIT PATTERN: with a good forecast at hand, which must stay, and without any.
refused() {
    local said code
    count=$((count + 1))
    cp "$good" "$here/kept.json"
    said=$("$program" weather fetch --at 38.57,-109.55 --from "$base/$1" --save "$here/kept.json" --wait 1 2>&1)
    code=$?
    [ $code = "$2" ] || complain "$1: exit code $code, want $2 ($said)"
    [ "$(printf '%s\n' "$said" | wc -l)" = 1 ] || complain "$1: more than one line: $said"
    [[ $said =~ $3 ]] || complain "$1: said '$said', want $3"
    [[ $said =~ "the last good forecast, "[0-9]+" "(h|days)" old, stays in $here/kept.json"$ ]] || complain "$1: $said"
    cmp -s "$good" "$here/kept.json" || complain "$1: the last good forecast is not there any more"
    rm "$here/kept.json"
    said=$("$program" weather fetch --at 38.57,-109.55 --from "$base/$1" --save "$here/kept.json" --wait 1 2>&1)
    [[ $said =~ "there is no earlier forecast in" ]] || complain "$1: $said"
    [ -z "$(ls "$here" | grep kept)" ] || complain "$1: something was left behind: $(ls "$here")"
}

# accepted KIND FILE ARGUMENT...
accepted() {
    local kind=$1 file=$2 said
    shift 2
    count=$((count + 1))
    said=$("$program" weather fetch --from "$base/$kind" --wait 5 "$@" 2>&1) || complain "$kind: $said"
    cmp -s "$good" "$file" || complain "$kind: $file is not the forecast ($said)"
    [[ $said =~ "Made 2026-10-12T05:41:17Z" ]] || complain "$kind: said '$said'"
}

accepted good "$here/saved.json" --at 38.57,-109.55 --save "$here/saved.json"
accepted moved "$here/saved.json" --at 38.5700,-109.5500 --save "$here/saved.json"
accepted good "$here/cache/leeway/forecast_38.57_-109.55.json" --at 38.57,-109.55
printf '%s\n' 'leeway: 1' 'rig: class-c' 'crew: 2 adults' \
    'place: {latitude: 38.57 N, longitude: 109.55 W, elevation: 1400 m, zone: America/Denver}' \
    'stay: {arrive: 2026-10-12 10:00, leave: 2026-10-16 10:00}' 'weather: {forecast: beside.json}' >"$here/camp.yaml"
accepted good "$here/beside.json" "$here/camp.yaml"
"$program" outlook "$here/camp.yaml" >"$here/report" 2>&1 || complain "the outlook: $(cat "$here/report")"
grep -q 'a forecast to' "$here/report" || complain "the report does not tell of the forecast"

# A link stays a link, and what is no file is written to, not replaced.
ln -s saved.json "$here/link.json"
accepted good "$here/saved.json" --at 38.57,-109.55 --save "$here/link.json"
[ -L "$here/link.json" ] || complain "the link became a file"
mkfifo "$here/pipe"
timeout 10 cat "$here/pipe" >"$here/through" &
reading=$!
"$(dirname "$program")/leeway-fetch" "$base/good" 38.57 -109.55 5 "$here/pipe" || complain "the pipe is refused"
wait $reading
cmp -s "$good" "$here/through" || complain "the forecast did not come through the pipe"
[ -p "$here/pipe" ] || complain "the pipe became a file"

refused nowhere 1 'points/38.57,-109.55: the service knows nothing there \(404\)'
refused wordless 1 'it does not say where the forecast of this spot is'
refused silent 1 'no answer came within 1 s'
refused elsewhere 1 'neither https nor the same host'
refused file 1 'file:///etc/passwd is no address of the web'
refused missing 1 '/missing/grid: the service knows nothing there \(404\)'
refused busy 1 'answers with status 503'
refused slow 1 'had not come whole after 1 s, only [0-9]+ bytes'
refused cut 1 'broke off after [0-9]+ of [0-9]+ bytes'
refused half 1 '/half/grid:[0-9]+: the JSON is cut'
refused nonsense 1 '/nonsense/grid:1: this is no JSON'
refused other 1 'this is no gridpoint forecast'
refused page 1 'the answer is text/html, not JSON'
refused nothing 1 'the answer is empty'
refused huge 1 'the answer is longer than 3145728 bytes'
refused round 1 'the service sends on and on'
refused away 1 'neither https nor the same host'

# Nobody there, a folder that is not, and a certificate that proves nothing.
said=$("$program" weather fetch --at 38.57,-109.55 --from http://127.0.0.1:9 --save "$here/x.json" 2>&1)
[[ $? = 1 && $said =~ "nobody answers there" ]] || complain "$said"
said=$("$program" weather fetch --at 38.57,-109.55 --from "$base/good" --save "$here/none/x.json" 2>&1)
[[ $? = 1 && $said =~ "cannot be written" ]] || complain "$said"
said=$("$program" weather fetch --at 38.57,-109.55 --from ftp://127.0.0.1 --save "$here/x.json" 2>&1)
[[ $? = 2 && $said =~ "ftp://127.0.0.1 is no address of the web" ]] || complain "$said"

# A server that signed its own certificate, where there is a program for one.
if command -v openssl >/dev/null; then
    openssl req -x509 -newkey ec -pkeyopt ec_paramgen_curve:prime256v1 -nodes -subj /CN=127.0.0.1 -days 2 \
        -keyout "$here/key.pem" -out "$here/cert.pem" 2>/dev/null
    openssl s_server -accept 127.0.0.1:0 -key "$here/key.pem" -cert "$here/cert.pem" -www >"$here/tls" 2>&1 &
    tls=$!
    trap 'kill $serving $tls 2>/dev/null; wait $serving $tls 2>/dev/null; rm -rf "$here"' EXIT
    for _ in $(seq 50); do grep -q '^ACCEPT' "$here/tls" && break; sleep 0.1; done
    port=$(sed -n 's/^ACCEPT .*://p' "$here/tls" | head -1)
    said=$("$program" weather fetch --at 38.57,-109.55 --from "https://127.0.0.1:$port" --save "$here/x.json" 2>&1)
    [[ $? = 1 && $said =~ "the certificate does not prove who answers" ]] || complain "own certificate: $said"
    count=$((count + 1))
fi

# Only the program that fetches has the network library.
ldd "$program" | grep -q libcurl && complain "leeway itself is linked with libcurl"
echo "$count fetches"
exit $failed
