// After a part of the page was exchanged: focus goes where data-focus asks, and data-say is said.

import { say } from "./say.js";

function focusOn(element) {
  if (!element.matches("a[href], button, input, select, textarea, summary, [tabindex]")) {
    element.setAttribute("tabindex", "-1");
  }
  const fromTop = element.dataset.focus === "top";
  element.focus({ preventScroll: fromTop });
  if (fromTop) element.scrollIntoView({ block: "start" });
}

function firstWithin(root, selector) {
  return root.matches?.(selector) ? root : root.querySelector?.(selector);
}

document.addEventListener("htmx:afterSettle", (event) => {
  const swapped = event.detail.elt ?? event.target;
  const wanted = firstWithin(swapped, "[data-focus]");
  if (wanted) {
    focusOn(wanted);
  } else if (document.activeElement === document.body) {
    swapped.dataset.swapped = "";
    focusOn(swapped);
  }
  say(firstWithin(swapped, "[data-say]")?.dataset.say);
});

document.addEventListener("htmx:sendError", () => say("No connection: nothing was sent. What you typed is still here; try again."));
document.addEventListener("htmx:timeout", () => say("The shop's server did not answer in time. What you typed is still here; try again."));
document.addEventListener("htmx:responseError", (event) => {
  const status = event.detail.xhr?.status;
  if (status === 403) say("You are not allowed to do this, or you were logged out. Reload the page and log in again.");
  else if (status === 404) say("That is no longer here. Reload the page to see what is.");
  else say("Something went wrong on the server and nothing was changed. Try again. If it happens again, tell the person who runs Garboard.");
});

// A page that comes back with problems, or that asks for it, starts there.
const first = document.querySelector(".problems[data-focus]") ?? document.querySelector("main [data-focus-first]");
if (first) focusOn(first);
