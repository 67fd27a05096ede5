// The officer's pages keep themselves up to date and answer to single keys. Without scripts they work by links.
"use strict";

// Ask a small JSON whether anything changed; if so, fetch this page and swap the parts marked data-live.
(function () {
  const source = document.querySelector("[data-live-state]");
  if (!source) return;
  const quick = document.querySelector("form.quick");
  let since = Date.now();

  function busy() {  // somebody is in the midst of something inside a part that would be swapped
    const here = document.activeElement;
    const part = here && here.closest("[data-live]");
    return part && (/^(INPUT|SELECT|TEXTAREA)$/.test(here.tagName) || part.contains(document.querySelector("[data-live] button:active")));
  }

  // The figures in the form are the last reading's: a newer one from elsewhere must be told, not overwritten.
  document.addEventListener("renewed", (event) => {
    since = Date.now();
    const newer = event.detail.querySelector("form.quick");
    if (!quick || !newer || quick.dataset.touched || quick.contains(document.activeElement)) return;
    const [mine, theirs] = [quick, newer].map((form) => form.querySelector("[data-last-reading]"));
    if (quick.elements.based_on.value === newer.elements.based_on.value) return;
    mine.innerHTML = theirs.innerHTML;
    quick.elements.based_on.value = newer.elements.based_on.value;
  });
  if (quick) quick.addEventListener("input", () => { quick.dataset.touched = "yes"; });

  service.keepLooking(async () => {
    const now = await service.ask(source.dataset.liveState);
    if (!now) return 15000;
    const words = document.querySelector("[data-live-words]");
    if (words) words.textContent = `Assessing: ${now.done} of ${now.total} entries are done.`;
    const bar = document.querySelector("[data-live] progress");
    if (bar) { bar.max = now.total; bar.value = now.done; }
    const other = now.stamp !== source.dataset.stamp || now.pending !== Number(source.dataset.pending);
    if ((other || Date.now() - since > 60000) && !busy()) await service.renew();
    return now.pending ? 1000 : 4000;
  }, 2000);
})();

// Search as somebody types: the same words that the form would send.
(function () {
  const search = document.querySelector(".filters input[type=search]");
  if (!search) return;
  function narrow() {
    const words = search.value.toLowerCase().split(/\s+/).filter(Boolean);
    let shown = 0;
    for (const row of document.querySelectorAll("tr[data-text]")) {
      row.hidden = !words.every((word) => row.dataset.text.includes(word));
      if (!row.hidden) shown += 1;
    }
    const none = document.querySelector("[data-none]");
    if (none) none.hidden = shown > 0;
  }
  search.addEventListener("input", narrow);
  document.addEventListener("renewed", narrow);
  for (const each of document.querySelectorAll(".filters select")) each.addEventListener("change", () => each.form.submit());
  narrow();
})();

// Single keys, off while somebody types; they can be turned off for good.
(function () {
  const choice = document.getElementById("keys-on");
  let on = true;
  try { on = localStorage.getItem("single-keys") !== "off"; } catch (error) { /* no storage: on */ }
  if (choice) {
    choice.checked = on;
    choice.addEventListener("change", () => {
      on = choice.checked;
      try { localStorage.setItem("single-keys", on ? "on" : "off"); } catch (error) { /* for this page only */ }
    });
  }

  function step(by) {
    const links = [...document.querySelectorAll(".row-link")].filter((each) => !each.closest("[hidden]"));
    if (!links.length) return;
    const at = links.indexOf(document.activeElement);
    const to = links[at < 0 ? (by > 0 ? 0 : links.length - 1) : Math.max(0, Math.min(links.length - 1, at + by))];
    to.focus();
  }
  function goTo(each) {
    if (!each) return false;
    const folded = each.closest("details");
    if (folded) folded.open = true;
    each.focus();
    if (each.select) each.select();
    each.scrollIntoView({ block: "center" });
    return true;
  }
  function lacking() {
    const open = [...document.querySelectorAll("[data-lacking]")].find((each) => each.type === "checkbox" ? !each.checked : !each.value);
    return open || document.getElementById("f-reason");
  }

  document.addEventListener("keydown", (event) => {
    if (!on || event.ctrlKey || event.altKey || event.metaKey || event.isComposing) return;
    const here = event.target;
    if (here.matches("input:not([type=checkbox]):not([type=radio]), select, textarea") || here.isContentEditable) {
      if (event.key === "Escape") here.blur();
      return;
    }
    const key = event.key;
    let done = true;
    if (key === "j") step(1);
    else if (key === "k") step(-1);
    else if (key === "/") done = goTo(document.querySelector("input[type=search]"));
    else if (key === "w") {
      if (!goTo(document.getElementById("f-wind_speed"))) {
        const desk = document.querySelector("a[data-key=d]");
        if (desk) location.assign(desk.href + "#reading");
      }
    } else if (key === "i") done = goTo(lacking());
    else if (key === "?") { const list = document.getElementById("keys"); if (list) { list.open = true; list.querySelector("summary").focus(); list.scrollIntoView(); } }
    else {
      const each = /^[a-z]$/.test(key) && document.querySelector(`[data-key="${key}"]`);
      if (!each) done = false;
      else if (each.tagName === "A") location.assign(each.href);
      else done = goTo(each);
    }
    if (done) event.preventDefault();
  });
  if (location.hash === "#reading") goTo(document.getElementById("f-wind_speed"));
  // A prefilled figure is replaced by what is typed.
  document.addEventListener("focusin", (event) => { if (event.target.matches(".quick-fields input.number")) event.target.select(); });
})();
