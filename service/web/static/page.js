// Makes pages better where scripts run; every page works without them.
"use strict";
document.documentElement.classList.add("scripted");

// Asking the service: pages that keep themselves up to date do it through here, and say so when nothing answers.
const service = (function () {
  const PATIENCE_MS = 10000, MISSED = 2;
  let missed = 0;
  let last = "";  // when it last answered, by its own clock

  function say() {
    let note = document.getElementById("out-of-touch");
    if (missed < MISSED) { if (note) note.remove(); return; }
    if (!note) {
      note = document.createElement("p");
      note.id = "out-of-touch";
      note.className = "notice notice-stop out-of-touch";
      note.setAttribute("role", "alert");
      document.getElementById("main").prepend(note);
    }
    const words = `No answer since ${last || "this page was opened"}; what stands here may be out of date.`;
    if (note.textContent !== words) note.textContent = words;
  }

  // `gone` are the answers besides 401 and 403 that mean: show the page anew.
  async function fetched(address, accept, read, gone) {
    const stop = new AbortController();
    const timer = setTimeout(() => stop.abort(), PATIENCE_MS);  // a cut line answers nothing at all
    try {
      const answer = await fetch(address, { headers: { Accept: accept }, signal: stop.signal });
      if ([401, 403, ...(gone || [])].includes(answer.status)) { location.reload(); return null; }
      if (!answer.ok) throw new Error(`answered ${answer.status}`);
      const found = await read(answer);
      missed = 0;
      if (found && found.at) last = found.at;
      say();
      return found;
    } catch (error) {
      missed += 1;
      say();
      throw error;
    } finally {
      clearTimeout(timer);
    }
  }

  // Look again and again; `look` answers with the time to the next one [ms]. Where it fails it is tried more slowly.
  function keepLooking(look, first) {
    let timer = 0, every = first, running = false;
    async function run() {
      clearTimeout(timer);
      if (running) return;
      running = true;
      try { every = await look(); } catch (error) { every = Math.min(Math.max(every, 2000) * 2, 15000); }
      running = false;
      timer = setTimeout(run, document.hidden ? 30000 : every);
    }
    document.addEventListener("visibilitychange", () => { if (!document.hidden) run(); });
    addEventListener("online", run);
    timer = setTimeout(run, first);
  }

  // Fetch this page anew and swap the parts marked data-live; where that cannot be done, show the whole page anew.
  async function renew() {
    const text = await fetched(location.pathname + location.search, "text/html", (answer) => answer.redirected ? null : answer.text());
    if (text === null) return location.reload();
    const fresh = new DOMParser().parseFromString(text, "text/html");
    const focused = document.activeElement && document.activeElement.id;
    const open = new Map([...document.querySelectorAll("[data-live] details[id]")].map((each) => [each.id, each.open]));
    for (const part of document.querySelectorAll("[data-live]")) {
      const other = fresh.getElementById(part.id);
      if (!other) return location.reload();
      if (part.innerHTML !== other.innerHTML) part.innerHTML = other.innerHTML;
      for (const name of Object.keys(other.dataset)) part.dataset[name] = other.dataset[name];
    }
    for (const [id, was] of open) { const each = document.getElementById(id); if (each) each.open = was; }
    if (focused && document.activeElement.id !== focused) { const each = document.getElementById(focused); if (each) each.focus({ preventScroll: true }); }
    document.dispatchEvent(new CustomEvent("renewed", { detail: fresh }));
  }

  return { ask: (address, gone) => fetched(address, "application/json", (answer) => answer.json(), gone), keepLooking, renew };
})();

// The page of a launch day: shown anew as soon as an entry, an assessment, a ruling or the weather is another one.
(function () {
  const here = document.querySelector("[data-progress]");
  if (!here) return;
  const BETWEEN_MS = 5000;  // while assessing goes on, so that a field full of phones does not slow it down
  let since = Date.now();
  service.keepLooking(async () => {
    const now = await service.ask(here.dataset.progress);
    if (!now) return 10000;
    const words = here.querySelector("[data-progress-words]"), bar = here.querySelector("progress");
    if (words) words.textContent = `Assessing: ${now.done} of ${now.total} entries are done.`;
    if (bar) bar.value = now.done;
    const past = Date.now() - since, other = now.stamp !== here.dataset.stamp;
    if ((other && (!now.pending || past > BETWEEN_MS)) || past > 300000) { await service.renew(); since = Date.now(); }
    return now.pending ? 2000 : 10000;
  }, 1000);
})();

// A page that waits for one assessment shows itself anew once it is there.
(function () {
  const one = document.querySelector("[data-wait-for]");
  if (!one) return;
  // What is shown only once must not vanish by itself: then the reader says when to go on.
  function arrived() {
    if (!document.querySelector("[data-shown-once]")) return location.reload();
    const link = document.createElement("a");
    link.href = location.pathname;
    link.className = "button main";
    link.textContent = "It is assessed: show where it stands";
    one.replaceChildren(link);
  }
  let there = false;
  service.keepLooking(async () => {
    if (there) return 60000;
    const now = await service.ask(one.dataset.waitFor);
    const mine = now && now.entries[one.dataset.entry];
    there = now && (!mine || mine.standing || now.failed.includes(one.dataset.entry));
    if (there) arrived();
    return 1000;
  }, 1000);
})();

// An entry's page shows itself anew once its assessment or its ruling is another one. Where somebody may be in the
// midst of ruling it says so instead: what is typed must not vanish.
(function () {
  const here = document.querySelector("[data-watch]");
  if (!here) return;
  const told = document.getElementById("moved-on");
  service.keepLooking(async () => {
    const answer = await service.ask(here.dataset.watch);
    const now = answer && answer.entries[here.dataset.entry];
    if (now) {
      const assessed = now.assessment === here.dataset.assessment;
      const ruled = (now.ruling || "") === here.dataset.ruling;
      if (!(assessed && ruled)) {
        if (!told) { location.reload(); return 10000; }
        told.querySelector("[data-moved-words]").textContent =
          assessed ? "its ruling is another one now." : "what this rests on has changed.";
        if (told.hidden) told.hidden = false;
      }
    }
    return 10000;
  }, 5000);
})();

// Conditions grow old while a page is open: the age is kept up, and the page fetched anew once it is too great.
(function () {
  const opened = new WeakMap();
  const typed = () => [...document.querySelectorAll("form[method=post] :is(input:not([type=hidden]), textarea)")]
    .some((each) => each.value !== each.defaultValue || each.checked !== each.defaultChecked);
  const busy = () => document.querySelector("[data-shown-once], form[method=post] :focus") !== null || typed();
  function words(minutes) {
    if (minutes < 1) return "less than 1\u00a0min old";
    if (minutes < 90) return `${Math.round(minutes)}\u00a0min old`;
    const hours = Math.floor(Math.round(minutes) / 60), rest = Math.round(minutes) % 60;
    return `${hours}\u00a0h${rest ? ` ${rest}\u00a0min` : ""} old`;
  }
  function count() {
    let stale = false;
    for (const each of document.querySelectorAll("[data-age-min]")) {
      if (!opened.has(each)) opened.set(each, Date.now());
      const minutes = Number(each.dataset.ageMin) + (Date.now() - opened.get(each)) / 60000;
      const limit = Number(each.dataset.limitMin), old = minutes > limit;
      const said = words(minutes) + (old ? `, too old to rule by (limit ${Math.round(limit)}\u00a0min)` : "");
      const place = each.querySelector("[data-age-words]");
      if (place.textContent !== said) place.textContent = said;
      each.classList.toggle("age-stale", old);
      stale = stale || old;
    }
    return stale;
  }
  count();
  document.addEventListener("renewed", count);
  setInterval(() => {
    if (!count() || busy()) return;
    // Where nothing answers, what is here is better than nothing: only what did answer takes its place.
    if (document.querySelector("[data-live]")) service.renew().catch(() => {});
    else service.ask(location.pathname.replace(/^(\/days\/[^/]+).*$/, "$1/progress")).then((now) => now && location.reload(), () => {});
  }, 15000);
})();

// After a refused form, the list of faults comes first.
(function () {
  const faults = document.getElementById("faults");
  if (faults) faults.focus();
})();
