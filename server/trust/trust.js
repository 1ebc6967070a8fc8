// Opens the steps for this system, and tries the secure addresses when asked. Nothing is sent.
"use strict";

const agent = navigator.userAgent;
const apple = /iPhone|iPad|iPod/.test(agent) || (/Macintosh/.test(agent) && navigator.maxTouchPoints > 1);
const system = apple ? "ios" : /Android/.test(agent) ? "android" : "computer";
document.getElementById(system).open = true;

const button = document.getElementById("test");
const results = document.getElementById("results");
const verdict = document.getElementById("verdict");

// An answer of any kind means that the browser trusted the certificate; it may not be read here.
async function answers(url) {
  const stop = new AbortController();
  const timer = setTimeout(() => stop.abort(), 8000);
  try {
    await fetch(new URL("/api/ping", url), { mode: "no-cors", cache: "no-store", credentials: "omit", signal: stop.signal });
    return true;
  } catch {
    return false;
  } finally {
    clearTimeout(timer);
  }
}

button.addEventListener("click", async () => {
  button.disabled = true;
  button.textContent = "Testing";
  const rows = [...results.querySelectorAll("li")];
  results.hidden = false;
  const good = await Promise.all(rows.map(async (row) => {
    const cell = row.querySelector("b");
    cell.textContent = "trying";
    const ok = await answers(row.dataset.url);
    cell.textContent = ok ? "trusted" : "no";
    return ok;
  }));
  const first = rows[good.indexOf(true)];
  verdict.hidden = false;
  if (first) {
    verdict.className = "";
    verdict.textContent = good[0]
      ? "It worked. This device trusts the laptop. Now scan the second code on the laptop's page, or open the address below."
      : "It worked, but the name was not found; the number works. Use the number on this device, and ask your router to give the laptop the same number each time: what the phone keeps belongs to the address.";
    const open = document.getElementById("open");
    open.href = first.dataset.url;
    open.textContent = "Open " + first.dataset.url.replace(/^https:\/\//, "").replace(/\/$/, "");
    open.hidden = false;
  } else {
    verdict.className = "fault";
    verdict.textContent = apple
      ? "Not yet. On an iPhone or iPad the usual reason is step 3: the switch under Certificate Trust Settings. Turn it on, then test again."
      : "Not yet. Check that the certificate stands in the list of user certificates, that this is Chrome, and that the phone is in the same network as the laptop. Then test again.";
  }
  button.disabled = false;
  button.textContent = "Test again";
});
