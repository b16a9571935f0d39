// The one player of every live view, in a notebook and on a phone page: a still picture, moving parts over it,
// native range inputs above. The moving parts come as one table of sixteenths of a pixel with a row for each
// setting of the sliders. A drag only picks a row, so the picture follows the hand whatever the kernel does.
// film.py says what a film is; VERSION, FINE and GAP are its own.

const SVG = "http://www.w3.org/2000/svg", VERSION = 6, FINE = 16, GAP = -32768;
const CORE = 0.65; // of a bead that runs along a line
const NARROW = 480; // pixels: what is less wide shows the picture that phones have
const BLUE = 0x913d0b, ORANGE = 0x003399; // crest and trough, as 0xBBGGRR

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
.antlab-many { display: flex; flex-wrap: wrap; column-gap: 24px; align-items: end; }
.antlab-many > .antlab-slider { flex: 1 1 min(240px, 100%); }
.antlab-many:has(.antlab-named) > .antlab-slider { flex-basis: min(210px, 100%); }
@media (max-height: 480px) { /* a phone turned: all in one line */
  .antlab-many { column-gap: 12px; }
  .antlab-many:has(.antlab-named) > .antlab-slider { flex-basis: min(150px, 100%); }
}
.antlab-many output { order: 0; min-width: 0; }
.antlab-many input { flex-basis: 100%; }
.antlab-named > span { display: block; }
.antlab-named > .antlab-few { display: contents; }
.antlab-named label { position: relative; display: inline-flex; align-items: center; min-height: 30px; padding: 0 6px;
  margin: 0 4px 2px 0; vertical-align: bottom; font-size: 16px; border: 2px solid #4f5660; border-radius: 6px; }
.antlab-named label:has(:checked) { color: #fff; background: #111; }
.antlab-named label:has(:focus-visible) { outline: 3px solid #993300; outline-offset: 1px; }
.antlab-named label:has(:disabled) { opacity: 0.4; }
@media (max-width: 560px) { /* a phone: what is slid along stands right above the picture that follows */
  .antlab:not(.antlab-beside) { display: flex; flex-direction: column; }
  .antlab:not(.antlab-beside) > .antlab-picture { align-self: stretch; width: 100%; }
  .antlab:not(.antlab-beside) > .antlab-clock { order: -1; }
  .antlab-many > .antlab-slider { order: 1; }
}
@media (max-width: 560px) {
  .antlab-named > span { display: inline; margin-right: 6px; line-height: 50px; }
  .antlab-named > .antlab-few { display: inline-block; margin: 0; line-height: inherit; vertical-align: middle; }
  .antlab-named:has(> .antlab-few) { display: flex; flex-wrap: wrap; align-items: center; }
  .antlab-named:has(> .antlab-few) > :first-child { line-height: 1.2; } /* also where they stand below it */
}
.antlab-named input { position: absolute; inset: 0; width: 100%; height: 100%; margin: 0; opacity: 0; cursor: pointer; }
.antlab-heard > .antlab-says { position: absolute; width: 1px; height: 1px; overflow: hidden; clip-path: inset(50%); }
.antlab-says { margin: 0; white-space: pre-line; font-variant-numeric: tabular-nums; }
.antlab button { padding: 2px 10px; font: inherit; font-size: 16px; color: #111; background: #fff;
  border: 2px solid #4f5660; border-radius: 6px; cursor: pointer; }
.antlab button:disabled { color: #767c85; border-color: #c3c8ce; background: #eef0f2; cursor: default; }
.antlab button[aria-pressed=true] { color: #fff; background: #111; }
.antlab-bar { display: flex; flex-wrap: wrap; justify-content: flex-end; gap: 6px; margin: 4px 6px 4px 0; }
.antlab-beside { display: grid; grid-template-rows: repeat(7, auto) 1fr; column-gap: 0.6em; align-items: start; }
.antlab-beside > :is(.antlab-sliders, .antlab-message) { grid-column: 1 / -1; }
.antlab-beside > .antlab-sliders { grid-row: 1; }
.antlab-beside > .antlab-message { grid-row: 2; }
.antlab-beside > .antlab-offers { grid-area: 9 / 1 / 10 / 3; }
.antlab-full.antlab-beside > .antlab-offers { grid-area: 7 / 2; grid-template-columns: 1fr; }
.antlab-beside > .antlab-picture { grid-area: 3 / 1 / 9 / 2; width: 100%; min-width: 0; }
.antlab-beside > .antlab-place { grid-area: 4 / 2; }
.antlab-beside > .antlab-clock { grid-area: 5 / 2; }
.antlab-beside > .antlab-says { grid-area: 6 / 2; margin-top: 4px; font-size: max(0.9em, 16px); line-height: 1.25; }
.antlab-says span { display: block; white-space: normal; }
.antlab-says.antlab-more { overflow-y: scroll; background: /* a shadow where there is more */
  linear-gradient(#fff 40%, #fff0) 0 0 / 100% 24px no-repeat local, linear-gradient(#fff0, #fff 60%) 0 100% / 100% 24px no-repeat local,
  linear-gradient(#0005, #0000) 0 0 / 100% 9px no-repeat scroll, linear-gradient(#0000, #0005) 0 100% / 100% 9px no-repeat scroll; }
.antlab-says.antlab-more:not(.antlab-end)::after { content: "▾ more"; position: sticky; bottom: 0; display: block; text-align: right;
  font-weight: bold; line-height: 1.1; color: #0b3d91; background: #fff; }
.antlab-says.antlab-more:focus-visible { outline: 3px solid #993300; outline-offset: -3px; }
.antlab-tabbed .antlab-says span + span { margin-top: 4px; }
.antlab-tabbed .antlab-says span:first-child { font-size: 1.25em; font-weight: bold; }
.antlab-beside > .antlab-bar { grid-area: 8 / 2; justify-content: flex-start; margin-right: 0; }
.antlab-beside > .antlab-bar button { padding: 2px 6px; }
.antlab-beside > .antlab-many { line-height: 1.2; }
.antlab-beside > .antlab-many:has(.antlab-named) { line-height: 1.1; }
.antlab-aside { position: relative; }
.antlab-aside > .antlab-choices { position: absolute; right: 0; z-index: 1; }
.antlab-tabbed .antlab:not(.antlab-beside) { display: flex; flex-direction: column; }
.antlab-tabbed .antlab:not(.antlab-beside) > :is(.antlab-says, .antlab-told) { order: 1; }
.antlab-tabbed .antlab:not(.antlab-beside) > .antlab-bar { order: 2; }
.antlab-tabbed .antlab:not(.antlab-beside) > .antlab-picture { align-self: stretch; width: 100%; min-width: 0; }
.antlab-tabbed:not(.antlab-aside) > .antlab-choices { order: 1; }
.antlab-tabbed .antlab-unit { position: absolute; width: 1px; height: 1px; overflow: hidden; clip-path: inset(50%); } /* its value has it */
.antlab-tabbed .antlab-beside > .antlab-many, .antlab-tabbed .antlab-beside .antlab-slider { column-gap: 8px; }
.antlab-tabbed .antlab-tucked.antlab-beside > .antlab-offers { grid-area: 3 / 1 / 9 / 2; align-self: end; } /* the words beside are longer than the picture */
.antlab-tabbed .antlab-beside { position: relative; padding: 4px 4px 0; }
.antlab-tabbed .antlab-beside > .antlab-many { position: relative; z-index: 1; line-height: 1.05; } /* a knob over the picture's edge */
.antlab-tabbed .antlab-beside > .antlab-bar { position: absolute; grid-area: auto; right: 0; bottom: 100%; margin: 0 4px 1px; }
.antlab-tabbed .antlab-beside > .antlab-bar button { padding: 0 6px; font-size: 15px; }
.antlab-tabbed .antlab-beside > .antlab-says { grid-area: 4 / 2; }
.antlab-tabbed .antlab-beside > .antlab-told { grid-area: 5 / 2; }
.antlab-tabbed .antlab-beside > .antlab-place { grid-area: 8 / 2; align-self: end; }
.antlab-tabbed:has(> .antlab-first) .antlab-beside > .antlab-place { grid-area: 3 / 2 !important; align-self: start; } /* what must not be missed */
.antlab-tabbed .antlab-projector.antlab-beside:not(.antlab-full):has(> .antlab-offers:not([hidden])) {
  & > .antlab-place { grid-area: 10 / 1 / 11 / 3; } /* large type: first what mends it */
}
.antlab-tabbed .antlab-projector.antlab-full.antlab-beside:has(> .antlab-offers:not([hidden])) > .antlab-place { grid-area: 9 / 1 / 10 / 3; }
:is(.antlab-view, .antlab):fullscreen { background: #fff; padding: 8px 16px; overflow: auto; overflow-anchor: none; }
.antlab-view:fullscreen > * { flex-shrink: 0; }
@media (max-width: 560px) { /* a phone's full screen: the picture whole, what it says in words below */
  :is(.antlab-view:fullscreen .antlab, .antlab:fullscreen) { display: flex; flex-direction: column; }
  :is(.antlab-view:fullscreen .antlab, .antlab:fullscreen) > .antlab-says { order: 1; }
  :is(.antlab-view:fullscreen .antlab, .antlab:fullscreen) > .antlab-bar { order: 2; }
  :is(.antlab-view:fullscreen .antlab, .antlab:fullscreen) > .antlab-picture { align-self: stretch; width: 100%; }
}
.antlab-clock { display: flex; flex-wrap: wrap; gap: 6px; margin: 2px 0; }
.antlab-clock button { min-height: 36px; min-width: 5em; }
.antlab-beside .antlab-clock { gap: 3px; }
.antlab-beside .antlab-clock button { min-width: 0; padding: 2px; font-size: 15px; }
.antlab-projector.antlab-beside .antlab-clock button { font-size: 18px; }
.antlab-heard.antlab-beside .antlab-clock:not([hidden]) { display: grid; grid-template-columns: repeat(2, auto); justify-content: start; }
.antlab-heard.antlab-beside .antlab-clock button { padding: 2px 5px; }
.antlab-heard.antlab-full.antlab-beside .antlab-clock button { padding: 2px 10px; }
@media (pointer: fine) {
  .antlab-many input { height: 30px; }
  .antlab-beside > .antlab-many input { height: 26px; }
  .antlab-tabbed .antlab-beside > .antlab-many input { height: 24px; }
  .antlab-beside:not(.antlab-projector) > .antlab-many input::-webkit-slider-thumb { width: 24px; height: 24px; margin-top: -8px; }
  .antlab-beside:not(.antlab-projector) > .antlab-many input::-moz-range-thumb { width: 20px; height: 20px; }
}
@media (pointer: coarse) { .antlab-clock button, .antlab-named label { min-height: 44px; } }
.antlab-picture:focus { outline: none; }
.antlab-picture { position: relative; margin: 0 auto; min-width: min(100%, 480px); }
.antlab-picture img, .antlab-picture svg { display: block; width: 100%; height: auto; }
.antlab-picture canvas { position: absolute; }
.antlab-picture svg { position: absolute; inset: 0; height: 100%; will-change: transform; pointer-events: none; }
.antlab-beads path { fill: none; stroke: #1a1a1a; stroke-linecap: round; }
.antlab-beads path + path { stroke: #ffc233; }
.antlab-handle { pointer-events: all; touch-action: none; cursor: grab; }
.antlab-handle circle { fill: transparent; }
.antlab-rail { pointer-events: stroke; fill: none; stroke: transparent; touch-action: none; cursor: grab; }
.antlab-rail path { vector-effect: non-scaling-stroke; }
.antlab-handle { color: #111; }
.antlab-handle path { fill: currentColor; stroke: #fff; stroke-width: 4; paint-order: stroke; stroke-linejoin: round; }
.antlab-handle.antlab-held { cursor: grabbing; }
:is(.antlab-handle:hover, .antlab-held) circle { fill: #111; fill-opacity: 0.12; }
.antlab-handle .antlab-dot { fill: #fff; stroke: currentColor; stroke-width: 4; }
@media print { .antlab-handle { display: none; } }
.antlab-offers { display: grid; grid-template-columns: repeat(auto-fit, minmax(min(250px, 100%), 1fr)); gap: 4px; margin: 1px 0 4px; }
.antlab-told { margin: 5px 0 0; font-size: 16px; line-height: 1.2; color: #0b3d91; }
.antlab-offers > .antlab-told { margin: 0; }
.antlab-projector .antlab-told { font-size: 18px; }
.antlab-offers button { text-align: left; font-size: 15px; line-height: 1.15; padding: 1px 2px; border-color: #0b3d91; }
.antlab-offers button b { display: block; font-size: 16px; color: #0b3d91; }
.antlab-projector .antlab-offers button { font-size: 18px; }
.antlab-projector .antlab-offers button { line-height: 1.05; }
.antlab-projector .antlab-offers button div { font-size: 16px; }
.antlab-projector .antlab-offers button b { font-size: 20px; }
.antlab-message { margin: 8px 0; padding: 10px 14px; border: 3px solid #993300; font-weight: bold; }
.antlab-message.antlab-hint { margin: 2px 0; padding: 0; border: 0; font-weight: normal; }
.antlab-gone .antlab-picture, .antlab-gone .antlab-says { opacity: 0.3; }
.antlab-view .widget-toggle-buttons button { width: auto; padding: 0 9px; font-size: 16px; color: #111; }
.antlab-view .widget-toggle-buttons button.mod-active { color: #fff; background: #111; }
.antlab-view .widget-dropdown > * { font-size: 18px !important; height: 36px; }
.antlab-view .antlab-said { white-space: normal; height: auto; line-height: 1.2; }
.antlab-view > .antlab-choices:has(> :nth-child(7)) .widget-dropdown { margin: 0 4px 0 0; }
.antlab-view > .antlab-choices:has(> :nth-child(7)) .widget-dropdown > * { font-size: 16px !important; height: 28px; line-height: 28px; }
.antlab-aside > .antlab-choices .widget-dropdown { max-width: 100%; margin: 2px 0; padding-right: 4px; }
.antlab-aside:has(.antlab-heard) > .antlab-choices .widget-dropdown { flex-wrap: wrap; } /* a narrow place */
.antlab-aside > .antlab-choices select { min-width: 0; flex: 0 1 auto; padding: 0 16px 0 2px; }
.antlab-aside > .antlab-choices .widget-dropdown > * { font-size: 16px !important; height: 30px; line-height: 30px; }
.antlab-projector { font-size: 22.5px; color: #000; }
.antlab-projector.antlab-full.antlab-beside > .antlab-says { font-size: max(1.1em, 1.7vw); }
.antlab-tabbed .antlab-projector.antlab-full.antlab-beside > .antlab-says { font-size: 0.9em; } /* with all that is offered */
.antlab-projector.antlab-full .antlab-handle path { transform: scale(1.6); }
.antlab-projector .antlab-slider input { height: 52px; }
.antlab-projector.antlab-beside > .antlab-many { font-size: 20px; }
.antlab-projector.antlab-beside > .antlab-many input { height: 40px; }
.antlab-projector :is(button, .antlab-named label) { font-size: 20px; }
.antlab-projector input::-webkit-slider-runnable-track { height: 12px; border-radius: 6px; background: #4f5660; }
.antlab-projector input::-moz-range-track { height: 12px; border-radius: 6px; background: #4f5660; }
.antlab-projector input::-webkit-slider-thumb { width: 38px; height: 38px; margin-top: -13px; }
.antlab-projector input::-moz-range-thumb { width: 34px; height: 34px; }
.antlab-view:has(.antlab-projector) .widget-dropdown > * { color: #000; }
.antlab-view:has(.antlab-projector):not(.antlab-aside) > .antlab-choices:not(:has(> :nth-child(7))) .widget-dropdown > * { font-size: 22.5px !important; height: 46px; }
.antlab-aside:has(.antlab-projector) .widget-dropdown > * { font-size: 20px !important; height: 38px; line-height: 38px; }
.antlab-view:has(.antlab-projector) :focus-visible, .antlab-projector :focus-visible { outline-width: 5px !important; }
.antlab-projector .antlab-slider input:focus-visible { outline-width: 4px !important; outline-offset: -6px !important; } /* clear of words and picture */
.antlab [hidden] { display: none; }`;

function make(tag, attributes, parent, space) {
  const node = space ? document.createElementNS(space, tag) : document.createElement(tag);
  for (const [name, value] of Object.entries(attributes)) node.setAttribute(name, value);
  parent?.append(node);
  return node;
}

// Words in which no line breaks a number off its unit, nor feet off their metres.
const unbroken = (text) => text.replace(/(\d) (?=(?:[kM]?Hz|[kmc]?m|ft|in|k?W|k?V|dBi?|[pnµ][FH]|k?Ω|%|miles|turns)(?![\w-]))/g, "$1\u00a0");

// How many million times slower a view's time runs on the screen, once the hand has made it `rate` times as quick.
const slowed = (text, rate) => text.replace(/([\d.]+) million times slower/, (_, many) => `${many / rate} million times slower`);

// Why this player cannot show a still or frames, in words; empty when it can.
const foreign = ({ version }) => version === VERSION ? "" :
  `This picture comes as a film of version ${version}, and its player shows version ${VERSION}. ` +
  "Save, load this page again, restart the kernel and run the cell again. A page for phones has to be made anew.";

// One clock for all views of a page, so that they swing together: seconds that passed, slowed or hastened.
// Each notebook's view brings this script anew, hence the one place where all of them find it.
const clock = globalThis[Symbol.for("antlab.clock")] ??= makeClock();

function makeClock() {
  const views = new Set(), rates = [1 / 8, 1 / 4, 1 / 2, 1, 2, 4];
  let seconds = 0, rate = 3, last = null, waiting = false;
  let playing = !matchMedia("(prefers-reduced-motion: reduce)").matches;
  const tell = () => views.forEach((view) => view.tick(seconds));
  const run = () => {
    if (waiting || !playing || ![...views].some((view) => view.seen())) return;
    waiting = true;
    requestAnimationFrame((now) => {
      waiting = false;
      if (!playing) return void (last = null);
      // A page that was hidden, or held up, goes on from where it stood.
      if (last !== null) seconds += rates[rate] * Math.min((now - last) / 1000, 0.1);
      last = now;
      tell();
      run();
      if (!waiting) last = null;
    });
  };
  const changed = () => {
    views.forEach((view) => view.told(playing, rate > 0, rate < rates.length - 1, rates[rate]));
    run();
  };
  addEventListener("beforeprint", () => self.play(false));
  const self = {
    join: (view) => { views.add(view); view.tick(seconds); changed(); },
    leave: (view) => views.delete(view),
    wake: run,
    play: (on = !playing) => { playing = on; changed(); },
    hasten: (steps) => { rate = Math.min(Math.max(rate + steps, 0), rates.length - 1); changed(); },
    step: (by) => { self.play(false); self.set(seconds + by); },
    set: (to) => { seconds = to; tell(); },
  };
  return self;
}

// Waves of a film upon a canvas of their own: turnTo(row) reckons how far each point swings, paint(turn) where it
// is. In a row that does not drive them they are hidden.
function makeSea({ box, across, up, high, drive, direct_on, echo_on, full, direct, echo }, still, before) {
  const canvas = make("canvas", { "aria-hidden": "true" });
  before.before(canvas);
  const numbers = ({ buffer, byteOffset, byteLength }) => new Int16Array(buffer.slice(byteOffset, byteOffset + byteLength));
  const sent = numbers(direct), echoed = numbers(echo), wide = 2 * across - 1;
  const re = new Float32Array(up * across), im = new Float32Array(up * across);
  const pen = canvas.getContext("2d"), image = pen.createImageData(canvas.width = wide, canvas.height = up);
  const pixels = new Uint32Array(image.data.buffer), shades = new Uint32Array(511);
  // Orange over nothing to blue, as 0xAABBGGRR of a little-endian machine, which all that run browsers are.
  shades.forEach((_, i) => { shades[i] = ((Math.abs(i - 255) << 24) | (i > 255 ? BLUE : ORANGE)) >>> 0; });
  const [left, top, width, height] = box.map((value, i) => 100 * value / FINE / (i % 2 ? still.height : still.width));
  Object.assign(canvas.style, { left: `${left}%`, top: `${top}%`, width: `${width}%`, height: `${height}%` });

  function turnTo(row) {
    canvas.hidden = !drive[row];
    if (canvas.hidden) return;
    const wire = high[row], own = 255 * drive[row] / full * direct_on[row], late = 255 * drive[row] / full * echo_on[row];
    for (let z = 0, i = 0; z < up; z++) {
      const d0 = Math.abs(z - wire) * across, e0 = (z + wire) * across;
      for (let y = 0; y < across; y++, i++) {
        const d = 2 * (d0 + y), e = 2 * (e0 + y);
        re[i] = own * sent[d] + late * echoed[e];
        im[i] = own * sent[d + 1] + late * echoed[e + 1];
      }
    }
  }

  function paint(turn) {
    if (canvas.hidden) return;
    const cos = Math.cos(2 * Math.PI * turn), sin = Math.sin(2 * Math.PI * turn);
    for (let z = 0, i = 0; z < up; z++) {
      const middle = (up - 1 - z) * wide + across - 1;
      for (let y = 0; y < across; y++, i++) {
        const value = Math.round(re[i] * cos - im[i] * sin);
        pixels[middle + y] = pixels[middle - y] = shades[value > 255 ? 510 : value < -255 ? 0 : value + 255];
      }
    }
    pen.putImageData(image, 0, 0);
  }

  return { turnTo, paint, remove: () => canvas.remove() };
}

// ask(at) is called at each input; it matters to views whose rows come from the kernel one by one.
// choose(look) is called by the button for the projector, which is only there if choose is.
// take(number) is called where an offer is taken; fold(narrow) where there is room for a phone's picture at most,
// and where there is more again.
export function play(host, at, ask = () => {}, choose = null, take = () => {}, fold = () => {}) {
  const root = make("div", { class: "antlab", role: "group" }, host);
  make("style", {}, root).textContent = STYLE;
  const sliders = make("div", { class: "antlab-sliders" }, root);
  const spot = make("div", { class: "antlab-place" }, root); // of the choices, when they stand beside the picture
  const clockBar = make("div", { class: "antlab-clock", role: "group", "aria-label": "Time", hidden: "" }, root);
  const message = make("p", { class: "antlab-message", role: "alert", hidden: "" }, root);
  const offers = make("div", { class: "antlab-offers", role: "group", "aria-label": "What would mend it", "aria-live": "polite", hidden: "" }, root);
  const says = make("p", { class: "antlab-says", "aria-live": "polite", "aria-atomic": "true" }, root);
  const told = make("p", { class: "antlab-told", "aria-live": "polite", hidden: "" }, root); // of what is offered
  const picture = make("div", { class: "antlab-picture", tabindex: -1 }, root);
  const svg = make("svg", { "aria-hidden": "true" }, picture, SVG);
  const bar = make("div", { class: "antlab-bar" }, root);
  const fuller = document.fullscreenEnabled && make("button", { type: "button" }, bar);
  const button = choose && make("button", { class: "antlab-look", type: "button" }, bar);
  let still = { sliders: [], clock: 0 }, row = 0, turn = 0, left = 1, last = null, inputs = [], film = { rows: 0 }, layers = [], nodes = [], grips = [], seas = [], quiet, sounding, quick = 1, runs = false, beat = 0, made = "", strange = "", moved = "", narrow = false;

  if (button) {
    button.textContent = "Projector";
    button.title = "Large type and thick lines for a hall, or back";
    button.addEventListener("click", () => choose(button.getAttribute("aria-pressed") === "true" ? "plain" : "projector"));
  }

  const whole = () => root.closest(".antlab-view") ?? root;
  const isFull = () => Boolean(document.fullscreenElement?.contains(root));
  function fill() {
    if (fuller) fuller.textContent = isFull() ? "Leave full screen" : "Full screen";
    fit();
    if (!isFull()) return;
    whole().scrollTop = 0; // the button that was pressed would draw the page down
    if (document.activeElement === fuller) picture.focus({ preventScroll: true }); // Space stops the time
  }
  if (fuller) {
    fuller.title = "The picture as large as the screen; Escape leaves";
    fuller.addEventListener("click", () => isFull() ? document.exitFullscreen() : whole().requestFullscreen());
    fuller.textContent = "Full screen";
  }
  document.addEventListener("fullscreenchange", fill);

  const timeButton = (text, title, act) => {
    const one = make("button", { type: "button", title }, clockBar);
    one.textContent = text;
    one.addEventListener("click", act);
    return one;
  };
  const playing = timeButton("Pause", "Stop the time, or let it run (Space)", () => clock.play());
  const slower = timeButton("Slower", "Half as fast", () => clock.hasten(-1));
  const faster = timeButton("Faster", "Twice as fast", () => clock.hasten(1));
  timeButton("Step", "An eighth of a turn", () => clock.step(still.clock / 8 / (ring()?.pace[row] ?? 1)));
  const pluckers = [
    timeButton("Pluck", "Charge it anew and let it go", pluck),
    timeButton("Hear it", "The same ring, slowed only so far that it can be heard", (event) => { pluck(); sound(ring(), event.currentTarget); }),
  ];
  let inSight = true;
  const sight = new IntersectionObserver((changes) => {
    inSight = changes.at(-1).isIntersecting; // a busy browser tells several at once, the oldest first
    clock.wake();
  });
  sight.observe(picture);
  const hand = {
    seen: () => inSight && !root.hidden,
    tick: (seconds) => {
      pass(seconds);
      if (inSight) swing();
    },
    told: (on, canSlow, canHasten, rate) => {
      playing.textContent = on ? "Pause" : "Play";
      slower.disabled = !canSlow;
      faster.disabled = !canHasten;
      quick = rate;
      runs = on;
      if (film.rows) speak();
      if (!on && film.rows) swing(); // where it stands, to the letter
    },
  };
  // What rings has a pace and a loss of its own in each row, and goes on from where it is when the row changes.
  const ring = () => film.ring?.[0];
  function pass(seconds) {
    const turns = ring() && ring().pace[row] * (seconds - (last ?? seconds)) / still.clock;
    turn = ring() ? turn + turns : seconds / still.clock;
    left = ring() ? left * Math.exp(-ring().loss[row] * turns) : 1;
    last = seconds;
  }
  function pluck() {
    turn = 0;
    left = 1;
    swing();
    clock.play(true);
  }
  // Heard for as long as a thousandth of it is left; nothing sounds until somebody asks for it.
  function sound({ pace, loss, pitch_hz }, pressed) {
    const heard = globalThis[Symbol.for("antlab.sound")] ??= new AudioContext(), now = heard.currentTime;
    const tone = new OscillatorNode(heard, { frequency: pace[row] * pitch_hz }), volume = new GainNode(heard, { gain: 0.4 });
    const fades = 1 / (loss[row] * pace[row] * pitch_hz);
    heard.resume();
    volume.gain.setTargetAtTime(0, now, fades);
    tone.connect(volume).connect(heard.destination);
    tone.start(now);
    tone.stop(now + 7 * fades);
    pressed.setAttribute("aria-pressed", "true");
    sounding = tone;
    tone.onended = () => { if (sounding === tone) pressed.setAttribute("aria-pressed", "false"); };
  }
  // Space stops the time from everywhere in the view, save from a button, which it presses.
  function key(event) {
    if (event.key === "Escape" && isFull()) document.exitFullscreen();
    if (event.key !== " " || !still.clock || event.defaultPrevented || event.target.closest("button, select")) return;
    event.preventDefault();
    clock.play();
  }
  root.addEventListener("keydown", key);

  // Controls, words and picture stand on one screen together, where it is not too low for that: in a notebook with
  // the line of code above, or the questions below. Words stand beside the picture if that leaves it larger.
  function fit() {
    if (!root.isConnected || !still.width) return;
    const box = (node) => node.getBoundingClientRect(), shape = still.width / still.height;
    const cell = isFull() ? null : root.closest(".jp-Cell"), view = root.closest(".antlab-view");
    const all = view?.querySelector(":scope > .antlab-choices"), choices = all?.childElementCount ? all : null;
    const tabs = view?.querySelector(":scope > .antlab-tabs");
    const top = box(view ?? root).top, style = getComputedStyle(root), em = parseFloat(style.fontSize);
    const high = cell ? box(cell.closest(".jp-Notebook")).height : innerHeight;
    const page = root.closest("figure"); // among the words of a lesson's page
    const before = cell ? top - box(cell).top : isFull() ? top : page ? top - box(page).top : top + scrollY;
    const offered = tabs && !isFull() ? 5 * em : 0; // room for what it may come to offer, below
    const room = high - Math.max(before + offered, Math.min(cell?.nextElementSibling?.offsetHeight ?? 0, 110)) - 8;
    // Of the window it has 55 % at least, where that is there at all; in a hall, if it says all in it, two thirds.
    const share = still.heard && root.classList.contains("antlab-projector") ? 0.66 : 0.552;
    const least = (over) => Math.max(room - over, Math.min(share * innerHeight, high - 8 - over));
    const wide = root.clientWidth - 2 * parseFloat(style.paddingLeft), gap = 0.6 * em, side = (tabs ? 16 : still.heard ? 8 : 12.5) * em; // heard: no words to stand there
    const lines = (still.heard ? 0 : 1.4 * em * spoken().split("\n").length) + (still.clock ? 2.4 * em : 0) + 2.4 * em;
    const aside = choices && (tabs || choices.childElementCount < 4), beyond = choices && !aside ? choices.offsetHeight : 0;
    const left = least(sliders.offsetHeight + beyond + (tabs?.offsetHeight ?? 0));
    const beside = wide > 30 * em &&
      Math.min(wide - side - gap, left * shape) > Math.min(wide, (left - lines - (aside ? 2.4 * em : 0)) * shape);
    root.classList.toggle("antlab-beside", beside);
    root.classList.toggle("antlab-full", isFull()); // there it is offered beside the picture
    view?.classList.toggle("antlab-aside", Boolean(beside && aside));
    const across = Math.floor(Math.max(Math.min(wide - side - gap, least(box(picture).top - top) * shape), 0.4 * wide));
    root.style.gridTemplateColumns = beside ? `${across}px minmax(0, 1fr)` : "";
    const below = isFull() ? bar.offsetHeight + 12 : 0; // a full screen is not pushed up and down
    picture.style.maxWidth = beside ? "" : `${Math.max(least(box(picture).top - top + below) * shape, 200)}px`;
    if (beside && aside) {
      choices.style.left = `${box(spot).left - box(view).left}px`; // first: then they break their lines
      spot.style.height = `${choices.offsetHeight}px`;
      choices.style.top = `${box(spot).top - top + view.scrollTop}px`;
    } else {
      spot.style.height = "";
      if (all) all.style.left = all.style.top = "";
    }
    tuck(beside && tabs && !isFull() && !offers.hidden);
    cap(beside && tabs && !isFull() && across / shape);
    if (choices) sized.observe(choices);
  }
  // Words beside tabs are as high as the picture with its choices, so that no tab moves the others: the rest is scrolled to.
  function cap(high) {
    const besides = [spot, told].filter((one) => one.parentElement === root && getComputedStyle(one).gridColumnStart === "2");
    const left = high - besides.reduce((sum, one) => sum + one.offsetHeight, 0) - 8;
    says.style.maxHeight = high ? `${Math.max(left, 120)}px` : "";
    more();
  }
  function more() {
    const longer = Boolean(says.style.maxHeight) && says.scrollHeight > says.clientHeight + 1;
    says.classList.toggle("antlab-more", longer);
    says.classList.toggle("antlab-end", longer && says.scrollTop + says.clientHeight > says.scrollHeight - 4);
    if (longer) says.tabIndex = 0;
    else says.removeAttribute("tabindex");
  }
  says.addEventListener("scroll", more, { passive: true });
  // What is offered stands under the picture, where the words beside leave so much room there.
  function tuck(may) {
    root.classList.toggle("antlab-tucked", Boolean(may));
    const image = picture.querySelector("img");
    if (may && (!image || offers.getBoundingClientRect().top < image.getBoundingClientRect().bottom)) root.classList.remove("antlab-tucked");
  }
  // Whoever runs a view by Shift+Enter has all of it before them, and the questions after it; for a second, in
  // which offers may still come and JupyterLab scrolls to the next cell, or until the hand does anything.
  function reveal() {
    const cell = root.closest(".jp-Cell"), next = cell?.nextElementSibling, desk = cell?.closest(".jp-Notebook");
    if (!desk || ![cell, next].some(isActive)) return;
    const look = () => {
      if (isHeld() || !root.isConnected) return;
      const last = next?.matches(".jp-MarkdownCell") && next.offsetHeight < 200 ? next : cell;
      const [above, below] = beyondDesk(cell, desk, last);
      scrollDesk(cell, desk, Math.min(Math.max(below, 0), above));
    };
    const late = new ResizeObserver(look), over = new AbortController(), { signal } = over;
    late.observe(cell);
    scroller(cell, desk).addEventListener("scroll", look, { signal });
    signal.addEventListener("abort", () => late.disconnect());
    for (const own of ["wheel", "touchmove", "pointerdown", "keydown"]) addEventListener(own, () => over.abort(), { signal, capture: true });
    setTimeout(() => over.abort(), 1000);
    look();
  }
  const isActive = (cell) => cell?.classList.contains("jp-mod-active");
  const isHeld = () => root.querySelector(".antlab-held, input:active");
  // How far a view's top lies below that of the notebook, and how far the foot of something beyond its foot.
  function beyondDesk(cell, desk, last) {
    const box = (node) => node.getBoundingClientRect();
    return [box(root.closest(".antlab-view")).top - box(desk).top - 2, box(last).bottom - box(desk).bottom];
  }
  const scroller = (cell, desk) => cell.closest(".jp-WindowedPanel-outer") ?? desk;
  const scrollDesk = (cell, desk, by) => { scroller(cell, desk).scrollTop += by; };
  // What is offered is seen, if all of the view below its tabs can be, and no hand holds anything.
  function uncoverOffers() {
    const cell = root.closest(".jp-Cell"), desk = cell?.closest(".jp-Notebook");
    if (!desk || isHeld() || isFull()) return;
    const [above, below] = beyondDesk(cell, desk, offers);
    const tabs = root.getBoundingClientRect().top - root.closest(".antlab-view").getBoundingClientRect().top;
    scrollDesk(cell, desk, Math.max(Math.min(above + tabs, below), 0));
  }
  const sized = new ResizeObserver(() => {
    const less = root.clientWidth < NARROW;
    if (root.clientWidth && less !== narrow) fold(narrow = less);
    fit();
  });
  sized.observe(root);
  addEventListener("resize", fit);

  function setLook(look) {
    root.classList.toggle("antlab-projector", look === "projector");
    button?.setAttribute("aria-pressed", look === "projector");
  }

  function follow(k, index) {
    at[k] = index;
    inputs[k].show();
    moved = "";
    if (still.ask) ask([...at]); // what is taken hold of goes with the picture that comes
    else if (film.rows) {
      tell("");
      show();
    }
  }

  function makeSliders() {
    sliders.replaceChildren();
    sliders.classList.toggle("antlab-many", still.sliders.filter(({ shown }) => shown !== false).length > 1);
    inputs = still.sliders.map((dial, k) => {
      at[k] = Math.min(at[k] ?? 0, dial.texts.length - 1);
      const one = dial.named ? makeNamed(dial, k) : makeSlider(dial, k);
      one.line.hidden = dial.shown === false;
      return one;
    });
    inputs.forEach((one) => one.show());
  }

  function makeSlider({ name, unit, texts }, k) {
    const line = make("div", { class: "antlab-slider" }, sliders);
    const label = make("label", {}, line);
    const called = make("span", {}, label);
    called.textContent = name;
    if (unit) make("span", { class: "antlab-unit" }, called).textContent = ` (${unit})`;
    const input = make("input", { type: "range", min: 0, max: texts.length - 1, step: 1 }, label);
    input.addEventListener("input", () => follow(k, Number(input.value)));
    input.addEventListener("change", () => ask([...at]));
    const output = make("output", { "aria-live": "off" }, line);
    const show = () => {
      input.value = at[k];
      output.textContent = unbroken(texts[at[k]]);
      input.setAttribute("aria-valuetext", texts[at[k]]);
    };
    return { show, line, all: [input] };
  }

  // What has names for its places is no quantity to slide along: a button for each.
  function makeNamed({ name, texts }, k) {
    const line = make("div", { class: "antlab-named", role: "radiogroup", "aria-label": name }, sliders);
    make("span", { "aria-hidden": "true" }, line).textContent = name;
    const group = `antlab-${Math.random().toString(36).slice(2)}`;
    const row = texts.length < 4 ? make("span", { class: "antlab-few" }, line) : line; // of few none goes to a line alone
    const all = texts.map((text, place) => {
      const label = make("label", {}, row), input = make("input", { type: "radio", name: group }, label);
      make("span", {}, label).textContent = text;
      input.addEventListener("change", () => {
        follow(k, place);
        ask([...at]);
      });
      return input;
    });
    return { show: () => { all[at[k]].checked = true; }, line, all };
  }

  // placed: where the sliders stand now, if a choice or an offer moved them, and what could not be kept, in words.
  function setStill(next, placed = null) {
    strange = foreign(next);
    if (strange) return tell(strange);
    const same = next === still; // where sliders alone were moved
    still = next;
    placed?.at.forEach((place, k) => { at[k] = place; });
    moved = placed?.said ?? "";
    const sliderSpec = JSON.stringify(still.sliders);
    if (sliderSpec !== made) makeSliders();
    else if (placed) inputs.forEach((one) => one.show());
    made = sliderSpec;
    root.setAttribute("aria-label", still.title);
    clockBar.hidden = !still.clock;
    root.classList.toggle("antlab-heard", Boolean(still.heard));
    clock.leave(hand);
    if (same) return;
    svg.setAttribute("viewBox", `0 0 ${still.width * FINE} ${still.height * FINE}`);
    const image = make("img", { alt: still.alt, width: still.width, height: still.height });
    const url = URL.createObjectURL(new Blob([still.png], { type: "image/png" }));
    image.src = url;
    // The old picture stays until the new one can be painted: nothing blank in between.
    image.decode().catch(() => {}).then(() => {
      if (still === next) {
        const first = !picture.querySelector("img");
        picture.querySelector("img")?.remove();
        picture.prepend(image);
        fit();
        if (first) reveal();
      }
      URL.revokeObjectURL(url);
    });
  }

  // A sentence in the picture's place; none brings the picture back.
  function tell(sentence) {
    message.classList.remove("antlab-hint");
    message.textContent = sentence;
    message.hidden = !sentence;
    picture.hidden = says.hidden = Boolean(sentence);
  }

  function setFrames(next) {
    const refused = strange || foreign(next);
    tell(refused || next.message);
    if (refused || !next.rows) return;
    if (moved) { // above the picture, quietly, until the hand moves
      message.classList.add("antlab-hint");
      [message.textContent, message.hidden] = [unbroken(moved), false];
    }
    layers = [next, ...next.over ?? []].map((one) => {
      const { buffer, byteOffset, byteLength } = one.table;
      return { sliders: still.sliders.map((_, k) => k), only: [], ...one, table: new Int16Array(buffer.slice(byteOffset, byteOffset + byteLength)), row: 0 };
    });
    const all = (name) => layers.flatMap((layer) => layer[name].map((one) => ({ ...one, layer })));
    film = { ...next, parts: all("parts"), handles: all("handles") };
    const isOther = (part, i) => part.kind !== nodes[i].kind || hasBeads(part) !== hasBeads(nodes[i]);
    if (film.parts.length !== nodes.length || film.parts.some(isOther)) build();
    film.parts.forEach(dress);
    seas.forEach((sea) => sea.remove());
    seas = film.waves.map((waves) => makeSea(waves, still, svg));
    makeGrips();
    show();
    for (const one of pluckers) one.hidden = !ring()?.loss.some(Boolean);
    if (still.clock) clock.join(hand);
  }

  // A handle is a sign that tells which ways it goes, on a disc wide enough for a finger, both in pixels of the screen.
  function makeGrips() {
    if (film.handles.length !== grips.length) {
      grips.forEach(({ mark, rail }) => [mark, rail].forEach((one) => one.remove()));
      grips = film.handles.map(makeGrip);
    }
    film.handles.forEach((handle, i) => {
      grips[i].handle = handle;
      grips[i].disc.setAttribute("r", Math.max(handle.reach ?? 0, DISC));
      grips[i].mark.style.color = handle.color ?? "";
      grips[i].dot.style.display = handle.color ? "" : "none";
      grips[i].along.setAttribute("d", (handle.along ?? []).map((line) => `M${line.join("L")}`).join(""));
      grips[i].mark.querySelector("title").textContent = `Drag: ${still.sliders[handle.slider].name}`;
    });
  }

  const RING = "M-5 0a5 5 0 1 0 10 0a5 5 0 1 0 -10 0";  // hollow: it is held, and tells no value
  const DISC = matchMedia("(pointer: coarse)").matches ? 24 : 18;

  function makeGrip() {
    const rail = make("g", { class: "antlab-rail" }, svg, SVG), along = make("path", { "stroke-width": 2 * DISC }, rail, SVG);
    const mark = make("g", { class: "antlab-handle" }, svg, SVG);
    make("title", {}, mark, SVG);
    const disc = make("circle", {}, mark, SVG), dot = make("path", { class: "antlab-dot", d: RING }, mark, SVG);
    const grip = { mark, rail, along, disc, dot, arrows: make("path", {}, mark, SVG) };
    for (const held of [rail, mark]) {
      held.addEventListener("pointerdown", (event) => seize(grip, event));
      held.addEventListener("touchstart", (event) => event.preventDefault(), { passive: false }); // touch-action is not enough
    }
    return grip;
  }

  const places = (slider) => still.sliders[slider].texts.length;

  // Where a handle would stand, were its slider at a place and the others where they are; undefined where it cannot be.
  function standing({ n, slider, x, y, layer: { table, fixed, columns, sliders, row, seen } }, place) {
    if (!seen || place < 0 || place >= places(slider)) return;
    let there = row;
    if (n === 1 && place !== at[slider]) {
      const stride = sliders.slice(sliders.indexOf(slider) + 1).reduce((product, one) => product * places(one), 1);
      there += (place - at[slider]) * stride;
    }
    const [px = GAP, py = GAP] = [x, y].map((block) =>
      table[block.at + (n > 1 ? place : 0) + (block.fixed ? 0 : fixed + there * columns)]);
    return px === GAP || py === GAP ? undefined : [px, py];
  }

  // The first point of a handle's path, before or after its slider's place, that lies off where it stands; if any.
  function beyond(handle, step) {
    const here = standing(handle, at[handle.slider]);
    for (let place = at[handle.slider] + step; ; place += step) {
      const there = standing(handle, place);
      if (!there || Math.hypot(there[0] - here[0], there[1] - here[1]) > 4 * FINE) return there;
    }
  }

  let pictured = 0; // pixels that the picture is wide, asked for once a size: to ask lays out the whole notebook
  new ResizeObserver(() => {
    pictured = 0;
    placeGrips();
  }).observe(picture);

  function placeGrips() {
    pictured ||= picture.clientWidth;
    const unit = still.width * FINE / pictured; // to a pixel of the screen
    grips.forEach(({ handle, mark, rail, arrows }) => {
      const here = standing(handle, at[handle.slider]);
      mark.style.display = rail.style.display = here && unit < Infinity ? "" : "none";
      if (!here || unit === Infinity) return;
      const [a, b] = [beyond(handle, -1), beyond(handle, 1)];
      set(arrows, "d", `${b ? "M12 -6L20 0L12 6Z" : ""}${a ? "M-12 -6L-20 0L-12 6Z" : ""}`); // none beyond an end
      const [[x0, y0], [x1, y1]] = [a ?? here, b ?? here];
      const turned = Math.atan2(y1 - y0, x1 - x0) * 180 / Math.PI;
      set(mark, "transform", `translate(${here}) rotate(${turned.toFixed(1)}) scale(${unit.toFixed(3)})`);
      set(rail, "transform", `translate(${here})`);
    });
  }

  function seize(grip, event) {
    const { mark, handle: { slider } } = grip, [input] = inputs[slider].all;
    if (event.button || input.disabled) return;
    event.preventDefault();
    const where = ({ clientX, clientY }) => {
      const box = svg.getBoundingClientRect();
      return [(clientX - box.left) / box.width * still.width * FINE, (clientY - box.top) / box.height * still.height * FINE];
    };
    // The hand keeps the distance at which it took hold, so that nothing jumps.
    const [x0, y0] = where(event), [hx, hy] = standing(grip.handle, at[slider]);
    // Its path as it is now: a picture that takes another scale under the hand does not run away with it.
    const path = Array.from({ length: places(slider) }, (_, place) => standing(grip.handle, place) ?? [Infinity, 0]);
    const drag = (moved) => {
      const [x, y] = where(moved);
      let best = at[slider], least = Infinity;
      for (const [place, [px, py]] of path.entries()) {
        const far = Math.hypot(px - (x - x0 + hx), py - (y - y0 + hy));
        if (far < least || (far === least && Math.abs(place - at[slider]) < Math.abs(best - at[slider]))) [best, least] = [place, far];
      }
      if (best !== at[slider]) follow(slider, best);
    };
    const drop = () => {
      mark.classList.remove("antlab-held");
      mark.removeEventListener("pointermove", drag);
      ask([...at]);
    };
    input.focus({ preventScroll: true });
    mark.setPointerCapture(event.pointerId);
    mark.classList.add("antlab-held");
    mark.addEventListener("pointermove", drag);
    mark.addEventListener("lostpointercapture", drop, { once: true });
  }

  // Buttons that set the view anew: what each does, in bold, and what that costs, a line each; and words on all of them.
  function setOffers({ all: lists = [], told: words = "" }) {
    told.textContent = unbroken(words);
    told.hidden = !words;
    offers.replaceChildren();
    offers.hidden = !lists.length;
    lists.forEach(([words, ...lines], number) => {
      const one = make("button", { type: "button" }, offers);
      make("b", {}, one).textContent = unbroken(words);
      lines.forEach((line) => { make("div", {}, one).textContent = unbroken(line); });
      one.addEventListener("click", () => take(number));
    });
    if (lists.length && lists.length < 3) offers.append(told); // in the place of a third
    else offers.after(told); // beside the picture, if it has a side
    fit();
    if (lists.length) uncoverOffers();
  }

  const hasBeads = ({ beads }) => Boolean(beads?.length); // they run along it
  function build() {
    svg.replaceChildren();
    grips = [];
    nodes = film.parts.map(({ kind }, i) => {
      const clip = make("clipPath", { id: `antlab-${Math.random().toString(36).slice(2)}` }, svg, SVG);
      const box = make("rect", {}, clip, SVG);
      const shape = make(kind === "text" ? "text" : "path", {}, svg, SVG);
      const strung = hasBeads(film.parts[i]) && make("g", { class: "antlab-beads" }, svg, SVG);
      const beads = strung ? [1, CORE].map((share) => ({ share, line: make("path", {}, strung, SVG) })) : [];
      return { kind, box, shape, beads, cut: `url(#${clip.id})` };
    });
  }

  // What is as it was is left alone, here and below: to set it again costs as much as to paint it.
  const set = (node, name, value) => { if (node.getAttribute(name) !== String(value)) node.setAttribute(name, value); };

  function dress(part, i) {
    const { box, shape, beads } = nodes[i];
    for (const { share, line } of beads) {
      set(line, "stroke-width", share * part.beads[0]);
      set(line, "stroke-dasharray", `0.1 ${part.beads[1] - 0.1}`);
    }
    ["x", "y", "width", "height"].forEach((name, j) => set(box, name, part.box[j]));
    const look = part.kind === "text"
      ? { "font-size": part.size, "font-weight": part.bold ? "bold" : "normal", fill: part.color,
          "font-family": '"DejaVu Sans", Verdana, sans-serif', "dominant-baseline": "central",
          "text-anchor": { left: "start", center: "middle", right: "end" }[part.align],
          stroke: "#fff", "stroke-width": part.size / 4, "paint-order": "stroke", "stroke-linejoin": "round" }
      : { fill: part.fill ? part.color : "none", "fill-opacity": part.fill, stroke: part.color,
          "stroke-width": part.width, "stroke-dasharray": part.dashes.join(" ") || "none",
          "stroke-linejoin": "round",
          "stroke-linecap": part.kind === "dots" || !part.dashes.length ? "round" : "butt" };
    for (const [name, value] of Object.entries(look)) set(shape, name, value);
  }

  // A path as it is now; cut off at its box only where it leaves it, since that takes longer than to draw it.
  function trace(part, i) {
    const { shape, beads, cut } = nodes[i], [path, leaves] = outline(part);
    set(shape, "d", path);
    for (const { line } of beads) set(line, "d", path);
    if (leaves) set(shape, "clip-path", cut);
    else shape.removeAttribute("clip-path");
  }

  function outline({ kind, n, x, y, swing, order, smooth, until, box: [left_px, top_px, wide, high], layer }) {
    if (!layer.seen) return ["", false];
    const { table } = layer, base = layer.fixed + layer.row * layer.columns, begin = (block) => block.at + (block.fixed ? 0 : base);
    const x0 = begin(x), y0 = begin(y), [a0, b0, c0] = swing.map(begin), power = left ** order;
    const end = until.length ? table[begin(until[0])] : null;
    const cos = power * Math.cos(2 * Math.PI * order * turn), sin = power * Math.sin(2 * Math.PI * order * turn);
    let path = "", pen = "M", run = [], leaves = false;
    for (let i = 0; i < n; i++) {
      const px = table[x0 + i];
      let py = table[y0 + i];
      if (px === GAP || py === GAP || table[a0 + i] === GAP) {
        path += curve(run, end);
        run = [];
        pen = "M";
        continue;
      }
      if (swing.length) py = Math.round(py + table[a0 + i] * cos - table[b0 + i] * sin + table[c0 + i] * power);
      leaves ||= px < left_px || px > left_px + wide || py < top_px || py > top_px + high;
      if (smooth) run.push(px, py);
      else if (kind === "dots") path += `M${px} ${py}h0`;
      else {
        path += `${pen}${px} ${py}`;
        pen = "L";
      }
    }
    return [path + curve(run, end), leaves];
  }

  // A smooth curve through four points or more, as film.py has it, to where it ends. run: x and y by turns.
  function curve(run, end) {
    const count = run.length;
    if (count < 8) return "";
    const all = new Float64Array(count + 8), third = (i) => (8 * (all[i + 2] - all[i - 2]) - (all[i + 4] - all[i - 4])) / 36;
    all.set(run, 4);
    for (const [to, step] of [[2, 2], [0, 2], [count + 4, -2], [count + 6, -2]]) {
      for (const i of [to, to + 1]) all[i] = 4 * (all[i + step] + all[i + 3 * step]) - 6 * all[i + 2 * step] - all[i + 4 * step];
    }
    let path = `M${run[0]} ${run[1]}`;
    for (let i = 4; i < count + 2; i += 2) {
      const x = all[i], y = all[i + 1], toX = all[i + 2], toY = all[i + 3];
      const points = [x + third(i), y + third(i + 1), toX - third(i + 2), toY - third(i + 3), toX, toY];
      const share = end === null ? 2 : (end - x) / (toX - x);
      if (share <= 1) return path + bend(begun([x, y, ...points], share));
      path += bend(points);
    }
    return path;
  }

  const bend = (points) => `C${points.map(Math.round).join(" ")}`;

  // The first share of a curve of Bézier: its points but for where it begins. points: x and y by turns.
  function begun(points, share) {
    const found = [];
    while (points.length > 2) {
      points = points.slice(2).map((v, i) => points[i] + share * (v - points[i]));
      found.push(points[0], points[1]);
    }
    return found;
  }

  // What moves of itself, at this moment; the words are those of the row, and no screen reader is disturbed.
  function swing() {
    beat = runs && seas.length ? 1 - beat : 0; // over waves, which are what takes time, every other picture
    film.parts?.forEach((part, i) => {
      if (part.swing.length && !beat) trace(part, i);
      for (const { line } of nodes[i].beads) set(line, "stroke-dashoffset", (-turn * part.beads[2] % part.beads[1]).toFixed(1));
    });
    seas.forEach((sea) => sea.paint(turn));
    root.dataset.turn = turn.toFixed(4);
    root.dataset.left = left.toFixed(4);
  }

  function show() {
    for (const layer of layers) { // what did not move is left as it is
      const there = still.ask ? 0 : layer.sliders.reduce((row, k) => row * places(k) + at[k], 0);
      const seen = layer.only.every(([k, place]) => at[k] === place);
      Object.assign(layer, { moved: there !== layer.row || seen !== layer.seen, row: there, seen });
    }
    row = layers[0].row;
    film.parts.forEach((part, i) => {
      if (!part.layer.moved) return;
      const shape = nodes[i].shape;
      if (part.kind !== "text") trace(part, i);
      else {
        const { table, fixed, columns, row, seen } = part.layer, base = fixed + row * columns;
        const x = table[part.x.at + (part.x.fixed ? 0 : base)], y = table[part.y.at + (part.y.fixed ? 0 : base)];
        const there = seen && x !== GAP && y !== GAP;
        const words = there ? part.texts[row] : "";
        set(shape, "x", x);
        set(shape, "y", y);
        if (shape.textContent !== words) shape.textContent = words;
      }
    });
    if (layers[0].moved) seas.forEach((sea) => { sea.turnTo(row); sea.paint(turn); });
    placeGrips();
    speak();
    root.dataset.row = row;
  }

  const spoken = () => layers.filter(({ seen = true, says }) => seen).map(({ says, row }) => says[row]).filter(Boolean).join("\n");
  // The line changes at once for the eye; a screen reader is told to wait until the hand rests.
  function speak() {
    says.setAttribute("aria-busy", "true");
    const words = unbroken(slowed(spoken(), quick)); // a line each, which end in what breaks them
    if (says.textContent !== words) {
      says.replaceChildren(...words.split(/(?<=\n)/).map((line) => {
        const one = make("span", {});
        one.textContent = line;
        return one;
      }));
      more();
    }
    clearTimeout(quiet);
    quiet = setTimeout(() => says.setAttribute("aria-busy", "false"), 400);
  }

  function gone(text) {
    root.classList.add("antlab-gone");
    message.classList.remove("antlab-hint");
    message.textContent = text;
    message.hidden = false;
    inputs.flatMap(({ all }) => all).forEach((input) => { input.disabled = true; });
    if (button) button.disabled = true;
  }

  function stop() {
    clearTimeout(quiet);
    clock.leave(hand);
    sight.disconnect();
    sized.disconnect();
    removeEventListener("resize", fit);
    document.removeEventListener("fullscreenchange", fill);
    root.remove();
  }

  return { setStill, setFrames, setOffers, setLook, key, gone, stop };
}

const bytesOf = (text) => Uint8Array.from(atob(text), (c) => c.charCodeAt(0));

// What was deflated, whole again (RFC 1951 within RFC 1950): for a browser that has no stream for it.
function inflated(bytes) {
  let at = 2, hold = 0, held = 0, end = 0, all = new Uint8Array(1 << 20), last;
  const bits = (count) => {
    for (; held < count; held += 8) hold |= bytes[at++] << held;
    const found = hold & ((1 << count) - 1);
    hold >>>= count;
    held -= count;
    return found;
  };
  const put = (byte) => {
    if (end === all.length) {
      const more = new Uint8Array(2 * end);
      more.set(all);
      all = more;
    }
    all[end++] = byte;
  };
  // A code is how long the word of each symbol is: words of a length stand in the order of their symbols.
  const code = (lengths) => {
    const counts = Array(16).fill(0), symbols = [];
    for (let long = 1; long < 16; long++) {
      lengths.forEach((one, symbol) => { if (one === long) symbols.push(symbol); });
      counts[long] = lengths.filter((one) => one === long).length;
    }
    return () => {
      let word = 0, first = 0, passed = 0;
      for (let long = 1; ; long++) {
        word = word << 1 | bits(1);
        first <<= 1;
        if (word - first < counts[long]) return symbols[passed + word - first];
        first += counts[long];
        passed += counts[long];
      }
    };
  };
  const fixed = [Array.from({ length: 288 }, (_, i) => i < 144 ? 8 : i < 256 ? 9 : i < 280 ? 7 : 8), Array(30).fill(5)];
  const told = () => { // the codes of a block that brings its own
    const literals = bits(5) + 257, distances = bits(5) + 1, known = bits(4) + 4, order = Array(19).fill(0), lengths = [];
    [16, 17, 18, 0, 8, 7, 9, 6, 10, 5, 11, 4, 12, 3, 13, 2, 14, 1, 15].slice(0, known).forEach((one) => { order[one] = bits(3); });
    const next = code(order);
    while (lengths.length < literals + distances) {
      const one = next();
      if (one < 16) lengths.push(one);
      else if (one === 16) lengths.push(...Array(3 + bits(2)).fill(lengths.at(-1)));
      else lengths.push(...Array(one === 17 ? 3 + bits(3) : 11 + bits(7)).fill(0));
    }
    return [lengths.slice(0, literals), lengths.slice(literals)];
  };
  do {
    last = bits(1);
    const kind = bits(2);
    if (!kind) { // as it is, from the next byte on
      at -= held >> 3;
      hold = held = 0;
      const many = bytes[at] | bytes[at + 1] << 8;
      bytes.subarray(at + 4, at + 4 + many).forEach(put);
      at += 4 + many;
      continue;
    }
    const [literal, distance] = (kind === 1 ? fixed : told()).map(code);
    for (let one = literal(); one !== 256; one = literal()) {
      if (one < 256) {
        put(one);
        continue;
      }
      const step = one - 257, more = step < 8 || step === 28 ? 0 : (step >> 2) - 1;
      const long = step === 28 ? 258 : 3 + (step < 8 ? step : (4 + (step & 3)) << more) + bits(more);
      const far = distance(), beyond = far < 4 ? 0 : (far >> 1) - 1;
      const from = 1 + (far < 4 ? far : (2 + (far & 1)) << beyond) + bits(beyond);
      for (let i = 0; i < long; i++) put(all[end - from]);
    }
  } while (!last);
  return all.slice(0, end);
}

async function streamed(bytes) {
  const stream = new Blob([bytes]).stream().pipeThrough(new DecompressionStream("deflate"));
  return new Uint8Array(await new Response(stream).arrayBuffer());
}

// A film that film.py has squeezed: a line of JSON, then all bytes; of a table the steps from row to row.
async function unsqueezed(text) {
  const all = await (globalThis.DecompressionStream ? streamed : inflated)(bytesOf(text)), end = all.indexOf(10) + 1;
  const film = JSON.parse(new TextDecoder().decode(all.subarray(0, end)),
    (_, value) => value?.bytes ? all.slice(end + value.bytes[0], end + value.bytes[1]) : value);
  for (const one of [film.frames, ...film.frames.over ?? [], ...film.asked ?? []]) one.table = summed(one);
  return film;
}

function summed({ fixed, rows, columns, table: steps }) {
  const many = rows * columns, low = 2 * fixed, table = new Int16Array(fixed + many);
  table.set(new Int16Array(steps.buffer, 0, fixed));
  for (let i = 0; i < many; i++) {
    const here = fixed + (i % rows) * columns + Math.floor(i / rows);
    table[here] = (i % rows && table[here - columns]) + (steps[low + i] | steps[low + many + i] << 8);
  }
  return new Uint8Array(table.buffer);
}

// A phone page: both films are in the file, squeezed: as a phone shows it, and for a wide window, if there is one.
export async function playPage(host, phone, wide) {
  const own = await unsqueezed(phone), player = play(host, [...own.at]), broad = matchMedia("(min-width: 1000px)");
  let large;
  const show = async () => {
    const fits = broad.matches, { still, frames } = fits && wide ? await (large ??= unsqueezed(wide)) : own;
    if (fits !== broad.matches) return; // it was turned meanwhile
    player.setStill(still);
    player.setFrames(frames);
  };
  broad.addEventListener("change", show);
  return show();
}

// The lesson's still pictures lie in figures/, and for the projector once more in figures/projector/.
function showStills(notebook, look) {
  notebook?.querySelectorAll('.jp-RenderedMarkdown img[src*="/figures/"]').forEach((image) => {
    const before = image.src;
    image.onerror = () => { image.onerror = null; image.src = before; };
    image.src = before.replace(/\/figures\/(projector\/)?/, look === "projector" ? "/figures/projector/" : "/figures/");
  });
}

const AT_ONCE = 2; // places that the kernel is asked for

// A notebook: anywidget's model brings the film, and sends the sliders' places back.
function render({ model, el }) {
  const tell = (name) => (value) => {
    model.set(name, value);
    model.save_changes();
  };
  let pressed = 0;
  const take = (number) => tell("taken")([++pressed, number]);
  // Where the hand is: a place is reckoned with while the one before is on its way back, and the hand's newest
  // is the next. What the hand passed in between is never asked for.
  const sender = Math.random().toString(36).slice(2);
  let waiting = null, away = 0, asked = 0, placed = model.get("placed") ?? {};
  const send = () => {
    if (!waiting || away >= AT_ONCE) return;
    model.send({ at: waiting, placed: placed.number, sender, number: ++asked });
    waiting = null;
    away += 1;
  };
  const ask = (at) => {
    waiting = at;
    send();
  };
  const answered = () => {
    away = Math.max(away - 1, 0); // what another view of the same cell asked for is answered to both
    send();
  };
  const player = play(el, [...model.get("at")], ask, tell("look"), take, tell("narrow"));
  // In sliders and choices keys belong to them, not to the notebook's shortcuts (Shift and M merges cells), save
  // those that run, save or leave; Escape leads back to the cell.
  const keys = (event) => {
    const view = event.target.closest?.(".antlab-view");
    if (!view?.contains(el) || event.ctrlKey || event.altKey || event.metaKey) return;
    player.key(event);
    if (!event.shiftKey || !["Enter", "Tab"].includes(event.key)) event.stopPropagation();
    if (event.key === "Escape") view.closest(".jp-Cell")?.focus();
  };
  document.addEventListener("keydown", keys, true);
  let shown;
  const still = () => {
    const next = model.get("still"), there = model.get("placed") ?? {};
    const moved = there.number !== placed.number && there; // though the still may be the one that is shown
    if (!next.png || (next === shown && !moved)) return;
    [shown, placed] = [next, there];
    if (moved) waiting = null; // a place of sliders that are no more
    player.setStill(next, moved || null);
  };
  const frames = () => {
    still(); // of one message either may be told first
    player.setFrames(model.get("frames"));
  };
  const offers = () => player.setOffers(model.get("offers"));
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
  offers();
  model.on("change:offers", offers);
  model.on("change:look", switched);
  model.on("change:still", still);
  model.on("change:frames", frames);
  model.on("change:answered", answered);
  model.on("comm_live_update", gone);
  kernel?.statusChanged?.connect(watch);
  return () => {
    document.removeEventListener("keydown", keys, true);
    model.off("change:offers", offers);
    model.off("change:look", switched);
    model.off("change:still", still);
    model.off("change:frames", frames);
    model.off("change:answered", answered);
    model.off("comm_live_update", gone);
    kernel?.statusChanged?.disconnect(watch);
    player.stop();
  };
}

export default { render };
