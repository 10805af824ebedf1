// The list of codes of a scan lives in the form (textarea name="listed") and is drawn by the server. When a draft
// puts an older list back, or the form is emptied, the server is asked to draw it anew.

const form = document.getElementById("scan-form");

function listed() {
  return form.querySelector("textarea[name=listed]");
}

function redraw() {
  form.querySelector("[data-refresh]")?.click();
}

if (form) {
  window.addEventListener("load", () => {
    if (listed().value !== listed().defaultValue) redraw();
  });
  // A code taken by a button is typed nowhere: tell the draft keeper that the list has changed.
  document.addEventListener("htmx:afterSettle", (event) => {
    if (event.target.id === "capture") listed().dispatchEvent(new Event("input", { bubbles: true }));
  });
  form.addEventListener("reset", () =>
    setTimeout(() => {
      listed().value = "";
      redraw();
    }),
  );
}
