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
  form.addEventListener("reset", () =>
    setTimeout(() => {
      listed().value = "";
      redraw();
    }),
  );
}
