// A clock that is touched without a connection is kept on this device with the time of the touch, and sent when the
// connection is back, also after the page was closed. <form data-clock="Clock on" data-place="job 1032, line 1" …>

import { clockRows, clockTime, forgetClock, keepClock, refuseClock, rememberRunning, waitingClocks } from "./clock-queue.js";
import { renewEntryIds } from "./entry-id.js";
import { hold, release } from "./once.js";
import { say } from "./say.js";
import { uuid } from "./uuid.js";

const person = document.body.dataset.person ?? "";
const zone = document.body.dataset.zone || "";
const ANSWERS_WITHIN = 8000;
const ASK_AGAIN = 30_000;
const SKEW = "garboard:skew";
const SAME_CLOCK = 120_000;

// ---- the shop's time, where the clock of this device is wrong

// How far the shop's clock was ahead of this one when a page came from the server; a page from the browser's own
// store says nothing of that.
function learnSkew() {
  const arrival = performance.getEntriesByType("navigation")[0];
  if (!document.body.dataset.now || !arrival?.responseStart || !["navigate", "reload"].includes(arrival.type)) return;
  const skew = Date.parse(document.body.dataset.now) - (performance.timeOrigin + arrival.responseStart);
  // The page's time is that of a whole second, and it was on its way: so much is no difference.
  localStorage.setItem(SKEW, Math.abs(skew) < 5000 ? "0" : String(Math.round(skew)));
}

function skew() {
  return Number(localStorage.getItem(SKEW)) || 0;
}

function shopTime() {
  return new Date(Date.now() + skew()).toISOString();
}

// Whether this device's clock still goes as it went when this was touched: else its time says nothing.
function isOfThisClock(item) {
  return Math.abs(skew() - item.skew) < SAME_CLOCK;
}

const WAS_SET = { end: "refused", words: "The clock of this device was set in the meantime, so that the time of the touch is not known." };

// ---- sending

const token = () => document.querySelector("[name=csrfmiddlewaretoken]")?.value ?? "";

// What became of it: "sent" or "refused" with what the server says, or "kept" with why it is still here.
async function send(item, followed) {
  const told = { ...item.said, entry_id: item.id, happened_at: item.at, touched_by: person, sent_at: shopTime(), csrfmiddlewaretoken: token() };
  if (item.id === followed) told.follows = "page"; // which says what came of it
  let answer;
  try {
    answer = await fetch(item.url, {
      method: "POST",
      body: new URLSearchParams(told),
      headers: { Accept: "application/json" },
      redirect: "manual",
      cache: "no-store",
      signal: AbortSignal.timeout(ANSWERS_WITHIN),
    });
  } catch {
    return { end: "kept", why: "No connection." };
  }
  const isJson = answer.headers.get("Content-Type")?.startsWith("application/json");
  const words = isJson ? ((await answer.json().catch(() => null))?.said ?? "") : "";
  if (isJson && answer.ok) return { end: "sent", words };
  if (isJson && answer.status === 422) return { end: "refused", words };
  if (answer.status === 404) return { end: "refused", words: "The clock or the line that it belongs to is not on the shop’s server." };
  if (answer.type === "opaqueredirect") return { end: "kept", why: "You were logged out. Log in again: it is sent then." };
  return { end: "kept", why: "The server could not take it yet. Load the page again." };
}

let under;

// Everything that waits, one after the other in its order; what is refused does not hold up what comes after it.
function sendAll(followed) {
  under ??= inTurn(() => sendEach(followed)).finally(() => {
    under = undefined;
  });
  return under;
}

function inTurn(act) {
  return navigator.locks ? navigator.locks.request(`garboard-clocks-${person}`, act) : act();
}

async function sendEach(followed) {
  const ended = [];
  const tried = new Set();
  for (;;) {
    const item = waitingClocks(person).find((one) => !one.problem && !tried.has(one.id));
    if (!item) return { ended, why: "" };
    tried.add(item.id);
    const { end, words, why } = await (isOfThisClock(item) ? send(item, followed) : WAS_SET);
    if (end === "kept") return { ended, why };
    if (end === "refused") refuseClock(person, item.id, words);
    else {
      rememberRunning(person, item.starts ? item : null);
      forgetClock(person, item.id);
    }
    ended.push({ item, end, words });
  }
}

// ---- what the page shows

// What arrived while this page was open, or before it was loaded again for that.
const TOLD = "garboard:clocks-sent";
const done = JSON.parse(sessionStorage.getItem(TOLD) ?? "[]");
sessionStorage.removeItem(TOLD);
let isStale = false;
let isTyped = false;
let isLeaving = false;
window.addEventListener("beforeunload", () => {
  isLeaving = true;
});
document.addEventListener("input", () => {
  isTyped = true;
});

function section() {
  const there = document.getElementById("kept-clocks");
  if (there) return there;
  const made = Object.assign(document.createElement("section"), { id: "kept-clocks", className: "clock-strip no-print" });
  made.setAttribute("aria-label", "Clocks on this device");
  document.getElementById("main")?.prepend(made);
  return made;
}

function sentRow({ item, words }) {
  const row = Object.assign(document.createElement("div"), { className: "clock-row" });
  const line = document.createElement("p");
  line.textContent = `Sent: ${item.what}, ${item.place}, ${clockTime(item)}. ${words} `;
  if (isStale) line.append(Object.assign(document.createElement("a"), { href: location.href, textContent: "Load the page again" }));
  row.append(line);
  return row;
}

function draw() {
  const rows = [...done.map(sentRow), ...clockRows(person, { touched, changed: draw })];
  if (rows.length || document.getElementById("kept-clocks")) section().replaceChildren(...rows);
  // What the server drew of a clock is not so any more while something waits, or was sent since.
  const isOld = isStale || waitingClocks(person).some((one) => !one.problem);
  for (const row of document.querySelectorAll("[data-clock-now]")) row.hidden = isOld;
}

// The button that had the focus may be gone.
function keepFocus() {
  const now = document.activeElement;
  if (now && now !== document.body && now.checkVisibility?.() !== false) return;
  const at = section().querySelector("button") ?? section();
  at.focus();
}

async function sendLate() {
  if (!waitingClocks(person).some((one) => !one.problem)) return;
  const { ended } = await sendAll();
  if (!ended.length) return;
  done.push(...ended.filter((one) => one.end === "sent"));
  if (!isTyped) {
    sessionStorage.setItem(TOLD, JSON.stringify(done)); // the next page tells it
    if (!isLeaving) location.reload(); // this one says what was so before
    return;
  }
  isStale = true;
  draw();
  const refused = ended.filter((one) => one.end === "refused").length;
  const sent = ended.length - refused;
  const words = [sent && `${sent} touched clock${sent > 1 ? "s" : ""} sent.`, refused && `${refused} not taken: look at the top of the page.`];
  say(words.filter(Boolean).join(" "));
}

// ---- touching

// Kept first, so that nothing is lost on the way; then sent with all that waits before it.
async function touched(touch) {
  const item = { id: uuid(), at: shopTime(), skew: skew(), zone, said: {}, ...touch };
  try {
    keepClock(person, item);
  } catch {
    say("This device has no room to keep it. Nothing was touched: free some room, or wait for the connection.");
    return { end: "lost" };
  }
  const { ended, why } = await sendAll(item.id);
  const mine = ended.find((one) => one.item.id === item.id) ?? (waitingClocks(person).some((one) => one.id === item.id) ? null : { end: "sent" });
  if (!mine) {
    draw();
    keepFocus();
    say(`${why || "No connection."} ${item.what}, ${item.place}, ${clockTime(item)}: it is kept on this device and sent later, with this time.`);
    return { end: "kept" };
  }
  return mine;
}

function follow(form) {
  const back = new URL(form.elements.back?.value || location.href, location.href);
  const where = back.origin === location.origin ? back : new URL(location.href);
  // An address that differs by its anchor alone would not be asked for again; a page loaded again stays where it was.
  if (where.pathname + where.search === location.pathname + location.search) location.reload();
  else location.assign(where);
}

document.addEventListener("submit", async (event) => {
  const form = event.target;
  if (!form.matches("form[data-clock]") || event.defaultPrevented || !person) return;
  event.preventDefault();
  hold(form);
  const input = form.querySelector("[data-entry-id]");
  const said = Object.fromEntries([...new FormData(form)].filter(([name]) => !["csrfmiddlewaretoken", "entry_id", "sent_at", "back"].includes(name)));
  const { clock, place, number, position } = form.dataset;
  const touch = { id: input.value || uuid(), url: form.getAttribute("action"), what: clock, starts: "starts" in form.dataset, place, number, position, said };
  const { end, item } = await touched(touch);
  if (end === "sent" || end === "refused") {
    // What was touched just now is answered by the page that follows, as without scripts.
    if (end === "refused" && item) forgetClock(person, item.id);
    follow(form);
    return;
  }
  renewEntryIds(form);
  release(form);
});

// Nobody logs out over what can be sent.
const leaving = new WeakSet();
document.addEventListener("submit", (event) => {
  const form = event.target;
  if (!form.matches("form[data-forget]") || leaving.has(form)) return;
  rememberRunning(person, null);
  if (!waitingClocks(person).some((one) => !one.problem)) return;
  event.preventDefault();
  leaving.add(form);
  sendAll().finally(() => form.requestSubmit());
});

// A page that came while something was being sent may have been drawn before it arrived.
function wasDrawnBefore() {
  return done.length > 0 && performance.getEntriesByType("navigation")[0]?.type !== "reload";
}

if (person && wasDrawnBefore()) {
  sessionStorage.setItem(TOLD, JSON.stringify(done));
  location.reload();
} else if (person) {
  learnSkew();
  const strip = document.querySelector("[data-clock-runs]");
  rememberRunning(person, strip && { id: strip.dataset.clockRuns, place: strip.dataset.place, number: strip.dataset.number, position: strip.dataset.position, at: strip.dataset.since, zone });
  draw();
  sendLate();
  window.addEventListener("online", sendLate);
  setInterval(sendLate, ASK_AGAIN);
}
