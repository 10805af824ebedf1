// What was typed is not lost when the Wi-Fi drops, the tablet sleeps or a page is left by mistake.
// <form data-keep="job-1032-scan">: its fields are kept on this device, for this person, until the form
// has been accepted. Passwords, files and the request token are never kept. With data-keep-fresh the server has
// just filled the form with what was typed, so that an older draft must not be put over it.

import { PREFIX, outcome, typedAt } from "./drafts.js";
import { renewEntryIds } from "./entry-id.js";
import { say } from "./say.js";

const MAX_AGE = 7 * 24 * 3600 * 1000;
const person = document.body.dataset.person ?? "nobody";
const zone = document.body.dataset.zone || undefined; // the shop's: a tablet may be set to another

function keyOf(form) {
  return `${PREFIX}${person}:${form.dataset.keep}`;
}

function isKept(field) {
  return field.name && field.name !== "csrfmiddlewaretoken" && !["password", "file", "submit", "button"].includes(field.type);
}

function valuesOf(form) {
  return [...form.elements].filter(isKept).map((field) => {
    const ticked = field.type === "checkbox" || field.type === "radio";
    const several = field.type === "select-multiple" ? [...field.selectedOptions].map((option) => option.value) : null;
    return { name: field.name, value: ticked ? [field.value, field.checked] : (several ?? field.value), ticked };
  });
}

function read(key) {
  try {
    return JSON.parse(localStorage.getItem(key));
  } catch {
    return null;
  }
}

function write(key, draft) {
  try {
    localStorage.setItem(key, JSON.stringify(draft));
  } catch {
    say("This device has no room to keep a draft of this form. Send it before you leave the page.");
  }
}

const waiting = new WeakMap(); // a keystroke waits a moment before it is kept: not beyond the sending of its form
const sending = new WeakSet();

function keep(form) {
  clearTimeout(waiting.get(form));
  if (sending.has(form)) return; // a draft kept now would outlive the form that was just sent
  write(keyOf(form), {
    at: Date.now(),
    zone,
    sent: false,
    wasSent: "wasSent" in form.dataset,
    refused: "refused" in form.dataset,
    values: valuesOf(form),
    page: location.pathname + location.search,
    title: document.title.replace(/ · Garboard$/, ""),
  });
}

function keepSoon(form) {
  clearTimeout(waiting.get(form));
  waiting.set(form, setTimeout(() => keep(form), 400));
}

// What was read then is not what is read now: after an hour, the hours of an engine are not put back as today's.
const READ_FOR = 3600 * 1000;

function isOutdated(draft, field) {
  return "readNow" in (field?.dataset ?? {}) && Date.now() - draft.at > READ_FOR;
}

function apply(form, draft) {
  const seen = new Map();
  for (const { name, value, ticked } of draft.values) {
    const group = [...form.elements].filter((field) => field.name === name && isKept(field));
    if (isOutdated(draft, group[0])) continue;
    if (ticked) {
      const field = group.find((candidate) => candidate.value === value[0]);
      if (field) field.checked = value[1];
      continue;
    }
    const field = group[seen.get(name) ?? 0];
    seen.set(name, (seen.get(name) ?? 0) + 1);
    if (!field) continue;
    if (Array.isArray(value)) for (const option of field.options) option.selected = value.includes(option.value);
    else field.value = value;
    field.dispatchEvent(new Event("input", { bubbles: true }));
  }
}

function differs(form, draft) {
  const visible = (entry) => form.elements[entry.name] && form.elements[entry.name].type !== "hidden" && !isOutdated(draft, form.elements[entry.name]);
  const before = new Set(valuesOf(form).map((entry) => JSON.stringify(entry)));
  return draft.values.some((entry) => visible(entry) && !before.has(JSON.stringify(entry)));
}

function offer(form, key, draft) {
  const note = document.createElement("div");
  note.className = "notice";
  note.setAttribute("role", "status");
  const words = document.createElement("p");
  const hours = draft.values.filter((entry) => entry.value && isOutdated(draft, form.elements[entry.name])).map((entry) => entry.value);
  const but = hours.length ? `, but not the hours (${hours.join(", ")}): read the meter again` : "";
  words.textContent = `What you had typed here (${typedAt(draft)}) was put back${but}. ${outcome(draft)} `;
  const discard = document.createElement("button");
  discard.type = "button";
  discard.className = "btn btn-quiet";
  discard.textContent = "Start with an empty form";
  discard.addEventListener("click", () => {
    localStorage.removeItem(key);
    delete form.dataset.refused;
    form.reset();
    renewEntryIds(form);
    note.remove();
    form.querySelector("input:not([type=hidden]), select, textarea")?.focus();
  });
  note.append(words, discard);
  form.prepend(note);
}

// What a form lists is drawn by the server, from what was put back: once htmx has taken its buttons over.
function redraw(form) {
  const button = form.querySelector("button[data-keep-redraw]");
  if (!button) return;
  if (document.readyState === "complete") button.click();
  else document.addEventListener("DOMContentLoaded", () => button.click());
}

async function serverAnswers() {
  if (navigator.onLine === false) return false;
  try {
    await fetch("/health/", { method: "HEAD", cache: "no-store", signal: AbortSignal.timeout(5000) });
    return true;
  } catch {
    return false;
  }
}

const released = new WeakSet();

async function send(form, submitter) {
  keep(form);
  if (await serverAnswers()) {
    keep(form); // with what was typed while the server was asked
    write(keyOf(form), { ...read(keyOf(form)), sent: true });
    sending.add(form);
    released.add(form);
    form.requestSubmit(submitter);
    return;
  }
  say("No connection. Nothing was sent, and nothing is lost: it is kept on this device. Send it again when the connection is back.");
  form.dispatchEvent(new CustomEvent("garboard:release", { bubbles: true }));
}

// A part of a form that the server drew anew holds what was typed so far: a list of codes that grew, for example.
document.addEventListener("htmx:afterSettle", (event) => {
  const form = event.detail.elt?.closest?.("form[data-keep]") ?? event.detail.target?.closest?.("form[data-keep]");
  if (form?.dataset.keeping) keep(form);
});

const asking = new WeakSet();

function start(form) {
  if (form.dataset.keeping) return;
  form.dataset.keeping = "yes";
  const key = keyOf(form);
  form.addEventListener("input", () => keepSoon(form));
  const draft = read(key);
  if (form.querySelector(".problems")) form.dataset.refused = "yes"; // until other words were accepted
  else if (draft?.refused) form.dataset.refused = "yes";
  if (!draft) return;
  if (Date.now() - draft.at > MAX_AGE) localStorage.removeItem(key);
  else if (form.querySelector(".problems") || "keepFresh" in form.dataset) keep(form); // newer than the draft
  else if (differs(form, draft)) {
    apply(form, draft);
    if (draft.wasSent) form.dataset.wasSent = "yes";
    offer(form, key, draft);
    redraw(form);
  }
}

document.addEventListener("submit", (event) => {
  const form = event.target;
  if (!form.matches("form[data-keep]") || event.defaultPrevented) return;
  if (form.matches("[hx-post], [hx-put], [hx-patch]") || released.delete(form)) return;
  event.preventDefault();
  if (asking.has(form)) return;
  asking.add(form);
  send(form, event.submitter).finally(() => asking.delete(form));
});

document.addEventListener("htmx:afterRequest", (event) => {
  // A button inside a form asks for a part of its page: the form is not sent by that. Where the answer took the place
  // of the button, the event comes from the form all the same; such a form sends nothing by itself.
  const form = event.detail.elt;
  if (form?.matches?.("form[data-keep]:is([hx-post], [hx-put], [hx-patch])") && event.detail.successful && event.detail.requestConfig?.verb !== "get") localStorage.removeItem(keyOf(form));
});

// Drafts that were sent are done with, once the server has answered their person with a page that is not a failure.
// Coming back by the browser's own "back" means that no answer was seen: the draft stays. So does it where the
// answer is for somebody else, or for nobody: the login page, after the session had ended, accepted nothing.
function settle() {
  const wentBack = performance.getEntriesByType("navigation")[0]?.type === "back_forward";
  const failed = "failed" in document.body.dataset;
  for (const key of Object.keys(localStorage).filter((name) => name.startsWith(PREFIX))) {
    const draft = read(key);
    if (!draft?.sent) continue;
    const form = [...document.querySelectorAll("form[data-keep]")].find((candidate) => keyOf(candidate) === key);
    const answered = key.startsWith(`${PREFIX}${person}:`);
    if (!answered || wentBack || failed || form?.querySelector(".problems")) write(key, { ...draft, sent: false, wasSent: true });
    else localStorage.removeItem(key);
  }
}

settle();
document.querySelectorAll("form[data-keep]").forEach(start);
document.addEventListener("htmx:load", (event) => {
  if (event.detail.elt.matches?.("form[data-keep]")) start(event.detail.elt);
  event.detail.elt.querySelectorAll?.("form[data-keep]").forEach(start);
});

// Back from the next page: the form can be filled and sent again.
window.addEventListener("pageshow", (event) => {
  if (event.persisted) document.querySelectorAll("form[data-keep]").forEach((form) => sending.delete(form));
});

// Logging out leaves nothing behind on a shared tablet.
document.addEventListener("submit", (event) => {
  if (!event.target.matches("form[data-forget]")) return;
  Object.keys(localStorage).filter((name) => name.startsWith(`${PREFIX}${person}:`)).forEach((name) => localStorage.removeItem(name));
});
