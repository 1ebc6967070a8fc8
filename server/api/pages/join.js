// Joins this device with the code in the address (behind #, so that it reaches no log) or with
// one that is typed.
"use strict";

const $ = (id) => document.getElementById(id);
const secure = document.body.dataset.secure;
let code = decodeURIComponent(location.hash.slice(1));
$("where").textContent = location.host;

// Safari keeps no secure cookie over plain http, not even on the laptop itself.
const safari = /Safari/.test(navigator.userAgent) && !/Chrom|Edg|Firefox/.test(navigator.userAgent);
if (location.protocol === "http:" && safari && secure) {
  $("elsewhere").hidden = false;
  $("ask").hidden = true;
  $("secure").href = secure + "join" + location.hash;
} else if (code) {
  $("code-field").hidden = true;
  $("scanned").hidden = false;
  history.replaceState(null, "", "/join"); // the code is for one device, not for the browser's history
}

const agent = navigator.userAgent;
$("name").value = /iPhone/.test(agent) ? "iPhone" : /iPad/.test(agent) ? "iPad" : /Android/.test(agent) ? "Android phone"
  : location.hostname === "localhost" || location.hostname === "127.0.0.1" ? "This laptop" : "Computer";
$("name").select();

function fault(title, todo) {
  $("fault-title").textContent = title;
  $("fault-do").textContent = todo;
  $("fault").hidden = false;
}

async function ask(path, init) {
  const answer = await fetch(path, { cache: "no-store", ...init });
  const body = answer.status === 204 ? {} : await answer.json();
  if (!answer.ok) throw Object.assign(new Error(body.title), { problem: body });
  return body;
}

$("form").addEventListener("submit", async (event) => {
  event.preventDefault();
  $("fault").hidden = true;
  $("join").disabled = true;
  try {
    await ask("/api/pairings/redeem", {
      method: "POST",
      headers: { "Content-Type": "application/json" },
      body: JSON.stringify({ code: code || $("code").value, name: $("name").value }),
    });
    const me = await ask("/api/me"); // the browser must have kept the cookie
    document.cookie = "bucktail-joined=yes; path=/; max-age=34560000; samesite=strict"; // tells the app to ask who it is
    $("ask").hidden = true;
    $("done").hidden = false;
    $("done-as").textContent = me.device.role === "inspector"
      ? "As an inspector: it reads everything, signs findings and writes notes, and changes nothing else."
      : me.device.owner ? "As the builder who owns the record." : "As a builder.";
    if (me.device.owner) {
      $("go").href = "/laptop";
      $("go").textContent = "Pair a phone, or start";
    } else {
      $("next").hidden = false;
    }
    $("go").focus();
  } catch (e) {
    const p = e.problem;
    if (p && p.code === "no-token") fault("This browser did not keep the sign-in.", "Allow cookies for this address, then use a new code.");
    else if (p) fault(p.title, p.do || p.detail || "");
    else fault("The laptop does not answer.", "Check that this device is in the same network and that Bucktail runs on the laptop.");
    if (p && code && p.code !== "bad-value") { // the scanned code is no good: let another be typed
      code = "";
      $("code-field").hidden = false;
      $("scanned").hidden = true;
    }
    $("join").disabled = false;
  }
});
