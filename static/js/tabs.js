// Where the tabs are wider than the page, the one that is open is brought into sight.

for (const tabs of document.querySelectorAll(".tabs")) {
  const open = tabs.querySelector("[aria-current]");
  if (open && tabs.scrollWidth > tabs.clientWidth) {
    tabs.scrollLeft = open.offsetLeft - (tabs.clientWidth - open.offsetWidth) / 2;
  }
}
