// The guess of a lesson: a row of large buttons, one of which is chosen, and empty axes to draw a curve upon. At the
// end of the lesson the same axes carry the true curve too. All words come from Python.

const SVG = "http://www.w3.org/2000/svg";
const STYLE = `
.antlab-guess { background: #fff; color: #111; font: 18px/1.35 "DejaVu Sans", Verdana, sans-serif; padding: 4px;
  --ink: #0b3d91; --other: #993300; --type: 16px; --line: 3px; max-width: 720px; }
.antlab-guess.antlab-projector { font-size: 22.5px; color: #000; --type: 20px; --line: 4.2px; max-width: 860px; }
.antlab-guess p { margin: 6px 0; }
.antlab-said { display: flow-root; min-height: calc(2.7em + 18px); } /* two lines: what follows does not move */
.antlab-letters { display: flex; flex-wrap: wrap; gap: 10px; }
.antlab-guess button { min-height: 48px; font: inherit; color: #111; background: #fff; border: 2px solid #4f5660;
  border-radius: 8px; padding: 2px 14px; cursor: pointer; }
.antlab-letters button { flex: 1; white-space: nowrap; padding: 2px 4px; min-width: 56px; max-width: 140px; min-height: 56px; font-size: 1.4em; font-weight: bold; }
.antlab-guess button[aria-checked=true] { color: #fff; background: var(--ink); border: 4px solid #111; }
.antlab-guess button[aria-checked=true]::after { content: " ●"; font-size: 0.6em; vertical-align: 0.2em; }
.antlab-guess :focus-visible { outline: 3px solid #993300; outline-offset: 2px; }
.antlab-guess.antlab-projector :focus-visible { outline-width: 5px; }
.antlab-task { font-weight: bold; margin-top: 14px !important; }
.antlab-guess svg { display: block; touch-action: none; user-select: none; -webkit-user-select: none; }
.antlab-guess svg.antlab-open { cursor: crosshair; }
.antlab-guess svg text { font-size: var(--type); fill: #111; }
.antlab-guess .edge { stroke: #4f5660; stroke-width: 1.5; fill: none; }
.antlab-guess .grid { stroke: #d5d8dc; stroke-width: 1; }
.antlab-guess.antlab-projector .grid { stroke: #a3abb5; stroke-width: 1.6; }
.antlab-guess .mine { stroke: var(--ink); stroke-width: var(--line); fill: none; }
.antlab-guess .told .mine { stroke-dasharray: 10 6; }
.antlab-guess .true { stroke: var(--other); stroke-width: calc(1.4 * var(--line)); fill: none; }
.antlab-guess circle { fill: #fff; stroke: var(--ink); stroke-width: 2.5; }
.antlab-guess circle.set { fill: var(--ink); }
.antlab-guess circle:focus-visible { outline: none; stroke: #993300; stroke-width: 5; }
.antlab-guess [hidden] { display: none; }`;

function make(tag, attributes, parent, space) {
  const node = space ? document.createElementNS(space, tag) : document.createElement(tag);
  for (const [name, value] of Object.entries(attributes)) node.setAttribute(name, value);
  parent?.append(node);
  return node;
}

const LETTER = 0.62; // how wide a letter is, of its type's size
const filled = (words, values) => words.replace(/\{(\w+)\}/g, (_, name) => values[name]);

// The buttons. choose(letter) is called when one is pressed, or reached by an arrow key, as radio buttons have it.
function letters(root, { options, words }, choose) {
  const group = make("div", { class: "antlab-letters", role: "radiogroup", "aria-label": words.letters }, root);
  const all = Object.entries(options).map(([letter, option]) => {
    const button = make("button", { type: "button", role: "radio", "aria-label": `${letter}: ${option}`, "data-letter": letter }, group);
    button.textContent = letter;
    button.addEventListener("click", () => choose(letter));
    return button;
  });
  const key = (event) => {
    if (!group.contains(event.target)) return;
    const step = { ArrowRight: 1, ArrowDown: 1, ArrowLeft: -1, ArrowUp: -1 }[event.key];
    const typed = all.find((one) => one.dataset.letter === event.key.toUpperCase());
    if (!step && !typed) return;
    const next = typed ?? all[(all.indexOf(document.activeElement) + step + all.length) % all.length];
    next.focus();
    choose(next.dataset.letter);
    event.preventDefault();
  };
  const set = (letter) => all.forEach((button, i) => {
    const here = button.dataset.letter === letter;
    button.setAttribute("aria-checked", here);
    button.tabIndex = here || (i === 0 && !(letter in options)) ? 0 : -1;
  });
  return { key, set };
}

// The axes. draw(heights) is called with each change by hand or key; without it nothing can be changed.
function axes(root, { curve, places, words, answer }, draw) {
  make("p", { class: "antlab-task" }, root).textContent = curve.task;
  const how = draw && make("p", {}, root);
  if (how) how.textContent = words.draw;
  const svg = make("svg", draw ? { class: "antlab-open", role: "group", "aria-label": curve.task } : { class: "told", role: "img", "aria-label": answer.alt }, root, SVG);
  let heights = [], box, dots = [], line, at = 0;
  const x = (share) => box.left + share * box.wide, y = (share) => box.top + (1 - share) * box.high;
  const spot = (i) => [x(i / (places - 1)), y((heights[i] ?? 0) / 100)];

  function lay() {
    const style = getComputedStyle(root), type = parseFloat(style.getPropertyValue("--type"));
    const wide = Math.max(280, Math.min(root.clientWidth - 8, 40 * type)), high = Math.min(0.5 * wide, 13 * type);
    const margin = Math.max(...curve.y.map(([, word]) => word.length)) * LETTER * type + 20;
    box = { left: margin, top: 14, wide: wide - margin - 3 * type, high: high - 14 - 2.4 * type };
    const under = curve.x.map(([share, word]) => {
      const long = word.length * LETTER * type;
      return share === 0 ? { left: box.left - Math.min(margin - 4, 2 * type), long, side: "start" }
        : share === 1 ? { left: wide - 2 - long, long, side: "end" } : { left: x(share) - long / 2, long, side: "middle" };
    });
    const crowded = under.some(({ left }, i) => i && left < under[i - 1].left + under[i - 1].long + 0.5 * type);
    const lower = crowded ? 1.3 * type : 0; // where they do not fit beside each other, every other word
    svg.setAttribute("viewBox", `0 0 ${wide} ${high + lower}`);
    svg.setAttribute("width", wide);
    svg.setAttribute("height", high + lower);
    svg.replaceChildren();
    for (const [share, word] of curve.y) {
      make("line", { class: "grid", x1: box.left, x2: x(1), y1: y(share), y2: y(share) }, svg, SVG);
      make("text", { x: box.left - 14, y: y(share) + 0.35 * type, "text-anchor": "end" }, svg, SVG).textContent = word;
    }
    curve.x.forEach(([share, word], i) => {
      const { left, long, side } = under[i], down = i % 2 * lower;
      make("line", { class: "grid", x1: x(share), x2: x(share), y1: y(0) + down, y2: y(1) }, svg, SVG);
      const by = left + { start: 0, middle: long / 2, end: long }[side];
      make("text", { x: by, y: y(0) + 1.5 * type + down, "text-anchor": side }, svg, SVG).textContent = word;
    });
    make("path", { class: "edge", d: `M${x(0)} ${y(1)}V${y(0)}H${x(1)}` }, svg, SVG);
    if (answer) make("polyline", { class: "true", points: answer.curve.map(([px, py]) => `${x(px)},${y(py)}`).join(" ") }, svg, SVG);
    line = make("path", { class: "mine" }, svg, SVG);
    dots = Array.from({ length: places }, (_, i) => {
      const dot = make("circle", { r: draw ? 8 : 6 }, svg, SVG);
      if (draw) {
        dot.setAttribute("role", "slider");
        dot.setAttribute("aria-orientation", "vertical");
        dot.setAttribute("aria-valuemin", 0);
        dot.setAttribute("aria-valuemax", 100);
        dot.addEventListener("focus", () => { at = i; });
      }
      return dot;
    });
    show();
  }

  function show() {
    let before = false;
    line.setAttribute("d", dots.map((_, i) => {
      const set = heights[i] != null, d = set ? `${before ? "L" : "M"}${spot(i).join(" ")}` : "";
      before = set;
      return d;
    }).join(""));
    dots.forEach((dot, i) => {
      const [cx, cy] = spot(i), set = heights[i] != null;
      dot.setAttribute("cx", cx);
      dot.setAttribute("cy", cy);
      dot.classList.toggle("set", set);
      dot.toggleAttribute("hidden", !draw && !set);
      if (!draw) return;
      const mark = curve.x.find(([share]) => Math.abs(share - i / (places - 1)) < 0.5 / (places - 1));
      dot.setAttribute("tabindex", i === at ? 0 : -1);
      dot.setAttribute("aria-label", [filled(words.dot, { at: i + 1, count: places }), mark?.[1]].filter(Boolean).join(", "));
      dot.setAttribute("aria-valuenow", heights[i] ?? 0);
      dot.setAttribute("aria-valuetext", set ? filled(words.height, { height: heights[i] }) : words.empty);
    });
    for (const one of [clear, drawn]) one?.toggleAttribute("hidden", !heights.some((height) => height != null));
  }

  function change(next) {
    heights = next;
    show();
    draw(heights);
  }

  function key(event) {
    const i = dots.indexOf(event.target);
    if (i < 0 || !draw) return;
    const step = { ArrowUp: 5, ArrowDown: -5, PageUp: 20, PageDown: -20, Home: -100, End: 100 }[event.key];
    const side = { ArrowRight: 1, ArrowLeft: -1 }[event.key];
    if (!step && !side) return;
    event.preventDefault();
    if (side) {
      at = Math.max(0, Math.min(places - 1, i + side));
      show();
      return dots[at].focus();
    }
    const next = Array.from({ length: places }, (_, one) => heights[one] ?? null);
    next[i] = Math.max(0, Math.min(100, (next[i] ?? 0) + step));
    change(next);
  }

  let clear, drawn; // the key's word for what was drawn stands where something was
  if (draw) {
    let last = null;
    const put = (event) => {
      const around = svg.getBoundingClientRect(), scale = svg.viewBox.baseVal.width / around.width;
      const i = Math.round(Math.max(0, Math.min(1, ((event.clientX - around.left) * scale - box.left) / box.wide)) * (places - 1));
      const up = 1 - ((event.clientY - around.top) * scale - box.top) / box.high;
      const height = Math.round(100 * Math.max(0, Math.min(1, up))), from = last ?? { i, height };
      const next = Array.from({ length: places }, (_, one) => heights[one] ?? null);
      for (let k = Math.min(i, from.i); k <= Math.max(i, from.i); k++) // a hand that was too quick for some of them
        next[k] = k === i ? height : k === from.i ? next[k] : Math.round(from.height + (height - from.height) * (k - from.i) / (i - from.i));
      last = { i, height };
      heights = next;
      show();
    };
    svg.addEventListener("pointerdown", (event) => {
      if (event.button) return;
      svg.setPointerCapture(event.pointerId);
      last = null;
      put(event);
      event.preventDefault();
    });
    svg.addEventListener("pointermove", (event) => { if (last) put(event); });
    for (const end of ["pointerup", "pointercancel"]) svg.addEventListener(end, () => {
      if (last) draw(heights);
      last = null;
    });
    clear = make("button", { type: "button" }, root);
    clear.textContent = words.clear;
    clear.addEventListener("click", () => {
      change([]);
      dots[at].focus();
    });
  } else {
    const legend = make("p", { "aria-hidden": "true" }, root);
    for (const [kind, word] of [["mine", words.yours], ["true", words.true]]) {
      const one = make("span", { class: `antlab-key ${kind}-key` }, legend);
      const sample = make("svg", { class: "told", width: 46, height: 14, style: "display: inline-block; margin: 0 6px 0 0" }, one, SVG);
      make("path", { class: kind, d: "M2 7H44" }, sample, SVG);
      one.append(`${word}   `);
      if (kind === "mine") drawn = one;
    }
  }
  let laid = 0; // the width for which it was laid out: a new line of words is no reason to lose the focus
  const watch = new ResizeObserver(() => {
    if (root.isConnected && root.clientWidth !== laid) lay(); // what was taken out of the page has no style
    laid = root.clientWidth;
  });
  if (root.isConnected) lay(); // folded away it has no width, and yet is printed
  watch.observe(root);
  return {
    key,
    set(next) { heights = [...next]; if (box) show(); },
    stop() { watch.disconnect(); },
  };
}

function render({ model, el }) {
  const about = model.get("about"), { answer, words } = about;
  const tell = (name) => (value) => {
    model.set(name, value);
    model.save_changes();
  };
  const root = make("div", { class: `antlab-guess${about.look === "projector" ? " antlab-projector" : ""}` }, el);
  make("style", {}, root).textContent = STYLE;
  const choice = answer ? null : letters(root, about, tell("letter"));
  const said = make("div", answer ? {} : { class: "antlab-said", role: "status" }, root);
  const drawing = about.curve && axes(root, about, answer ? null : tell("drawn"));
  const show = () => {
    choice?.set(model.get("letter"));
    drawing?.set(model.get("drawn"));
    said.replaceChildren(...model.get("says").filter(Boolean).map((line) => {
      const p = make("p", {});
      p.textContent = line;
      return p;
    }));
  };
  // Keys belong to what has the focus here, not to the notebook's shortcuts, save those that run, save or leave;
  // Escape leads back to the cell.
  const keys = (event) => {
    if (!root.contains(event.target) || event.ctrlKey || event.altKey || event.metaKey) return;
    choice?.key(event);
    drawing?.key(event);
    if (!event.shiftKey || !["Enter", "Tab"].includes(event.key)) event.stopPropagation();
    if (event.key === "Escape") root.closest(".jp-Cell")?.focus();
  };
  document.addEventListener("keydown", keys, true);
  const gone = () => {
    const p = make("p", {}, said);
    p.textContent = words.gone;
    root.querySelectorAll("button").forEach((button) => { button.disabled = true; });
  };
  const watch = (_, status) => !answer && /restarting|dead|terminating/.test(status) && gone();
  const kernel = model.widget_manager?.kernel;
  kernel?.statusChanged?.connect(watch);
  for (const name of ["letter", "drawn", "says"]) model.on(`change:${name}`, show);
  show();
  // Whoever runs the cell by Shift+Enter, which goes on to the next one, still has the buttons before them.
  const reveal = setTimeout(() => {
    const desk = root.closest(".jp-WindowedPanel-outer"), cell = root.closest(".jp-Cell");
    if (!desk || ![cell, cell.nextElementSibling].some((one) => one?.classList.contains("jp-mod-active"))) return;
    desk.scrollTop += Math.min(0, root.getBoundingClientRect().top - desk.getBoundingClientRect().top - 4);
  }, 300);
  return () => {
    document.removeEventListener("keydown", keys, true);
    for (const name of ["letter", "drawn", "says"]) model.off(`change:${name}`, show);
    kernel?.statusChanged?.disconnect(watch);
    drawing?.stop();
    clearTimeout(reveal);
  };
}

export default { render };
