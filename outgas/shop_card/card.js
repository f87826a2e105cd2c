"use strict";
(() => {
  const data = JSON.parse(document.getElementById("table").textContent);
  const at = (id) => document.getElementById(id);
  const [WINDOW, NONE, REFUSED] = [0, 1, 2];
  const SLACK = 1e-9, SAME = 1e-9, ZERO_CELSIUS = 273.15;
  const fields = ["temperature", "humidity", "altitude"];
  const first = Object.fromEntries(fields.map((id) => [id, at(id).value]));
  const own = { temperature: data.own.T, humidity: data.own.RH, altitude: data.own.h };
  let mixed = null; // when the hardener went in, in milliseconds of the clock
  let shown = null;

  // What was kept, where a page may keep anything.
  const keep = (name, value) => {
    try {
      if (value === null) localStorage.removeItem(data.key + name);
      else localStorage.setItem(data.key + name, value);
    } catch { /* a page from a file may keep nothing */ }
  };
  const kept = (name) => {
    try { return localStorage.getItem(data.key + name); } catch { return null; }
  };

  // A pressure on a dial, rounded towards less vacuum, or where it must not be weaker to more.
  const reading = (p, here, [, kind, per]) => {
    if (kind === "absolute") return p * per;
    if (kind === "gauge") return (p - here) * per;
    return kind === "percent" ? (100 * (here - p)) / here : (here - p) * per;
  };
  const number = (p, here, dial, weaker = true) => {
    const [, , , step, , falls, places] = dial;
    const value = reading(p, here, dial) / step, full = reading(0, here, dial) / step;
    let steps = weaker === falls ? Math.ceil(value - SLACK) : Math.floor(value + SLACK);
    steps = falls ? Math.max(steps, Math.ceil(full - SLACK)) : Math.min(steps, Math.floor(full + SLACK));
    return (steps * step).toFixed(places).replace(/^-(0(\.0*)?)$/, "$1");
  };
  const dialOf = (name) => data.dials.find((dial) => dial[0] === name);
  const inMbar = (p, weaker = true) => String(weaker ? Math.ceil(p / 100 - SLACK) : Math.floor(p / 100 + SLACK));
  const both = (p, here, dial, weaker = true) => {
    const words = dial[4], said = number(p, here, dial, weaker);
    if (words.endsWith("absolute")) return `${said} ${words}`;
    return `${said} ${words.startsWith("%") ? words : words.split(" ")[0]} (${inMbar(p, weaker)} mbar)`;
  };

  // The table: the worst corner of the cell that a shop lies in.
  const ends = (axis, x) => {
    const on = axis.findIndex((knot) => Math.abs(x - knot) <= SAME * Math.abs(knot));
    if (on >= 0) return [on];
    if (!(axis[0] < x && x < axis[axis.length - 1])) return [];
    const high = axis.findIndex((knot) => knot > x);
    return [high - 1, high];
  };
  const read = (T, RH, here) => {
    const { axes, rows, pad } = data.grid;
    const [i, j, k] = [T, RH, here].map((x, n) => ends(axes[n], x));
    if (!i.length || !j.length || !k.length) return null;
    const corners = [];
    for (const a of i) for (const b of j) for (const c of k)
      corners.push(rows[(a * axes[1].length + b) * axes[2].length + c]);
    for (const outcome of [REFUSED, NONE])
      if (corners.some((row) => row[0] === outcome)) return { outcome };
    const most = (n) => Math.max(...corners.map((row) => row[n]));
    const more = corners.length > 1 ? pad : 0;
    const early = corners.every((row) => row[5] !== null) ? most(5) + more : null;
    const hold = most(early === null ? 3 : 1) + more;
    const deepest = most(early === null ? 4 : 2) + more;
    const weakest = here - most(6);
    if (hold + most(7) > weakest || weakest >= here) return { outcome: NONE };
    const gels = corners.every((row) => row[8] !== null);
    const least = (n) => Math.min(...corners.map((row) => row[n]));
    return {
      outcome: WINDOW, hold, deepest, weakest,
      early: early !== null && early < hold ? early : null,
      gel: gels ? [least(8), least(9), most(10)] : null,
    };
  };

  // What stands in the fields: the job's own number where its own text stands there.
  const value = (id) => {
    const text = at(id).value.trim();
    if (text === first[id]) return own[id];
    const n = text === "" ? NaN : Number(text);
    return id === "temperature" ? n + ZERO_CELSIUS : id === "humidity" ? n / 100 : n;
  };
  const standard = (h) => (1 - 0.0065 * h / 288.15) ** 5.255876;
  const air = (h) => (h === own.altitude ? data.own.p : data.own.p * standard(h) / standard(own.altitude));
  const clock = (s) => {
    const whole = Math.floor(Math.abs(s)), h = Math.floor(whole / 3600);
    const two = (n) => String(n).padStart(2, "0");
    return (s < 0 ? "-" : "") + (h ? `${h}:${two(Math.floor(whole / 60) % 60)}` : Math.floor(whole / 60)) + `:${two(whole % 60)}`;
  };
  const say = (id, text) => { if (at(id).textContent !== text) at(id).textContent = text; };
  const arc = (id, from, to) => {
    at(id).style.strokeDasharray = `${Math.max(0, to - from)} 200`;
    at(id).style.strokeDashoffset = String(-from);
  };
  const since = () => (mixed === null ? null : Math.max(0, (Date.now() - mixed) / 1000));

  const tick = () => {
    const s = since(), gel = shown && shown.gel;
    say("clock", s === null ? "not mixed yet" : clock(s));
    let gelText = "No gel time without a layup: time your own cup.";
    if (gel) {
      const left = s === null ? null : gel[0] - s;
      gelText = `Gel at ${clock(gel[1])}, ${clock(gel[0])} at the earliest, ${clock(gel[2])} at the latest.`;
      if (left !== null && left > 0) gelText = `${clock(left)} to the earliest gel. ` + gelText;
    }
    if (!shown || shown.outcome !== WINDOW) gelText = "";
    say("gel", gelText);
    let now = "", over = false;
    if (s !== null && shown && shown.outcome === WINDOW) {
      over = gel !== null && s >= data.last_change * gel[1];
      now = over ? "Too late to go deep: be at the hold, and stay."
        : shown.early !== null ? "Go deep only while the resin is thin, then come up." : "Hold, and stay.";
      if (gel && s >= gel[0]) now = "It may be gelling: look at the cup. Change nothing but weaker.";
      if (gel && s >= gel[2]) now = "It should have gelled: leave the vacuum on until it is cold.";
    }
    say("now", now);
    at("early").hidden = over || !shown || shown.outcome !== WINDOW || shown.early === null;
    document.querySelectorAll(".plan li").forEach((li, i) => {
      const [start, end] = data.stages[i];
      const current = s !== null && start <= s && s < end;
      li.classList.toggle("current", current);
      if (current) li.setAttribute("aria-current", "step"); else li.removeAttribute("aria-current");
    });
  };

  const update = () => {
    const dial = dialOf(at("dial").value);
    const [T, RH, h] = fields.map(value), here = air(h);
    shown = [T, RH, here].every(Number.isFinite) ? read(T, RH, here) : null;
    const good = shown && shown.outcome === WINDOW;
    say("air", Number.isFinite(here) ? `air ${Math.round(here / 100)} mbar` : "");
    const box = at("answer");
    for (const key of ["hold", "deepest", "weakest", "early"])
      box.dataset[key] = good && shown[key] !== null ? String(shown[key]) : "";
    box.dataset.outcome = shown ? ["window", "no window", "refused"][shown.outcome] : "beyond";
    say("setpoint", good ? number(shown.hold, here, dial)
      : !shown ? "Beyond this card" : shown.outcome === NONE ? "No window" : "Do not");
    document.querySelector(".big").classList.toggle("words", !good);
    say("unit", good ? dial[4] : "");
    say("absolute", good ? (dial[0] === "mbar" ? "" : `${inMbar(shown.hold)} mbar absolute`)
      : !shown ? "Make a card for this shop." : shown.outcome === NONE
        ? "No safe vacuum here that still clamps." : "Refused in a shop like this.");
    say("bounds", good ? `Never deeper than ${both(shown.deepest, here, dial)}, never weaker than ${both(shown.weakest, here, dial, false)}.` : "");
    say("early", good && shown.early !== null ? `First, while thin: ${both(shown.early, here, dial)}, then come up.` : "");
    const share = (p) => (100 * (here - p)) / here;
    arc("zone-good", good ? share(shown.weakest) : 0, good ? share(shown.deepest) : 0);
    const deep = good ? share(shown.early === null ? shown.deepest : shown.early) : 0;
    arc("zone-early", good ? share(shown.deepest) : 0, deep);
    arc("zone-deep", good ? deep : 0, 100);
    at("needle").style.display = good ? "" : "none";
    if (good) at("needle").setAttribute("transform", `rotate(${1.8 * share(shown.hold)} 100 104)`);
    for (const one of document.querySelectorAll(".p"))
      one.textContent = both(Number(one.dataset.pa), data.own.p, dial, one.dataset.weaker === "1");
    const elsewhere = T !== own.temperature || RH !== own.humidity || h !== own.altitude;
    document.body.classList.toggle("elsewhere", elsewhere);
    at("other").hidden = !elsewhere;
    tick();
  };

  const mix = (seconds) => {
    mixed = seconds === null ? null : Date.now() - 1000 * seconds;
    keep("mixed", mixed);
    tick();
  };
  at("mixed").addEventListener("click", () => { at("minutes").value = "0"; mix(0); });
  at("stop").addEventListener("click", () => { at("minutes").value = ""; mix(null); });
  at("minutes").addEventListener("input", () => {
    const n = at("minutes").value === "" ? NaN : Number(at("minutes").value);
    mix(Number.isFinite(n) && n >= 0 ? 60 * n : null);
  });
  at("back").addEventListener("click", () => {
    for (const id of fields) at(id).value = first[id];
    update();
  });
  for (const id of [...fields, "dial"]) at(id).addEventListener("input", update);
  document.querySelectorAll(".plan input").forEach((box) => {
    box.checked = kept(box.id) === "1";
    box.addEventListener("change", () => keep(box.id, box.checked ? "1" : null));
  });
  const before = Number(kept("mixed"));
  if (before > 0 && before <= Date.now()) mixed = before;
  update();
  setInterval(tick, 500);
})();
