// A form marked data-once cannot be sent twice: the second touch of a wet glove is swallowed.

const HELD = "garboardHeld";

function buttonsOf(form) {
  const inside = [...form.querySelectorAll("button:not([type=button]), input[type=submit]")];
  const outside = form.id ? [...document.querySelectorAll(`[form="${CSS.escape(form.id)}"]`)] : [];
  return [...inside, ...outside.filter((element) => element.matches("button, input[type=submit]"))];
}

export function hold(form) {
  form.dataset[HELD] = "yes";
  for (const button of buttonsOf(form)) {
    button.setAttribute("aria-disabled", "true");
    button.dataset.busy = "";
    if (button.dataset.busyLabel) {
      button.dataset.restLabel = button.textContent;
      button.textContent = button.dataset.busyLabel;
    }
  }
}

export function release(form) {
  delete form.dataset[HELD];
  form.inert = false;
  for (const button of buttonsOf(form)) {
    button.removeAttribute("aria-disabled");
    delete button.dataset.busy;
    if (button.dataset.restLabel) {
      button.textContent = button.dataset.restLabel;
      delete button.dataset.restLabel;
    }
  }
}

document.addEventListener(
  "submit",
  (event) => {
    const form = event.target;
    if (form.matches("form[data-once]") && form.dataset[HELD]) {
      event.preventDefault();
      event.stopImmediatePropagation();
    }
  },
  true,
);

// After every other listener has had its say: hold only what is really sent. The button is held a tick
// later, because a button that is switched off at once would not send its own name and value.
window.addEventListener("submit", (event) => {
  const form = event.target;
  if (!form.matches("form[data-once]")) return;
  const byHtmx = form.matches("[hx-post], [hx-get], [hx-put], [hx-patch], [hx-delete]");
  if (event.defaultPrevented && !byHtmx) return;
  form.dataset[HELD] = "yes";
  setTimeout(() => {
    if (!form.dataset[HELD]) return; // without a connection it may have failed already
    hold(form);
    form.inert = !byHtmx; // a page that is about to be replaced takes no more words: they would be lost
  });
});

document.addEventListener("htmx:afterRequest", (event) => {
  const form = event.detail.elt?.closest?.("form[data-once]");
  if (form) release(form);
});

// Back from the next page, or a submit that was stopped: the form can be used again.
window.addEventListener("pageshow", () => document.querySelectorAll("form[data-once]").forEach(release));
document.addEventListener("garboard:release", (event) => release(event.target));
