# Sourced by ./hillrow, ./test, ./validate and ./publish: brings what is missing, says what it brings, is quick when
# nothing is. Needs the .NET SDK (and Node.js for the browser side); on Debian/Ubuntu it uses apt for the rest.

export DOTNET_CLI_TELEMETRY_OPTOUT=1 DOTNET_NOLOGO=1

# Pictures take and free memory by the hundred megabytes. The C library would give it back each time, and the system clear
# it anew: two pages in five are spared by keeping it, in one heap that all threads share. Results are the same without.
export MALLOC_ARENA_MAX=1 MALLOC_MMAP_MAX_=0 MALLOC_TRIM_THRESHOLD_=8000000000

say() { printf '%s\n' "$*" >&2; }

require_dotnet() {
  command -v dotnet >/dev/null 2>&1 && return
  say "hillrow: no 'dotnet' on the path: install the .NET 10 SDK first (https://dotnet.microsoft.com), then call again."
  exit 2
}

# install_debian "why" package...: installs Debian packages, with sudo when not root.
install_debian() {
  local why=$1; shift
  if ! command -v apt-get >/dev/null 2>&1; then
    say "hillrow: $why needs these libraries of your system: $*. Install them with your package manager, then call again."
    exit 2
  fi
  local sudo=""
  if [ "$(id -u)" != 0 ]; then
    command -v sudo >/dev/null 2>&1 || { say "hillrow: $why: as root, run: apt-get install --no-install-recommends $*"; exit 2; }
    sudo=sudo
  fi
  say "installing with apt-get ($why): $*"
  $sudo apt-get update -qq >/dev/null 2>&1 || true
  DEBIAN_FRONTEND=noninteractive $sudo apt-get install -y -qq --no-install-recommends "$@" >/dev/null 2>&1 || {
    say "hillrow: apt-get could not install $*. Run 'apt-get install --no-install-recommends $*' to see why, then call again."
    exit 2
  }
}

# The picture library (OpenCV) needs a few shared libraries at run time.
ensure_run_time_libraries() {
  local missing=()
  local known
  known=$(ldconfig -p 2>/dev/null || /sbin/ldconfig -p 2>/dev/null || true)
  case "$known" in *libgtk-3.so.0*) ;; *) missing+=(libgtk-3-0) ;; esac
  case "$known" in *libdrm.so.2*) ;; *) missing+=(libdrm2) ;; esac
  case "$known" in *libatomic.so.1*) ;; *) missing+=(libatomic1) ;; esac
  # Reads compressed rasters about twice as fast; without it the runtime does the same.
  case "$known" in *libdeflate.so.0*) ;; *) missing+=(libdeflate0) ;; esac
  [ ${#missing[@]} = 0 ] || install_debian "libraries the picture room needs" "${missing[@]}"
}

# Independent programs that the reference tests compare with.
ensure_reference_programs() {
  local missing=()
  command -v gdalinfo >/dev/null 2>&1 || missing+=(gdal-bin)
  /usr/bin/python3 -c 'import osgeo' >/dev/null 2>&1 || missing+=(python3-gdal)
  command -v exiftool >/dev/null 2>&1 || missing+=(libimage-exiftool-perl)
  command -v cs2cs >/dev/null 2>&1 || missing+=(proj-bin)
  command -v pdftoppm >/dev/null 2>&1 || missing+=(poppler-utils)
  [ ${#missing[@]} = 0 ] || install_debian "programs that the tests compare with" "${missing[@]}"
}

# ensure_tree_yardstick: what the plants' figures compare single trees with.
ensure_tree_yardstick() {
  /usr/bin/python3 -c 'import skimage, scipy' >/dev/null 2>&1 ||
    install_debian "the yardstick for single trees" python3-skimage python3-scipy
}

# ensure_built PROJECT NAME: builds when a source is newer than the last build, or files came or went.
ensure_built() {
  local project=$1 name=$2
  local stamp="$here/artifacts/$name.built"
  local sources
  sources=$(cd "$here" && find src tests/Support validation Directory.Build.props Directory.Packages.props global.json \
    \( -name obj -o -name bin \) -prune -o -type f -print 2>/dev/null | LC_ALL=C sort | cksum)
  if [ -f "$stamp" ] && [ "$(cat "$stamp")" = "$sources" ] &&
    [ -z "$(cd "$here" && find src tests/Support validation Directory.Build.props Directory.Packages.props global.json -type f -newer "$stamp" -print -quit)" ]; then
    return
  fi
  require_dotnet
  say "building $name (first use, or the source has changed) ..."
  local log="$here/artifacts/$name.build.log"
  mkdir -p "$here/artifacts"
  if ! (cd "$here" && dotnet build "$project" -c Release -v quiet -nologo >"$log" 2>&1); then
    grep -E 'error' "$log" | sort -u | head -20 >&2
    say "hillrow: the build failed; the whole log is in $log"
    exit 1
  fi
  printf '%s' "$sources" >"$stamp"
}
