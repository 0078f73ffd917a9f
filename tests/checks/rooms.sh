# Sourced by the checks: goes to the root of the checkout and lists the rooms that there are.
set -euo pipefail
cd "$(dirname "${BASH_SOURCE[0]}")/../.."

product=() rooms=()
for room in core text exchange book service cli fetch httpd bench; do [ ! -d $room ] || product+=("$room"); done
rooms=("${product[@]}")
for room in fuzz tests tools; do [ ! -d $room ] || rooms+=("$room"); done
