// Puts an outline right on the photograph: by finger, mouse or keyboard. Without this script the form below still works.
"use strict";

(() => {
  const face = document.getElementById("face");
  const form = document.getElementById("measure");
  if (!face || !form) return;

  const SVG = "http://www.w3.org/2000/svg";
  const APART_PX = 30;     // points that can be held stand so far apart on the screen, the outline between follows
  const FEWEST = 12, MOST = 60;
  const TOUCH_PX = 26;     // a finger takes hold of the nearest point that lies within so much of it
  const width = Number(face.dataset.width), height = Number(face.dataset.height);
  const said = form.querySelector("[data-said]");
  const undoButton = form.querySelector("[data-undo]");
  const field = (name) => form.querySelector(`[name=${name}]`);

  let outline = JSON.parse(face.dataset.outline);   // [[x, y], ...] in pixels of the upright picture
  let handles = [];                                  // places in `outline` that can be held
  let current = 0;                                   // the handle that the keyboard is at
  let mode = "drag";
  let held = null;                                   // { handle, start: [x, y], before: outline }
  let ends = [];                                     // of a known length
  const history = [];
  const layer = face.appendChild(document.createElementNS(SVG, "g"));
  const marks = face.appendChild(document.createElementNS(SVG, "g"));

  function make(parent, name, attributes) {
    const made = document.createElementNS(SVG, name);
    for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
    return parent.appendChild(made);
  }

  function pixels(screenPx) {                        // how many picture pixels so many screen pixels are
    const box = face.getScreenCTM();
    return screenPx / (box ? box.a : 1);
  }

  function at(event) {                               // where on the picture
    const matrix = face.getScreenCTM();
    const point = new DOMPoint(event.clientX, event.clientY).matrixTransform(matrix.inverse());
    return [Math.min(width - 1, Math.max(0, point.x)), Math.min(height - 1, Math.max(0, point.y))];
  }

  function polygons() {
    let found = [...face.querySelectorAll("polygon")];
    if (!found.length && outline.length) {
      found = ["halo", "outline"].map((name) => {
        const made = make(face, "polygon", { class: name });
        face.insertBefore(made, layer);
        return made;
      });
    }
    return found;
  }

  function spread() {                                // handles evenly along the outline
    const round = outline.reduce((sum, [x, y], k) => {
      const [nextX, nextY] = outline[(k + 1) % outline.length];
      return sum + Math.hypot(nextX - x, nextY - y);
    }, 0);
    const wanted = Math.round(round / pixels(APART_PX));
    const count = Math.min(outline.length, Math.max(FEWEST, Math.min(MOST, wanted)));
    handles = Array.from({ length: count }, (_, k) => Math.round((k * outline.length) / count) % outline.length);
    current = Math.min(current, Math.max(0, count - 1));
  }

  function draw() {
    const text = outline.map((point) => point.map((value) => value.toFixed(1)).join(",")).join(" ");
    for (const polygon of polygons()) polygon.setAttribute("points", text);
    layer.replaceChildren();
    if (mode !== "drag") return;
    handles.forEach((place, number) => {
      const [x, y] = outline[place];
      const grab = make(layer, "circle", {
        class: "grab", cx: x, cy: y, r: pixels(TOUCH_PX), tabindex: number === current ? 0 : -1, role: "button",
        "aria-label": face.dataset.point.replace("#", number + 1).replace("#", handles.length),
      });
      grab.dataset.number = number;
      const dot = make(layer, "circle", { class: "handle", cx: x, cy: y, r: pixels(6) });
      if (held && held.number === number) dot.classList.add("held");
    });
  }

  // The outline moves with the handle, less and less up to the next handle on either side.
  function moved(points, number, dx, dy) {
    const place = handles[number], count = points.length;
    const before = handles[(number - 1 + handles.length) % handles.length];
    const after = handles[(number + 1) % handles.length];
    const back = (place - before + count) % count || count;
    const ahead = (after - place + count) % count || count;
    const result = points.map((point) => point.slice());
    for (let step = -back + 1; step < ahead; step += 1) {
      const share = 0.5 + 0.5 * Math.cos((Math.PI * step) / (step < 0 ? back : ahead));
      const index = (place + step + count) % count;
      result[index][0] = Math.min(width - 1, Math.max(0, points[index][0] + share * dx));
      result[index][1] = Math.min(height - 1, Math.max(0, points[index][1] + share * dy));
    }
    return result;
  }

  function remember() {
    history.push(outline);
    undoButton.disabled = false;
  }

  function changed() {
    field("outline").value = JSON.stringify(outline.map((point) => point.map((value) => Number(value.toFixed(1)))));
    field("across").value = field("down").value = "";
    marks.replaceChildren();
    said.textContent = said.dataset.moved;
  }

  function percent(point) {
    return [(100 * (point[0] + 0.5)) / width, (100 * (point[1] + 0.5)) / height].map((value) => value.toFixed(2));
  }

  function tap(point) {
    [field("across").value, field("down").value] = percent(point);
    field("outline").value = "";
    marks.replaceChildren();
    make(marks, "circle", { class: "mark", cx: point[0], cy: point[1], r: pixels(9) });
    said.textContent = said.dataset.tapped;
  }

  function mark(point) {
    ends = ends.length === 1 ? [ends[0], point] : [point];
    marks.replaceChildren();
    for (const end of ends) make(marks, "circle", { class: "mark", cx: end[0], cy: end[1], r: pixels(7) });
    said.textContent = ends.length === 1 ? said.dataset.first : said.dataset.both;
    if (ends.length < 2) return;
    make(marks, "line", { class: "known", x1: ends[0][0], y1: ends[0][1], x2: ends[1][0], y2: ends[1][1] });
    [field("from_across").value, field("from_down").value] = percent(ends[0]);
    [field("to_across").value, field("to_down").value] = percent(ends[1]);
    form.querySelector("[data-typed]").open = true;
    field("length").focus();
  }

  function nearest([x, y]) {                         // the handle within reach of a finger; -1: none
    const away = handles.map((place) => Math.hypot(outline[place][0] - x, outline[place][1] - y));
    const least = Math.min(...away);
    return least <= pixels(TOUCH_PX) ? away.indexOf(least) : -1;
  }

  face.addEventListener("pointerdown", (event) => {
    if (mode === "tap") { tap(at(event)); return; }
    if (mode === "length") { mark(at(event)); return; }
    const number = mode === "drag" ? nearest(at(event)) : -1;
    if (number < 0) return;
    event.preventDefault();
    current = number;
    held = { number: current, from: at(event), before: outline };
    face.setPointerCapture(event.pointerId);
    draw();
  });

  face.addEventListener("pointermove", (event) => {
    if (!held) return;
    const [x, y] = at(event);
    outline = moved(held.before, held.number, x - held.from[0], y - held.from[1]);
    draw();
  });

  function release() {
    if (!held) return;
    if (outline !== held.before) {
      const now = outline;
      outline = held.before;
      remember();
      outline = now;
      changed();
    }
    held = null;
    draw();
  }
  face.addEventListener("pointerup", release);
  face.addEventListener("pointercancel", release);

  face.addEventListener("keydown", (event) => {
    if (mode !== "drag" || !event.target.classList.contains("grab")) return;
    const step = pixels(event.shiftKey ? 12 : 2);
    const moves = { ArrowLeft: [-step, 0], ArrowRight: [step, 0], ArrowUp: [0, -step], ArrowDown: [0, step] };
    if (moves[event.key]) {
      remember();
      outline = moved(outline, current, ...moves[event.key]);
      changed();
    } else if (event.key === "PageDown" || event.key === "PageUp") {
      current = (current + (event.key === "PageDown" ? 1 : -1) + handles.length) % handles.length;
    } else {
      return;
    }
    event.preventDefault();
    draw();
    layer.querySelector(`.grab[data-number="${current}"]`).focus();
  });

  undoButton.addEventListener("click", () => {
    if (!history.length) return;
    outline = history.pop();
    spread();
    changed();
    if (!history.length) {
      field("outline").value = "";
      undoButton.disabled = true;
      said.textContent = "";
    }
    draw();
  });

  // An ellipse of the usual proportions in the middle, to be dragged to the eye where none was found.
  form.querySelector("[data-draw]").addEventListener("click", () => {
    remember();
    const [left, top, wide, high] = face.getAttribute("viewBox").split(" ").map(Number);
    const across = Math.min(wide, high) * 0.3, down = across * 0.6;
    outline = Array.from({ length: 180 }, (_, k) => {
      const turn = (2 * Math.PI * k) / 180;
      return [left + wide / 2 + across * Math.cos(turn), top + high / 2 + down * Math.sin(turn)];
    });
    spread();
    changed();
    mode = "drag";
    form.querySelector("[name=mode][value=drag]").checked = true;
    draw();
  });

  function setMode(value) {
    mode = value;
    form.querySelector(`[name=mode][value=${value}]`).checked = true;
    face.classList.toggle("dragging", mode === "drag");
    face.classList.toggle("tapping", mode === "tap" || mode === "length");
    if (mode !== "length") ends = [];
    face.setAttribute("viewBox", mode === "drag" ? face.dataset.view : `0 0 ${width} ${height}`);
    draw();
  }

  for (const choice of form.querySelectorAll("[name=mode]")) {
    choice.addEventListener("change", () => setMode(choice.value));
  }
  window.addEventListener("resize", () => { spread(); draw(); });
  face.removeAttribute("role");   // its points are buttons now; what it shows is said beside it
  face.setAttribute("role", "group");
  form.querySelector("[data-tools]").hidden = false;
  if (outline.length) spread();
  setMode(outline.length ? "drag" : "tap");
})();
