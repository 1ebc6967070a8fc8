// The laptop's page: how phones get in, and who is in.
"use strict";

const $ = (id) => document.getElementById(id);
const SVG = "http://www.w3.org/2000/svg";
let pairing = null; // the code that is shown

async function ask(path, method = "GET", body) {
  const answer = await fetch(path, {
    method, cache: "no-store",
    headers: body ? { "Content-Type": "application/json" } : {},
    body: body && JSON.stringify(body),
  });
  const v = answer.status === 204 ? {} : await answer.json();
  if (!answer.ok) throw Object.assign(new Error(v.title), { problem: v });
  return v;
}

function fault(e) {
  const p = e.problem;
  $("fault-title").textContent = p ? p.title : "The server does not answer.";
  $("fault-do").textContent = p ? p.do || p.detail || "" : "Look at the terminal in which Bucktail was started.";
  $("fault").hidden = false;
}

// tried runs what a button does, and shows what went wrong.
const tried = (work) => async () => {
  $("fault").hidden = true;
  try { await work(); } catch (e) { fault(e); }
};

// draw shows a QR code with the four light modules around it that readers need.
function draw(into, qr, label, cells) {
  const size = qr.size + 8;
  const svg = document.createElementNS(SVG, "svg");
  svg.setAttribute("viewBox", `0 0 ${size} ${size}`);
  svg.setAttribute("role", "img");
  svg.setAttribute("aria-label", label);
  svg.setAttribute("shape-rendering", "crispEdges");
  let d = "";
  qr.rows.forEach((row, y) => [...row].forEach((c, x) => { if (c === "1") d += `M${x + 4} ${y + 4}h1v1h-1z`; }));
  const path = document.createElementNS(SVG, "path");
  path.setAttribute("d", d);
  svg.append(path);
  const row = document.createElement("div");
  for (const text of cells) row.append(Object.assign(document.createElement("span"), { textContent: text }));
  into.replaceChildren(svg, row);
  return row;
}

const day = new Intl.DateTimeFormat(undefined, { day: "numeric", month: "long", hour: "2-digit", minute: "2-digit" });

async function list() {
  const { devices } = await ask("/api/devices");
  $("devices").replaceChildren(...devices.map((d) => {
    const li = document.createElement("li");
    const text = document.createElement("span");
    text.append(Object.assign(document.createElement("b"), { textContent: d.name }));
    const facts = [d.owner ? "builder, the laptop" : d.role];
    if (d.this) facts.push("this browser");
    facts.push(d.revoked_at ? "removed " + day.format(new Date(d.revoked_at)) : "seen " + day.format(new Date(d.seen_at)));
    text.append(Object.assign(document.createElement("small"), { textContent: facts.join(" · ") }));
    const actions = document.createElement("span");
    const button = (label, work) => {
      const b = Object.assign(document.createElement("button"), { type: "button", className: "link", textContent: label });
      b.setAttribute("aria-label", `${label}: ${d.name}`);
      b.addEventListener("click", tried(work));
      actions.append(b);
    };
    if (d.revoked_at && !d.owner) button("Invite again", () => invite(d.role, d.id));
    if (!d.revoked_at) button("Rename", async () => {
      const name = prompt("Name of this device", d.name);
      if (name) await ask(`/api/devices/${d.id}`, "PATCH", { name });
      await list();
    });
    if (!d.revoked_at && !d.this) button("Remove", async () => {
      if (!confirm(`Remove “${d.name}”? It can do nothing from then on, until you invite it again.`)) return;
      await ask(`/api/devices/${d.id}/revoke`, "POST");
      await list();
    });
    li.append(text, actions);
    return li;
  }));
}

async function invite(role, device) {
  const p = await ask("/api/pairings", "POST", device ? { role, device } : { role });
  pairing = p;
  $("outcome").textContent = "";
  const row = draw($("pair-qr"), p.qr, "QR code to join", [role === "inspector" ? "for one inspector" : "good for one phone", ""]);
  $("pair-url").textContent = new URL(p.url).host + "/join";
  $("typed").textContent = p.typed;
  $("code").hidden = false;
  $("code").scrollIntoView({ block: "nearest" });
  watch(p, row.lastChild);
}

// watch counts down and notices when a device has used the code.
async function watch(p, cell) {
  for (let n = 0; pairing === p; n++) {
    const left = Math.max(0, Math.round((new Date(p.expires_at) - Date.now()) / 1000));
    cell.textContent = `${Math.floor(left / 60)}:${String(left % 60).padStart(2, "0")} left`;
    if (n % 2 === 0) {
      const now = await ask(`/api/pairings/${p.id}`).catch(() => null);
      if (pairing !== p) return;
      if (now && now.state !== "waiting") {
        $("code").hidden = true;
        pairing = null;
        $("outcome").textContent = now.state === "used" ? "A device has joined. If it was not yours, remove it below." : "The code has expired. Make a new one.";
        await list().catch(fault);
        return;
      }
      if (now && !now.typed) $("typed").textContent = "no longer good: it was typed wrongly too often";
    }
    await new Promise((done) => setTimeout(done, 1000));
  }
}

async function start() {
  try {
    const me = await ask("/api/me");
    if (me.device.role !== "builder") {
      $("locked-title").textContent = "This page is the builder's.";
      $("locked-do").textContent = "An inspector's device reads and signs in the app itself.";
      $("locked").hidden = false;
      return;
    }
    $("record").textContent = me.record.slice(0, 8);
  } catch (e) {
    if (!e.problem) return fault(e);
    $("locked-title").textContent = e.problem.title;
    $("locked-do").textContent = "Open the link in the terminal in which Bucktail was started; press Enter there for a new one.";
    $("locked").hidden = false;
    return;
  }
  try {
    const reach = await ask("/api/reach");
    $("address").textContent = reach.urls.length ? reach.urls.map((u) => new URL(u).host).join(", ") : reach.loopback;
    $("lan").hidden = !reach.lan;
    $("no-lan").hidden = reach.lan;
    if (reach.trust_qr) {
      draw($("trust-qr"), reach.trust_qr, "QR code of the trust page", ["the trust page", "first"]);
      $("trust-url").textContent = reach.trust_urls[0].replace("http://", "").replace(/\/$/, "");
      $("fingerprint").replaceChildren(...reach.fingerprint.match(/.{1,24}/g).flatMap((line) =>
        [line.replaceAll(":", " ").trim(), document.createElement("br")]));
    }
    await list();
    $("all").hidden = false;
  } catch (e) { fault(e); }
}

$("as-builder").addEventListener("click", tried(() => invite("builder")));
$("as-inspector").addEventListener("click", tried(() => invite("inspector")));
start();
