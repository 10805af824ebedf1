// The tablet chooses the entry's id before it is sent, so that the same entry sent twice is stored once.

import { uuid } from "./uuid.js";

export function fillEntryIds(root) {
  for (const input of root.querySelectorAll("input[data-entry-id]")) {
    if (!input.value) input.value = uuid();
  }
}

export function renewEntryIds(form) {
  delete form.dataset.wasSent;
  for (const input of form.querySelectorAll("input[data-entry-id]")) input.value = uuid();
}

// The same words sent again are the same entry, also when somebody goes back to the form to be sure. Other words,
// typed after the form was sent once, are another entry: under the old id they would be taken for the first one.

function placeOf(input) {
  return `garboard:entry:${location.pathname}:${input.form?.id ?? ""}:${input.name}`;
}

function remember(form) {
  form.dataset.wasSent = "yes";
  for (const input of form.querySelectorAll("input[data-entry-id]")) sessionStorage.setItem(placeOf(input), input.value);
}

function recall() {
  if (performance.getEntriesByType("navigation")[0]?.type !== "back_forward") return;
  for (const input of document.querySelectorAll("input[data-entry-id]")) {
    const sent = sessionStorage.getItem(placeOf(input));
    if (!sent) continue;
    input.value = sent;
    input.form.dataset.wasSent = "yes";
  }
}

// The device's own time goes along with what it sends: the journal keeps it beside the server's.

function stamp(form) {
  if (!form.querySelector("input[data-entry-id]")) return;
  let input = form.querySelector("input[name=sent_at]");
  if (!input) {
    input = document.createElement("input");
    input.type = "hidden";
    input.name = "sent_at";
    form.append(input);
  }
  input.value = new Date().toISOString();
}

document.addEventListener("submit", (event) => stamp(event.target), true);

recall();
fillEntryIds(document);
document.addEventListener("htmx:load", (event) => fillEntryIds(event.detail.elt));
window.addEventListener("submit", (event) => {
  if (!event.defaultPrevented || event.target.matches("[hx-post]")) remember(event.target);
});
document.addEventListener("input", (event) => {
  const form = event.target.form;
  if (form?.dataset.wasSent && event.isTrusted) renewEntryIds(form);
});
