// The one script: keeps live parts and counters fresh. The pages work without it.
"use strict";

const EVERY_MS = 1000;
const TYPING_MS = 400;
const DAY_MS = 86_400_000;

function keepFresh(part) {
  let last = null;
  let busy = false;

  async function fetchPart() {
    if (busy || document.hidden) return;
    busy = true;
    try {
      const answer = await fetch(part.dataset.live, { headers: { "X-Part": "live" } });
      if (answer.status === 401) {
        location.reload();
      } else if (answer.ok) {
        const text = await answer.text();
        if (text !== last) part.innerHTML = text;
        last = text;
      }
    } catch {
      // The service is restarting, or the line is down: the next second tries again.
    } finally {
      busy = false;
    }
  }

  setInterval(fetchPart, EVERY_MS);
  document.addEventListener("visibilitychange", fetchPart);
}

// Measures the words of a form anew while they are typed; without it the form's own button does.
function keepMeasured(form) {
  const part = form.querySelector("[data-measure]");
  let waiting = 0;
  let turn = 0;

  async function measure() {
    turn += 1;
    const mine = turn;
    try {
      const body = new URLSearchParams(new FormData(form));
      const answer = await fetch(form.dataset.measured, { method: "POST", headers: { "X-Part": "live" }, body });
      // Only the newest question's answer is shown, in whichever order they come.
      if (answer.ok && mine === turn) part.innerHTML = await answer.text();
    } catch {
      // The line is down: the next letter tries again.
    }
  }

  form.addEventListener("input", () => {
    clearTimeout(waiting);
    waiting = setTimeout(measure, TYPING_MS);
  });
}

// The hour after which an alert is of no use moves with its day, as on the server, until somebody changes it by hand.
function moveWithDay(form) {
  const { on, send_at: sendAt, useless_after: until, was_day: wasDay, was_useless_after: was } = form.elements;
  const spoken = form.querySelector("[data-spoken]");
  const dayOf = (value) => Date.parse(`${value.slice(0, 10)}T00:00Z`);
  const part = (day, name, size) => new Date(day).toLocaleDateString("en", { [name]: size, timeZone: "UTC" });
  const inMonth = (day, size) => `${part(day, "weekday", size)} ${new Date(day).getUTCDate()}`;
  const named = (day, size) => `${inMonth(day, size)} ${part(day, "month", size)}`;
  const night = (day) => `night of ${inMonth(day, "short")} to ${named(day + DAY_MS, "short")}`;

  function move() {
    const isNight = spoken && "night" in spoken.dataset;
    const days = [on?.value, !(isNight && on.value) && sendAt.value].filter(Boolean).map(dayOf);
    const moved = Math.max(...days) - dayOf(wasDay.value);
    if (days.length && moved && until.value === was.value) {
      until.value = new Date(Date.parse(`${until.value}Z`) + moved).toISOString().slice(0, 16);
      was.value = until.value;
      wasDay.value = new Date(Math.max(...days)).toISOString().slice(0, 10);
    }
    if (spoken && on.value) {
      const day = dayOf(on.value);
      spoken.textContent = isNight ? night(day) : `${named(day, "long")} ${new Date(day).getUTCFullYear()}`;
    }
  }

  on?.addEventListener("change", move);
  sendAt.addEventListener("change", move);
}

document.querySelectorAll("[data-live]").forEach(keepFresh);
document.querySelectorAll("[data-measured]").forEach(keepMeasured);
document.querySelectorAll("[data-day]").forEach(moveWithDay);
