// Clocks that were touched on this device and have not arrived at the shop's server: kept in the order in which they
// were touched, each with its own time and id, so that one that is sent twice or late is the same. They stay when a
// page is closed and when somebody logs out: hours of work are nobody's draft.

const QUEUE = "garboard:clocks:";
const RUNNING = "garboard:clock-runs:";

function read(key) {
  try {
    return JSON.parse(localStorage.getItem(key));
  } catch {
    return null;
  }
}

export function waitingClocks(person) {
  const found = read(QUEUE + person);
  return Array.isArray(found) ? found : [];
}

// Throws where the device has no room: then the page sends the touch the plain way.
function write(person, items) {
  if (items.length) localStorage.setItem(QUEUE + person, JSON.stringify(items));
  else localStorage.removeItem(QUEUE + person);
}

export function keepClock(person, item) {
  write(person, [...waitingClocks(person), item]);
}

export function forgetClock(person, id) {
  write(person, waitingClocks(person).filter((item) => item.id !== id));
}

export function refuseClock(person, id, problem) {
  write(person, waitingClocks(person).map((item) => (item.id === id ? { ...item, problem } : item)));
}

// The clock that the last page showed as running, so that it can be stopped where no page can be fetched.
export function rememberRunning(person, clock) {
  if (clock) localStorage.setItem(RUNNING + person, JSON.stringify(clock));
  else localStorage.removeItem(RUNNING + person);
}

// The clock that runs as far as this device knows: null where none does. What waits here counts before what was shown.
export function runningClock(person) {
  const last = waitingClocks(person).filter((item) => !item.problem).at(-1);
  if (!last) return read(RUNNING + person);
  return last.starts ? last : null;
}

export function clockTime(item) {
  const zone = item.zone || undefined; // the shop's: a tablet may be set to another
  return new Date(item.at).toLocaleString("en-US", { timeZone: zone, weekday: "short", hour: "numeric", minute: "2-digit" });
}

// What touching a button of a clock says; ``clock`` is one that runs, or the touch that paused it.
function touchOf(clock, what) {
  const { place, number, position, zone } = clock;
  const of = { what, place, number, position, zone };
  if (what === "Resume") return { ...of, url: `/jobs/${number}/lines/${position}/clock/`, starts: true };
  return { ...of, url: `/hours/${clock.id}/${what === "Pause" ? "pause" : "stop"}/`, starts: false };
}

// ---- what the page shows of it

function made(tag, properties = {}, ...children) {
  const element = Object.assign(document.createElement(tag), properties);
  element.append(...children);
  return element;
}

function button(words, more, act) {
  const pressed = made("button", { className: words === "Clock off" ? "btn btn-do" : "btn", type: "button" }, words);
  pressed.append(made("span", { className: "visually-hidden", textContent: ` ${more}` }));
  pressed.addEventListener("click", act);
  return pressed;
}

function waitingRow(item, person, changed) {
  const row = made("div", { className: item.problem ? "clock-row is-asked" : "clock-row is-paused" });
  const words = made("p", {}, made("b", { textContent: item.what }), `, ${item.place}, ${clockTime(item)}`);
  row.append(words);
  if (!item.problem) {
    words.append(": kept on this device, not sent yet.");
    return row;
  }
  words.append(`: not taken. ${item.problem} Nothing of it counts: note the hours by hand. `);
  words.append(made("a", { href: `/jobs/${item.number}/hours/`, textContent: `Hours of job ${item.number}` }));
  row.append(button("Remove from this list", `: ${item.what}, ${item.place}`, () => {
    forgetClock(person, item.id);
    changed();
  }));
  return row;
}

function lastRow(clock, said, buttons, touched) {
  const row = made("div", { className: "clock-row" });
  row.append(made("p", { textContent: `${said}: ${clock.place}, since ${clockTime(clock)}` }));
  for (const what of buttons) row.append(button(what, `, ${clock.place}`, () => touched(touchOf(clock, what))));
  return row;
}

// Rows of what waits, and of the clock that was started or paused here, with its buttons. ``alone``: no page of the
// server stands around them that has these buttons.
export function clockRows(person, { touched, changed, alone = false }) {
  const items = waitingClocks(person);
  const rows = items.map((item) => waitingRow(item, person, changed));
  const last = items.filter((item) => !item.problem).at(-1);
  const running = last || alone ? runningClock(person) : null;
  if (running) rows.push(lastRow(running, "Your clock runs as far as this device knows", ["Pause", "Clock off"], touched));
  else if (last?.what === "Pause") rows.push(lastRow(last, "Paused", ["Resume"], touched));
  return rows;
}
