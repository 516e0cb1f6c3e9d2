"use strict";
(function () {
  const data = JSON.parse(document.getElementById("data").textContent);
  const words = data.words;
  const key = "hillrow-walk/" + data.estate + "/" + data.survey;
  let kept = true;
  let answers = {};
  let me = null;
  try {
    const stored = JSON.parse(localStorage.getItem(key) || "{}");
    answers = stored.answers || {};
    document.getElementById("who").value = stored.who || "";
  } catch (fault) {
    kept = false;
  }

  function keep() {
    try {
      localStorage.setItem(key, JSON.stringify({ answers: answers, who: document.getElementById("who").value }));
      kept = true;
    } catch (fault) {
      kept = false;
    }
    tell();
  }

  function tell() {
    const done = data.stops.filter((stop) => answers[stop.number] && answers[stop.number].state).length;
    document.getElementById("count").textContent =
      done + " / " + data.stops.length + " " + words["walk.answered"] + ". " + (kept ? words["walk.kept"] : words["walk.notkept"]);
    for (const stop of data.stops) {
      const card = document.getElementById("stop" + stop.number);
      const answer = answers[stop.number] || {};
      card.classList.toggle("done", Boolean(answer.state));
      for (const button of card.querySelectorAll("[data-state]")) {
        button.setAttribute("aria-pressed", String(button.dataset.state === answer.state));
      }
    }
    draw();
  }

  function set(number, field, value) {
    const answer = answers[number] || {};
    answer[field] = value;
    answer.answered = new Date().toISOString().slice(0, 19) + "Z";
    if (me) {
      answer.latitude = me.latitude.toFixed(7);
      answer.longitude = me.longitude.toFixed(7);
    }
    answers[number] = answer;
    keep();
  }

  // East and north of a place in metres on a small plane: good to a hand's breadth over a farm.
  const middle = data.stops.length
    ? { latitude: data.stops[0].latitude, longitude: data.stops[0].longitude }
    : { latitude: 0, longitude: 0 };
  function plane(longitude, latitude) {
    const metres = 111320;
    return [
      (longitude - middle.longitude) * metres * Math.cos((middle.latitude * Math.PI) / 180),
      (latitude - middle.latitude) * metres,
    ];
  }

  function draw() {
    const svg = document.getElementById("sketch");
    const rings = data.blocks.map((block) => block.ring.map((p) => plane(p[0], p[1])));
    const way = data.way.map((p) => plane(p[0], p[1]));
    const stops = data.stops.map((stop) => plane(stop.longitude, stop.latitude));
    const all = rings.flat().concat(way, stops);
    if (all.length === 0) return;
    const xs = all.map((p) => p[0]);
    const ys = all.map((p) => p[1]);
    const west = Math.min(...xs), east = Math.max(...xs), south = Math.min(...ys), north = Math.max(...ys);
    const margin = 0.06 * Math.max(east - west, north - south, 10);
    const width = east - west + 2 * margin, height = north - south + 2 * margin;
    const unit = Math.max(width, height) / 100;
    svg.setAttribute("viewBox", [west - margin, -(north + margin), width, height].join(" "));
    const line = (points) => points.map((p) => p[0].toFixed(2) + "," + (-p[1]).toFixed(2)).join(" ");
    let out = "";
    rings.forEach((ring) => {
      out += '<polygon points="' + line(ring) + '" fill="#dfe7d5" stroke="#555" stroke-width="' + unit * 0.4 + '"/>';
    });
    out += '<polyline points="' + line(way) + '" fill="none" stroke="#1d3f72" stroke-width="' + unit * 0.7 + '" stroke-dasharray="' + unit * 2 + " " + unit + '"/>';
    data.stops.forEach((stop, at) => {
      const done = answers[stop.number] && answers[stop.number].state;
      out += '<g data-goto="' + stop.number + '"><circle cx="' + stops[at][0] + '" cy="' + -stops[at][1] + '" r="' + unit * 2.6 + '" fill="' + (done ? "#9ac7ac" : "#fff") + '" stroke="#111" stroke-width="' + unit * 0.4 + '"/>' +
        '<text x="' + stops[at][0] + '" y="' + (-stops[at][1] + unit * 1.1) + '" font-size="' + unit * 3 + '" text-anchor="middle">' + stop.number + "</text></g>";
    });
    const top = -(north + margin) + unit * 3;
    out += '<path d="M' + (east + margin - unit * 4) + " " + top + "l" + unit * 1.5 + " " + unit * 5 + "l" + -unit * 1.5 + " " + -unit + "l" + -unit * 1.5 + " " + unit + 'z" fill="#111"/>';
    if (me) {
      const p = plane(me.longitude, me.latitude);
      out += '<path d="M' + p[0] + " " + (-p[1] - unit * 2.6) + "l" + unit * 2.3 + " " + unit * 4.4 + "h" + -unit * 4.6 + 'z" fill="#d95f02" stroke="#111" stroke-width="' + unit * 0.4 + '"/>';
    }
    svg.innerHTML = out;
  }

  function near() {
    if (!me) return;
    for (const stop of data.stops) {
      const a = plane(stop.longitude, stop.latitude), b = plane(me.longitude, me.latitude);
      const east = a[0] - b[0], north = a[1] - b[1];
      const turn = ((Math.atan2(east, north) * 180) / Math.PI + 360) % 360;
      document.getElementById("stop" + stop.number).querySelector(".near").textContent =
        "· " + words["walk.next"] + " " + Math.hypot(east, north).toFixed(0) + " m, " + turn.toFixed(0) + "°";
    }
  }

  document.body.addEventListener("click", (event) => {
    const button = event.target.closest("[data-state]");
    if (button) {
      set(Number(button.closest(".stop").dataset.stop), "state", button.dataset.state);
      return;
    }
    const mark = event.target.closest("[data-goto]");
    if (mark) document.getElementById("stop" + mark.dataset.goto).scrollIntoView({ behavior: "smooth" });
  });

  for (const field of document.querySelectorAll("[data-field]")) {
    const number = Number(field.closest(".stop").dataset.stop);
    if (answers[number] && answers[number][field.dataset.field]) field.value = answers[number][field.dataset.field];
    field.addEventListener("change", () => set(number, field.dataset.field, field.value));
  }
  document.getElementById("who").addEventListener("change", keep);

  document.getElementById("locate").addEventListener("click", () => {
    const told = document.getElementById("where");
    if (!navigator.geolocation) {
      told.textContent = words["walk.noposition"];
      return;
    }
    navigator.geolocation.watchPosition(
      (found) => {
        me = found.coords;
        told.textContent = "± " + found.coords.accuracy.toFixed(0) + " m";
        draw();
        near();
      },
      () => {
        told.textContent = words["walk.noposition"];
      },
      { enableHighAccuracy: true, maximumAge: 5000 }
    );
  });

  function cell(text) {
    const plain = String(text === undefined ? "" : text);
    return /[",\r\n]/.test(plain) ? '"' + plain.replace(/"/g, '""') + '"' : plain;
  }

  function csv() {
    const columns = ["stop", "survey", "plant", "state", "cause", "sample", "who", "answered", "latitude", "longitude", "note"];
    const who = document.getElementById("who").value;
    const lines = [columns.join(",")];
    for (const stop of data.stops) {
      const answer = answers[stop.number];
      if (!answer || !answer.state) continue;
      lines.push([stop.number, data.survey, stop.plant, answer.state, answer.cause || "unknown", answer.sample, who, answer.answered, answer.latitude, answer.longitude, answer.note].map(cell).join(","));
    }
    return lines.join("\r\n") + "\r\n";
  }

  document.getElementById("save").addEventListener("click", () => {
    const link = document.createElement("a");
    link.href = URL.createObjectURL(new Blob([csv()], { type: "text/csv" }));
    link.download = "answers-" + data.survey + ".csv";
    document.body.appendChild(link);
    link.click();
    link.remove();
  });

  tell();
})();
