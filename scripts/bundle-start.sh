#!/bin/sh
# Starts Hillrow from its bundle: ./hillrow --help. Needs nothing but this folder and the system's C library.
here=$(cd "$(dirname "$(readlink -f "$0")")" && pwd)
export LD_LIBRARY_PATH="$here/lib${LD_LIBRARY_PATH:+:$LD_LIBRARY_PATH}"
# As scripts/set-up.sh: freed memory is kept for the next picture.
export MALLOC_ARENA_MAX=1 MALLOC_MMAP_MAX_=0 MALLOC_TRIM_THRESHOLD_=8000000000
exec "$here/hillrow-app" "$@"
