# Shared by ./run, ./test and the programs of tools/: installing what is missing, and steps that are quiet unless they
# fail. Sourced from the root of the checkout.

logs=build/logs
mkdir -p "$logs"
cores=$(nproc 2>/dev/null || echo 2)

say() { printf '%s\n' "$*" >&2; }

# need_packages PACKAGE...: installs those that are missing, by the system's own packages. Silent, and without network,
# when none is.
need_packages() {
    local missing=() package as_root=()
    if ! command -v dpkg-query >/dev/null || ! command -v apt-get >/dev/null; then
        say "not a Debian system: taking for granted what Debian 12 calls: $*"
        return
    fi
    for package in "$@"; do
        [ "$(dpkg-query -W -f '${db:Status-Status}' "$package" 2>/dev/null)" = installed ] || missing+=("$package")
    done
    [ ${#missing[@]} -gt 0 ] || return 0
    if [ "$(id -u)" -ne 0 ]; then
        if ! command -v sudo >/dev/null; then
            say "missing: ${missing[*]}"
            say "neither root nor sudo here; as root: apt-get install --no-install-recommends ${missing[*]}"
            return 1
        fi
        as_root=(sudo)
    fi
    say "installing ${missing[*]}"
    if ! { "${as_root[@]}" apt-get -qq update &&
        "${as_root[@]}" env DEBIAN_FRONTEND=noninteractive apt-get -qq -y --no-install-recommends install \
            "${missing[@]}"; } >"$logs/packages" 2>&1 </dev/null; then
        cat "$logs/packages" >&2
        say "the packages could not be installed"
        return 1
    fi
}

# quietly WHAT COMMAND...: a line when it takes over a second, its output only when it fails.
quietly() {
    local what=$1 log note rc=0
    shift
    log=$logs/$(printf '%s' "$what" | tr -c 'a-z0-9' '_')
    # The sleep holds none of our files: a reader of our output need not wait for it.
    { sleep 1 </dev/null >/dev/null 2>&1 && say "$what ..."; } &
    note=$!
    "$@" >"$log" 2>&1 </dev/null || rc=$?
    kill "$note" 2>/dev/null || true
    wait "$note" 2>/dev/null || true
    [ $rc -eq 0 ] || { grep -vE '^\[[0-9]+/[0-9]+\] (Building|Linking)' "$log" >&2 || true; say "failed: $what"; }
    return $rc
}

# build PRESET [TARGET...]
build() {
    local preset=$1 target targets=()
    shift
    for target in "$@"; do targets+=(--target "$target"); done
    cmake --preset "$preset" && cmake --build --preset "$preset" -j "$cores" "${targets[@]}"
}

# build_page [--test]: web/dist, which the program's build takes up. Node is Debian's where none is there.
build_page() {
    command -v node >/dev/null && command -v npm >/dev/null || need_packages nodejs npm
    web/build.sh "$@"
}

# What it takes to build the program, and what it takes to check it.
build_packages=(gcc libc6-dev cmake ninja-build libyaml-dev libjansson-dev libsqlite3-dev zlib1g-dev libexpat1-dev libcurl4-openssl-dev tzdata
    libmicrohttpd-dev libqrencode-dev nettle-dev)
test_packages=(clang libclang-rt-14-dev llvm clang-format clang-tidy cppcheck libcmocka-dev libglpk-dev libical-dev valgrind python3-jsonschema python3-yaml
    chromium osmium-tool)
