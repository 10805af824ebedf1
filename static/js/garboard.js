// What the pages do beyond HTML. Every page works without it.

import "./entry-id.js";
import "./ask.js";
import "./once.js";
import "./say.js";
import "./swap.js";
import "./units.js";
import "./count.js";
import "./ticks.js";
import "./menu.js";
import "./tabs.js";
import "./keep.js";
import "./clocks.js";
import "./worker.js";
import "./passkeys.js";
