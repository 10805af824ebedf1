#!/bin/sh
# The browser of the tests: Chromium without its windows, or the whole one where that is missing. As root it would go
# before all else that runs on the machine (nice -8), programs that other tests wait for among them: that right it loses.
browser=/usr/bin/chromium-headless-shell
[ -x $browser ] || browser=/usr/bin/chromium
if [ "$(id -u)" = 0 ] && setpriv --bounding-set -sys_nice true 2>/dev/null; then
    exec setpriv --bounding-set -sys_nice --inh-caps -sys_nice -- $browser "$@"
fi
exec $browser "$@"
