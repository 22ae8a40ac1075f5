# SPDX-License-Identifier: MIT
# shellcheck shell=sh
# Sourced by the commands beside it. need_packages NAME...: installs those Debian or Ubuntu packages that are missing.
# As root, or through sudo; a user who has neither is told the line for root to run.

need_packages() {
  if ! command -v dpkg-query >/dev/null; then
    echo "Not Debian or Ubuntu: please see to these packages, or their like: $*"
    return 0
  fi
  missing=
  for package in "$@"; do
    case $(dpkg-query -W -f='${Status}' "$package" 2>/dev/null) in
    'install ok installed') ;;
    *) missing="$missing $package" ;;
    esac
  done
  if [ -z "$missing" ]; then
    echo "All packages needed are there; nothing to install."
    return 0
  fi
  as_root=
  if [ "$(id -u)" -ne 0 ]; then
    if ! command -v sudo >/dev/null; then
      echo "Missing packages. Please run this as root, then try again:" >&2
      echo "  apt-get update && apt-get install -y --no-install-recommends$missing" >&2
      return 1
    fi
    as_root=sudo
  fi
  echo "Installing missing packages:$missing"
  # Asks nothing; waits for another apt-get to end; on Ubuntu restarts no services.
  apt="$as_root env DEBIAN_FRONTEND=noninteractive NEEDRESTART_SUSPEND=1 apt-get -q -o DPkg::Lock::Timeout=300"
  $apt update || echo "Some package lists could not be fetched; trying with those at hand." >&2
  # shellcheck disable=SC2086  # a list of words
  $apt install -y --no-install-recommends $missing </dev/null
}
