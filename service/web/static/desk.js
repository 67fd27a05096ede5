// The officer's pages keep themselves up to date and answer to single keys. Without scripts they work by links.
"use strict";

// Ask a small JSON whether anything changed; if so, fetch this page and swap the parts marked data-live.
(function () {
  const source = document.querySelector("[data-live-state]");
  if (!source) return;
  const address = source.dataset.liveState;
  let stamp = source.dataset.stamp;
  let pending = Number(source.dataset.pending);
  let every = 2000;
  let since = Date.now();

  function busy() {  // somebody is in the midst of something inside a part that would be swapped
    const here = document.activeElement;
    const part = here && here.closest("[data-live]");
    return part && (/^(INPUT|SELECT|TEXTAREA)$/.test(here.tagName) || part.contains(document.querySelector("[data-live] button:active")));
  }

  async function renew() {
    const answer = await fetch(location.pathname + location.search, { headers: { Accept: "text/html" } });
    if (!answer.ok || answer.redirected) return location.reload();
    const fresh = new DOMParser().parseFromString(await answer.text(), "text/html");
    const focused = document.activeElement && document.activeElement.id;
    const open = [...document.querySelectorAll("[data-live] details")].filter((each) => each.open).map((each) => each.id);
    for (const part of document.querySelectorAll("[data-live]")) {
      const other = fresh.getElementById(part.id);
      if (!other) return location.reload();
      if (part.innerHTML !== other.innerHTML) part.innerHTML = other.innerHTML;
    }
    for (const id of open) { const each = id && document.getElementById(id); if (each) each.open = true; }
    if (focused && document.activeElement.id !== focused) { const each = document.getElementById(focused); if (each) each.focus({ preventScroll: true }); }
    const now = fresh.querySelector("[data-live-state]");
    stamp = now.dataset.stamp;
    pending = Number(now.dataset.pending);
    for (const hidden of document.querySelectorAll("form.quick input[name=based_on]")) {
      // The figures in the form are the last reading's: a newer one from elsewhere must be told, not overwritten.
      const newer = fresh.querySelector("form.quick input[name=based_on]");
      const form = hidden.form;
      if (newer && newer.value !== hidden.value && !form.dataset.touched) {
        const theirs = newer.form;
        for (const field of form.querySelectorAll(".quick-fields input")) {
          const same = theirs.querySelector(`[id="${field.id}"]`);
          if (same) field.value = same.value;
        }
        hidden.value = newer.value;
      }
    }
    since = Date.now();
    document.dispatchEvent(new Event("renewed"));
  }

  async function look() {
    try {
      const answer = await fetch(address, { headers: { Accept: "application/json" } });
      if (answer.status === 401 || answer.status === 403) return location.reload();
      if (answer.ok) {
        const now = await answer.json();
        const words = document.querySelector("[data-live-words]");
        if (words) words.textContent = `Assessing: ${now.done} of ${now.total} entries are done.`;
        const bar = document.querySelector("[data-live] progress");
        if (bar) { bar.max = now.total; bar.value = now.done; }
        every = now.pending ? 1000 : 4000;
        if ((now.stamp !== stamp || now.pending !== pending || Date.now() - since > 60000) && !busy()) await renew();
      }
    } catch (error) {
      every = Math.min(every * 2, 30000);  // out of range for a moment; try again more slowly
    }
    setTimeout(look, document.hidden ? 15000 : every);
  }
  setTimeout(look, every);
  const quick = document.querySelector("form.quick");
  if (quick) quick.addEventListener("input", () => { quick.dataset.touched = "yes"; });
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
  for (const each of document.querySelectorAll(".quick-fields input.number")) each.addEventListener("focus", () => each.select());
})();
