#!/usr/bin/env bash
# Prepare what the checks of the hub need, outside root's home, where other accounts can get at it:
# an environment with taperkey[hub] (the course as it is now) and the proxy.
# The command that tries the hub with it stands in DEVELOPERS.md.
set -euo pipefail
cd "$(dirname "$0")/.."
env=${TAPERKEY_HUB_ENV:-/opt/taperkey-hub}
proxy=${TAPERKEY_HUB_PROXY:-/opt/taperkey-proxy}
chmod go-rwx "${1:-.}/solutions" # as the README has it; the hub does not start otherwise
[ -x "$env/bin/python" ] || uv venv --quiet --python /usr/bin/python3 "$env"
uv pip install --quiet --python "$env/bin/python" "${1:-.}[hub]"
uv pip install --quiet --python "$env/bin/python" --no-deps --reinstall "${1:-.}"
[ -x "$proxy/node_modules/.bin/configurable-http-proxy" ] ||
  npm install --silent --no-fund --no-audit --prefix "$proxy" configurable-http-proxy
