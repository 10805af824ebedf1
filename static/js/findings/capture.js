// The list of codes of a scan lives in the form (textarea name="listed") and is drawn by the server. When a draft
// puts an older list back, or the form is emptied, the server is asked to draw it anew.

const form = document.getElementById("scan-form");

function listed() {
  return form.querySelector("textarea[name=listed]");
}

function redraw() {
  form.querySelector("[data-refresh]")?.click();
}

// What was wrong was wrong with what stood there: it is not said of what is typed now.
function forgetProblem() {
  const field = form.querySelector(".code-field.is-wrong");
  if (!field) return;
  field.classList.remove("is-wrong");
  field.querySelector(".errorlist")?.remove();
  const input = field.querySelector("input");
  input.removeAttribute("aria-invalid");
  input.removeAttribute("aria-describedby");
}

if (form) {
  window.addEventListener("load", () => {
    if (listed().value !== listed().defaultValue) redraw();
  });
  // A code taken by a button is typed nowhere: tell the draft keeper that the list has changed.
  document.addEventListener("htmx:afterSettle", (event) => {
    if (event.target.id === "capture") listed().dispatchEvent(new Event("input", { bubbles: true }));
  });
  form.addEventListener("input", (event) => {
    if (event.target.closest(".entry-of-code, #id_system")) forgetProblem();
    // What is known now is not what was known at another time: nothing is said until the server draws the list anew.
    if (event.target.name === "happened_at")
      for (const said of form.querySelectorAll(".known-before, .chip small")) said.remove();
    // What was remarked on a status or a count was remarked on the one before.
    for (const said of event.target.closest("#listed-codes")?.querySelectorAll("[data-of-answers]") ?? []) said.remove();
  });
  form.addEventListener("reset", () =>
    setTimeout(() => {
      listed().value = "";
      redraw();
    }),
  );
}
