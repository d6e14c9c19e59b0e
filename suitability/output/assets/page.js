"use strict";
// What a page does beside its charts: folds, and what is to be done next from the reader's day on.
(function () {
  const now = new Date();
  const today = String(now.getMonth() + 1).padStart(2, "0") + "-" + String(now.getDate()).padStart(2, "0");

  for (const list of document.querySelectorAll(".ahead[data-turn]")) {
    const shown = list.children.length;
    const more = list.nextElementSibling;
    const rest = more && more.matches("details") ? more.querySelector(".ahead") : null;
    const items = [...list.children, ...(rest ? rest.children : [])];
    const to = items.filter((item) => item.dataset.day >= today);
    [...to, ...items.filter((item) => item.dataset.day < today)].forEach(function (item, at) {
      (at < shown ? list : rest).append(item);
    });
  }

  // A link to what is folded opens it; on paper all of it stands, and is folded again after.
  function reveal() {
    const target = document.getElementById(decodeURIComponent(location.hash.slice(1)));
    for (let one = target; one; one = one.parentElement) {
      if (one.matches("details")) { one.open = true; }
    }
    const own = target && target.matches(".group") ? target.querySelector("details") : null;
    if (own) { own.open = true; }
    if (target && (own || target.closest("details"))) { target.scrollIntoView(); }
  }
  window.addEventListener("hashchange", reveal);
  reveal();
  let opened = [];
  window.addEventListener("beforeprint", function () {
    opened = [...document.querySelectorAll("details.fold:not([open])")];
    for (const fold of opened) { fold.open = true; }
  });
  window.addEventListener("afterprint", function () {
    for (const fold of opened) { fold.open = false; }
  });
})();
