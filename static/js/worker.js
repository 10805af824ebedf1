// Lets the browser keep the page for the time without a connection, where it allows that: over TLS.

if (document.body.dataset.person) {
  localStorage.setItem("garboard:person", document.body.dataset.person);
  navigator.serviceWorker?.register("/service-worker.js").catch(() => {});
}
