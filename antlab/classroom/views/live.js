// The one player of every live view, in a notebook and on a phone page: a still picture, moving parts over it,
// native range inputs above. The moving parts come as one table of sixteenths of a pixel with a row for each
// setting of the sliders. A drag only picks a row, so the picture follows the hand whatever the kernel does.
// film.py says what a film is; VERSION, FINE and GAP are its own.

const SVG = "http://www.w3.org/2000/svg", VERSION = 1, FINE = 16, GAP = -32768;

const STYLE = `
.antlab { background: #fff; color: #111; font: 18px/1.35 "DejaVu Sans", Verdana, sans-serif; padding: 4px; }
.antlab-slider { display: flex; flex-wrap: wrap; align-items: center; column-gap: 12px; }
.antlab-slider label { display: contents; }
.antlab-slider output { order: 2; min-width: 9em; font-weight: bold; font-variant-numeric: tabular-nums; }
.antlab-slider input { order: 1; flex: 1; min-width: 120px; height: 44px; margin: 0; appearance: none;
  background: none; cursor: pointer; }
@media (max-width: 560px) {
  .antlab { font-size: 16px; }
  .antlab-slider output { order: 0; min-width: 0; }
  .antlab-slider input { flex-basis: 100%; }
}
.antlab-slider input::-webkit-slider-runnable-track { height: 8px; border-radius: 4px; background: #9aa3af; }
.antlab-slider input::-moz-range-track { height: 8px; border-radius: 4px; background: #9aa3af; }
.antlab-slider input::-webkit-slider-thumb { appearance: none; width: 28px; height: 28px; margin-top: -10px;
  border-radius: 50%; background: #0b3d91; border: 3px solid #fff; box-shadow: 0 0 0 1px #0b3d91; }
.antlab-slider input::-moz-range-thumb { width: 24px; height: 24px; border-radius: 50%; background: #0b3d91;
  border: 3px solid #fff; }
.antlab-view :is(input, select, button):focus-visible, .antlab :is(input, button):focus-visible {
  outline: 3px solid #993300 !important; outline-offset: 1px; border-radius: 6px; }
.antlab-slider input:focus-visible { outline-offset: -3px !important; }
.antlab-slider input:disabled { opacity: 0.4; }
.antlab-many { display: grid; grid-template-columns: repeat(auto-fit, minmax(min(240px, 100%), 1fr)); column-gap: 24px; }
.antlab-many output { order: 0; min-width: 0; }
.antlab-many input { flex-basis: 100%; }
.antlab-says { margin: 0; white-space: pre-line; font-variant-numeric: tabular-nums; }
.antlab-look { display: block; margin: 4px 6px 4px auto; padding: 2px 10px; font: inherit; font-size: 16px;
  color: #111; background: #fff; border: 2px solid #4f5660; border-radius: 6px; cursor: pointer; }
.antlab-look[aria-pressed=true] { color: #fff; background: #111; }
.antlab-picture { position: relative; margin: 0 auto; min-width: min(100%, 480px); }
.antlab-picture img, .antlab-picture svg { display: block; width: 100%; height: auto; }
.antlab-picture svg { position: absolute; inset: 0; height: 100%; will-change: transform; }
.antlab-message { margin: 8px 0; padding: 10px 14px; border: 3px solid #993300; font-weight: bold; }
.antlab-gone .antlab-picture, .antlab-gone .antlab-says { opacity: 0.3; }
.antlab-view .widget-dropdown > * { font-size: 18px !important; height: 36px; }
.antlab-projector { font-size: 22.5px; color: #000; }
.antlab-projector .antlab-slider input { height: 52px; }
.antlab-projector input::-webkit-slider-runnable-track { height: 12px; border-radius: 6px; background: #4f5660; }
.antlab-projector input::-moz-range-track { height: 12px; border-radius: 6px; background: #4f5660; }
.antlab-projector input::-webkit-slider-thumb { width: 38px; height: 38px; margin-top: -13px; }
.antlab-projector input::-moz-range-thumb { width: 34px; height: 34px; }
.antlab-view:has(.antlab-projector) .widget-dropdown > * { font-size: 22.5px !important; height: 46px; color: #000; }
.antlab-view:has(.antlab-projector) :focus-visible, .antlab-projector :focus-visible { outline-width: 5px !important; }
.antlab [hidden] { display: none; }`;

function make(tag, attributes, parent, space) {
  const node = space ? document.createElementNS(space, tag) : document.createElement(tag);
  for (const [name, value] of Object.entries(attributes)) node.setAttribute(name, value);
  parent?.append(node);
  return node;
}

// Why this player cannot show a still or frames, in words; empty when it can.
const foreign = ({ version }) => version === VERSION ? "" :
  `This picture comes as a film of version ${version}, and its player shows version ${VERSION}. ` +
  "Save, load this page again, restart the kernel and run the cell again. A page for phones has to be made anew.";

// ask(at) is called at each input; it matters to views whose rows come from the kernel one by one.
// choose(look) is called by the button for the projector, which is only there if choose is.
export function play(host, at, ask = () => {}, choose = null) {
  const root = make("div", { class: "antlab", role: "group" }, host);
  make("style", {}, root).textContent = STYLE;
  const sliders = make("div", {}, root);
  const message = make("p", { class: "antlab-message", role: "alert", hidden: "" }, root);
  const says = make("p", { class: "antlab-says", "aria-live": "polite", "aria-atomic": "true" }, root);
  const picture = make("div", { class: "antlab-picture" }, root);
  const svg = make("svg", { "aria-hidden": "true" }, picture, SVG);
  const button = choose && make("button", { class: "antlab-look", type: "button" }, root);
  let still = { sliders: [] }, inputs = [], film = { rows: 0 }, table, nodes = [], quiet, made = "", strange = "";

  if (button) {
    button.textContent = "Projector";
    button.title = "Large type and thick lines for a hall, or back";
    button.addEventListener("click", () => choose(button.getAttribute("aria-pressed") === "true" ? "plain" : "projector"));
  }

  // Controls, words and picture stand on one screen together, where it is not too low for that.
  const fit = new ResizeObserver(() => {
    const top = (node) => node?.getBoundingClientRect().top ?? 0, cell = root.closest(".jp-Cell");
    const above = top(picture) + (cell ? top(cell.closest(".jp-Notebook")) - top(cell) : scrollY);
    picture.style.maxWidth = `calc((100vh - ${Math.ceil(above) + 8}px) * ${still.width / still.height})`;
  });
  fit.observe(root);

  function setLook(look) {
    root.classList.toggle("antlab-projector", look === "projector");
    button?.setAttribute("aria-pressed", look === "projector");
  }

  function showSlider(k) {
    const text = still.sliders[k].texts[at[k]];
    inputs[k].input.setAttribute("aria-valuetext", text);
    inputs[k].output.textContent = text;
  }

  function follow(k, index) {
    at[k] = index;
    showSlider(k);
    if (still.ask) ask([...at]);
    else if (film.rows) {
      tell("");
      show();
    }
  }

  function makeSliders() {
    sliders.replaceChildren();
    sliders.classList.toggle("antlab-many", still.sliders.length > 2);
    inputs = still.sliders.map(({ name, unit, texts }, k) => {
      const line = make("div", { class: "antlab-slider" }, sliders);
      const label = make("label", {}, line);
      make("span", {}, label).textContent = unit ? `${name} (${unit})` : name;
      at[k] = Math.min(at[k] ?? 0, texts.length - 1);
      const input = make("input", { type: "range", min: 0, max: texts.length - 1, step: 1 }, label);
      input.value = at[k];
      input.addEventListener("input", () => follow(k, Number(input.value)));
      input.addEventListener("change", () => ask([...at]));
      const output = make("output", { "aria-live": "off" }, line);
      return { input, output };
    });
    inputs.forEach((_, k) => showSlider(k));
  }

  function setStill(next) {
    strange = foreign(next);
    if (strange) return tell(strange);
    still = next;
    const sliderSpec = JSON.stringify(still.sliders);
    if (sliderSpec !== made) makeSliders();
    made = sliderSpec;
    root.setAttribute("aria-label", still.title);
    svg.setAttribute("viewBox", `0 0 ${still.width * FINE} ${still.height * FINE}`);
    const image = make("img", { alt: still.alt, width: still.width, height: still.height });
    const url = URL.createObjectURL(new Blob([still.png], { type: "image/png" }));
    image.src = url;
    // The old picture stays until the new one can be painted: nothing blank in between.
    image.decode().catch(() => {}).then(() => {
      if (still === next) {
        picture.querySelector("img")?.remove();
        picture.prepend(image);
      }
      URL.revokeObjectURL(url);
    });
  }

  // A sentence in the picture's place; none brings the picture back.
  function tell(sentence) {
    message.textContent = sentence;
    message.hidden = !sentence;
    picture.hidden = says.hidden = Boolean(sentence);
  }

  function setFrames(next) {
    const refused = strange || foreign(next);
    tell(refused || next.message);
    if (refused || !next.rows) return;
    film = next;
    const bytes = film.table;
    table = new Int16Array(bytes.buffer.slice(bytes.byteOffset, bytes.byteOffset + bytes.byteLength));
    if (film.parts.length !== nodes.length || film.parts.some((part, i) => part.kind !== nodes[i].kind)) build();
    film.parts.forEach(dress);
    show();
  }

  function build() {
    svg.replaceChildren();
    nodes = film.parts.map(({ kind }, i) => {
      const clip = make("clipPath", { id: `antlab-${Math.random().toString(36).slice(2)}` }, svg, SVG);
      const box = make("rect", {}, clip, SVG);
      const shape = make(kind === "text" ? "text" : "path", {}, svg, SVG);
      if (kind !== "text") shape.setAttribute("clip-path", `url(#${clip.id})`);
      return { kind, box, shape };
    });
  }

  function dress(part, i) {
    const { box, shape } = nodes[i];
    ["x", "y", "width", "height"].forEach((name, j) => box.setAttribute(name, part.box[j]));
    const look = part.kind === "text"
      ? { "font-size": part.size, "font-weight": part.bold ? "bold" : "normal", fill: part.color,
          "font-family": '"DejaVu Sans", Verdana, sans-serif', "dominant-baseline": "central",
          "text-anchor": { left: "start", center: "middle", right: "end" }[part.align],
          stroke: "#fff", "stroke-width": part.size / 4, "paint-order": "stroke", "stroke-linejoin": "round" }
      : { fill: part.fill ? part.color : "none", "fill-opacity": part.fill, stroke: part.color,
          "stroke-width": part.width, "stroke-dasharray": part.dashes.join(" ") || "none",
          "stroke-linejoin": "round",
          "stroke-linecap": part.kind === "dots" || !part.dashes.length ? "round" : "butt" };
    for (const [name, value] of Object.entries(look)) shape.setAttribute(name, value);
  }

  function outline({ kind, n, x, y }, row) {
    const base = film.fixed + row * film.columns;
    const x0 = x.fixed ? x.at : base + x.at, y0 = y.fixed ? y.at : base + y.at;
    let path = "", pen = "M";
    for (let i = 0; i < n; i++) {
      const px = table[x0 + i], py = table[y0 + i];
      if (px === GAP || py === GAP) pen = "M";
      else if (kind === "dots") path += `M${px} ${py}h0`;
      else {
        path += `${pen}${px} ${py}`;
        pen = "L";
      }
    }
    return path;
  }

  function show() {
    let row = 0;
    if (!still.ask) still.sliders.forEach(({ texts }, k) => { row = row * texts.length + at[k]; });
    film.parts.forEach((part, i) => {
      const shape = nodes[i].shape;
      if (part.kind !== "text") shape.setAttribute("d", outline(part, row));
      else {
        const base = film.fixed + row * film.columns;
        const x = table[part.x.at + (part.x.fixed ? 0 : base)], y = table[part.y.at + (part.y.fixed ? 0 : base)];
        const there = x !== GAP && y !== GAP;
        shape.setAttribute("x", x);
        shape.setAttribute("y", y);
        shape.textContent = there ? part.texts[row] : "";
      }
    });
    // The line changes at once for the eye; a screen reader is told to wait until the hand rests.
    says.setAttribute("aria-busy", "true");
    says.textContent = film.says[row];
    clearTimeout(quiet);
    quiet = setTimeout(() => says.setAttribute("aria-busy", "false"), 400);
    root.dataset.row = row;
  }

  function gone(text) {
    root.classList.add("antlab-gone");
    message.textContent = text;
    message.hidden = false;
    [...inputs.map(({ input }) => input), ...(button ? [button] : [])].forEach((one) => { one.disabled = true; });
  }

  return { setStill, setFrames, setLook, gone, stop: () => { clearTimeout(quiet); fit.disconnect(); root.remove(); } };
}

// A phone page: the whole film is in the file, its bytes in base64.
export function playPage(host, { still, frames, at }) {
  const bytes = (text) => Uint8Array.from(atob(text), (c) => c.charCodeAt(0));
  const player = play(host, at);
  player.setStill({ ...still, png: bytes(still.png) });
  player.setFrames({ ...frames, table: bytes(frames.table) });
}

// The lesson's still pictures lie in figures/, and for the projector once more in figures/projector/.
function showStills(notebook, look) {
  notebook?.querySelectorAll('.jp-RenderedMarkdown img[src*="/figures/"]').forEach((image) => {
    const before = image.src;
    image.onerror = () => { image.onerror = null; image.src = before; };
    image.src = before.replace(/\/figures\/(projector\/)?/, look === "projector" ? "/figures/projector/" : "/figures/");
  });
}

// A notebook: anywidget's model brings the film, and sends the sliders' places back.
function render({ model, el }) {
  const tell = (name) => (value) => {
    model.set(name, value);
    model.save_changes();
  };
  const player = play(el, [...model.get("at")], tell("at"), tell("look"));
  // In sliders and choices keys belong to them, not to the notebook's shortcuts (Shift and M merges cells), save
  // those that run, save or leave; Escape leads back to the cell.
  const keys = (event) => {
    const view = event.target.closest?.(".antlab-view");
    if (!view?.contains(el) || event.ctrlKey || event.altKey || event.metaKey) return;
    if (!event.shiftKey || !["Enter", "Tab"].includes(event.key)) event.stopPropagation();
    if (event.key === "Escape") view.closest(".jp-Cell")?.focus();
  };
  document.addEventListener("keydown", keys, true);
  const still = () => model.get("still").png && player.setStill(model.get("still"));
  const frames = () => player.setFrames(model.get("frames"));
  const look = () => player.setLook(model.get("look"));
  const switched = () => {
    look();
    showStills(el.closest(".jp-Notebook"), model.get("look"));
  };
  const gone = () => player.gone("The kernel was restarted: run this cell again (Shift+Enter) to drag the view.");
  const watch = (_, status) => /restarting|dead|terminating/.test(status) && gone();
  const kernel = model.widget_manager?.kernel;
  look();
  still();
  frames();
  model.on("change:look", switched);
  model.on("change:still", still);
  model.on("change:frames", frames);
  model.on("comm_live_update", gone);
  kernel?.statusChanged?.connect(watch);
  return () => {
    document.removeEventListener("keydown", keys, true);
    model.off("change:look", switched);
    model.off("change:still", still);
    model.off("change:frames", frames);
    model.off("comm_live_update", gone);
    kernel?.statusChanged?.disconnect(watch);
    player.stop();
  };
}

export default { render };
