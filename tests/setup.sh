# What both run scripts share: installing what is missing, and building. To be sourced by bash.
#
#   SCRUPLE_NO_INSTALL=1   install nothing; take what is there

# What is needed: how to see that it is there (a command, a file, or py:MODULE), and the Debian package that brings it.
build_needs=(
    "g++ g++" "cmake cmake" "ninja ninja-build"
    "/usr/include/tao/pegtl.hpp tao-pegtl-dev"
    "/usr/include/fmt/core.h libfmt-dev"
    "/usr/include/nlohmann/json.hpp nlohmann-json3-dev"
    "/usr/include/CLI/CLI.hpp libcli11-dev" "/usr/include/editline/readline.h libedit-dev"
    "/usr/include/coin/ClpSimplex.hpp coinor-libclp-dev" "/usr/include/zlib.h zlib1g-dev"
    "/usr/lib/gcc/x86_64-linux-gnu/12/libgfortran.a libgfortran-12-dev"
)
test_needs=(
    "/usr/include/catch2/catch.hpp catch2"
    "python3 python3" "py:jsonschema python3-jsonschema"
    "git git" "units units" "faketime faketime" "strace strace" "glpsol glpk-utils"
    "/usr/share/iso-codes/json/iso_4217.json iso-codes"
    "clang++ clang" "/usr/lib/llvm-14/lib/clang/14.0.6/lib/linux/libclang_rt.fuzzer-x86_64.a libclang-rt-14-dev"
    "node nodejs" "npm npm" "/etc/ssl/certs/ca-certificates.crt ca-certificates"
)

is_there() {
    case $1 in
        /usr/lib/llvm-14/*) compgen -G '/usr/lib/llvm-14/lib/clang/*/lib/linux/libclang_rt.fuzzer-*.a' > /dev/null ;;
        /*) [ -e "$1" ] ;;
        py:*) python3 -c "import ${1#py:}" > /dev/null 2>&1 ;;
        *) command -v "$1" > /dev/null 2>&1 ;;
    esac
}

# install_missing NEED...: installs by apt-get what is not there. Elsewhere than on Debian 12 it says what to install.
install_missing() {
    local need missing=()
    for need in "$@"; do
        is_there "${need% *}" || missing+=("${need##* }")
    done
    if [ ${#missing[@]} -eq 0 ] || [ -n "${SCRUPLE_NO_INSTALL:-}" ]; then
        return 0
    fi
    local system=unknown version=
    if [ -r /etc/os-release ]; then
        system=$(. /etc/os-release && echo "${ID:-unknown}")
        version=$(. /etc/os-release && echo "${VERSION_ID:-}")
    fi
    if [ "$system" != debian ] || [ "$version" != 12 ]; then
        echo "This script installs what it needs on Debian 12 only, and this is ${system} ${version}." >&2
        echo "Install these yourself (the names are those of Debian's packages):" >&2
        printf '    %s\n' "${missing[@]}" >&2
        echo "and start it again with SCRUPLE_NO_INSTALL=1." >&2
        exit 2
    fi
    local as_root=()
    if [ "$(id -u)" -ne 0 ]; then
        if ! command -v sudo > /dev/null 2>&1; then
            echo "Installing needs root or sudo. As root, run:" >&2
            echo "    apt-get install ${missing[*]}" >&2
            exit 2
        fi
        as_root=(sudo)
    fi
    echo "Installing: ${missing[*]}"
    local keep=(DEBIAN_FRONTEND=noninteractive) name
    for name in http_proxy https_proxy no_proxy; do
        [ -z "${!name:-}" ] || keep+=("$name=${!name}")
    done
    local log
    log=$(mktemp)
    if ! { "${as_root[@]}" env "${keep[@]}" apt-get -q update &&
           "${as_root[@]}" env "${keep[@]}" apt-get -q install -y --no-install-recommends "${missing[@]}"; } \
            > "$log" 2>&1 < /dev/null; then
        tail -n 30 "$log" >&2
        rm -f "$log"
        echo "apt-get could not install: ${missing[*]}" >&2
        exit 2
    fi
    rm -f "$log"
}

# configure_and_build FOLDER TARGETS -- CMAKE-OPTIONS...: quiet unless it fails.
configure_and_build() {
    local folder=$1 targets=$2
    shift 3
    mkdir -p "$folder"
    local log=$folder/build.log
    if command -v ccache > /dev/null 2>&1; then
        set -- "$@" -DCMAKE_CXX_COMPILER_LAUNCHER=ccache
    fi
    if ! { cmake -S . -B "$folder" -G Ninja "$@" && cmake --build "$folder" --target $targets; } > "$log" 2>&1; then
        tail -n 60 "$log" >&2
        echo "the build in $folder failed; all of it is in $log" >&2
        return 1
    fi
}
