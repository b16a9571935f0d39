// The page for the lawn: two boxes ask, the reckoning answers, and a log stays in the phone until it goes home as text.
// The document is antlab/classroom/paper/lawn.py's; what an advice says comes from the reckoning, which has it from there.

function lawnPage(taken) {
  const reckoning = makeReckoning(taken), [lowAim, highAim] = taken.aims_mhz;
  const at = (id) => document.getElementById(id);
  const KEY = `antlab lawn ${taken.mark}`, UNITS = "antlab units", SOON_MS = 20000;
  const bands = ["low", "high"].map((name, i) => ({
    name, aim: taken.aims_mhz[i], input: at(`${name}-mhz`), none: at(`${name}-none`), wrong: at(`${name}-wrong`),
  }));
  const wires = ["inner", "outer"].map((name) => ({
    name, way: at(`${name}-way`), input: at(`${name}-by`), wrong: at(`${name}-by-wrong`),
  }));
  let keeps = true, lines = [], taken_back = [], refused = false, doubted = null;

  // A phone in private mode, or one that opens the page from a message, may keep nothing: then the page still works.
  function kept(key, value) {
    try {
      if (value === undefined) return localStorage.getItem(key);
      localStorage.setItem(key, value);
    } catch {
      keeps = false;
    }
    return null;
  }

  const inFeet = () => document.documentElement.dataset.units === "ft";
  function choose(units) {
    document.documentElement.dataset.units = units;
    for (const one of document.querySelectorAll("input[name=units]")) one.checked = one.value === units;
    show();
  }
  const cm = (m) => 100 * m, inches = (m) => m / 0.0254;
  const signed = (x, digits = 1) => `${x < 0 ? "−" : "+"}${Math.abs(x).toFixed(digits)}`;
  // Sixteenths of an inch as a tape has them: 39 are 2 7/16.
  function onTape(parts) {
    const rest = parts % 16, common = [8, 4, 2, 1].find((one) => rest % one === 0), inch = Math.floor(parts / 16);
    return [inch || !rest ? inch : "", rest ? `${rest / common}/${16 / common}` : ""].filter((one) => one !== "").join(" ");
  }
  const length = (m) => {
    if (!inFeet()) return `${(Math.ceil(1000 * m - 1e-6) / 1000).toFixed(3)} m`; // never too short, as the cut list
    const parts = Math.ceil(16 * inches(m) - 1e-6);
    return `${Math.floor(parts / 192)} ft ${onTape(parts % 192)} in`;
  };
  // A change as the boxes take it, without its sign: to the nearest sixteenth, so that what was typed is what is shown.
  const by = (m) => inFeet() ? onTape(m ? Math.max(Math.round(16 * inches(Math.abs(m))), 1) : 0) : cm(Math.abs(m)).toFixed(1);
  const turned = (said) => inFeet()
    ? said.replace(/([−+-]?)([\d.]+) cm(?: \([\d.−+-]+ in\))?/g, (_, sign, x) => `${sign}${by(x / 100)} in (${sign}${x} cm)`)
    : said;

  function now() {
    const two = (x) => String(x).padStart(2, "0"), d = new Date();
    return `${d.getFullYear()}-${two(d.getMonth() + 1)}-${two(d.getDate())} ` +
      [d.getHours(), d.getMinutes(), d.getSeconds()].map(two).join(":");
  }

  // A number as it is typed, with point or comma; or what is wrong with it, in words.
  function number(text, unit, example) {
    const plain = text.trim().replace(new RegExp(`\\s*${unit}$`, "i"), "").replace(",", ".");
    if (/^(\d+\.?\d*|\.\d+)$/.test(plain)) return [Number(plain), ""];
    const [, whole = "0", above, below] = plain.match(/^(?:(\d+)\s+)?(\d+)\/(\d+)$/) ?? []; // 7 1/2, as a ruler has it
    if (unit === "in" && Number(below)) return [Number(whole) + above / below, ""];
    return [null, text.trim() ? `“${text.trim().slice(0, 20)}” is no number: type ${example}.` : `Type a number, such as ${example}.`];
  }

  const short = (mhz) => Number(mhz.toFixed(3));

  function frequency({ aim, input, none, name }) {
    const box = name === "low" ? "lower" : "upper";
    if (none.checked) return [null, ""];
    const [f, wrong] = number(input.value, "MHz", short(aim));
    if (wrong) return [null, input.value.trim() ? wrong : `Type where the SWR is lowest, such as ${short(aim)}, or tick “none seen”.`];
    if (f >= 1000) return [null, `${f} looks like kHz: that is ${f / 1000} MHz.`];
    const other = taken.aims_mhz[name === "low" ? 1 : 0];
    if (Math.abs(f / other - 1) <= taken.reach && Math.abs(f / aim - 1) > taken.reach) {
      return [null, `${f} MHz belongs into the other box: this one is for the ${box} band, around ${short(aim)} MHz.`];
    }
    return [f, ""];
  }

  // Why a minimum is farther away than this page reckons; the reckoning has words of its own for what is far too far.
  function beyond({ aim }, f) {
    if (f === null || Math.abs(f / aim - 1) <= taken.reach || !reckoning.isNear(f, aim)) return "";
    return `${f} MHz is ${(100 * Math.abs(f / aim - 1)).toFixed(0)} % from the aim of ${short(aim)} MHz, and this page reckons to ` +
      `${100 * taken.reach} %. See whether the sweep was of this band and wide enough, and this its lowest point; then ` +
      "measure the wires, and each trap alone.";
  }

  function mark(one, wrong) {
    one.wrong.textContent = wrong;
    one.wrong.hidden = !wrong;
    one.input.setAttribute("aria-invalid", String(Boolean(wrong)));
    return wrong;
  }

  function ask(event) {
    event.preventDefault();
    const found = bands.map(frequency), [low, high] = found.map(([f]) => f);
    const plainly = found.some(([, wrong]) => wrong) ? null : reckoning.fault(log(), low, high);
    const wrong = bands.map((band, i) => mark(band, found[i][1] || (plainly === "" ? beyond(band, found[i][0]) : "")));
    refused = wrong.some(Boolean);
    showWhetherBefore();
    if (refused) return void bands[wrong.findIndex(Boolean)].input.focus();
    const last = lines.at(-1), soon = last && Date.now() - new Date(last.date.replace(" ", "T")) < SOON_MS;
    if (!(soon && last.what === "read off" && last.low_mhz === low && last.high_mhz === high)) {
      write({ date: now(), what: "read off", low_mhz: low, high_mhz: high });
    }
    at("answer").scrollIntoView({ block: "nearest" });
  }

  function change(event) {
    event.preventDefault();
    const example = inFeet() ? "2 1/2" : "6.4", before = log();
    const found = wires.map(({ input }) => number(input.value.trim() || "0", inFeet() ? "in" : "cm", example));
    const metres = found.map(([by], i) => (wires[i].way.value === "shorter" ? -1 : 1) * by * (inFeet() ? 0.0254 : 0.01));
    const wrong = wires.map((wire, i) => mark(wire, found[i][1] || tooFar(wire, metres[i], before.lengths_m[i])));
    question(null);
    if (wrong.some(Boolean)) return void wires[wrong.findIndex(Boolean)].input.focus();
    if (!metres.some((m) => Math.abs(m) >= 0.0005)) {
      return void (mark(wires[0], `Type by how much, such as ${example}.`), wires[0].input.focus());
    }
    const [inner_m, outer_m] = metres.map((m) => Math.round(1000 * m) / 1000 + 0);
    const slip = reckoning.unlike(before, [inner_m, outer_m], (m) => inFeet() ? length(m) : `${m.toFixed(2)} m`);
    const doubts = [turned(slip), ...wires.map(untyped)].filter(Boolean);
    if (doubts.length) return question({ inner_m, outer_m }, doubts);
    writeChange({ inner_m, outer_m });
  }

  function writeChange(both) {
    refused = false;
    write({ date: now(), what: "changed", ...both });
    for (const band of bands) {
      [band.input.value, band.none.checked, band.input.disabled] = ["", false, false];
      mark(band, "");
    }
    at("ask").scrollIntoView({ block: "nearest" });
  }

  // A change that may be a slip waits until it is said that it is none.
  function question(both, doubts = []) {
    doubted = both;
    at("sure").hidden = !both;
    at("doubt").textContent = both ? `${doubts.join(" ")} If that is a slip, type it anew. Log it all the same?` : "";
    if (both) at("sure").scrollIntoView({ block: "nearest" });
  }

  // That an empty box, where a change was advised, counts as none.
  const untyped = ({ name, input }) => input.value.trim() || !Number(input.dataset.metres) ? "" :
    `You typed nothing for the ${name} wires, of which ${by(Number(input.dataset.metres))} ${inFeet() ? "in" : "cm"} was ` +
    "advised: that counts as 0.";

  function asAdvised() {
    for (const { way, input } of wires) [way.value, input.value] = [input.dataset.way, by(Number(input.dataset.metres))];
    question(null);
  }

  const tooFar = ({ name }, m, has) => Math.abs(m) < has / 2 ? "" :
    `${length(Math.abs(m))} is half of the ${name} wire, which has ${length(has)}: is that ${inFeet() ? "inches" : "centimetres"}?`;

  // The log up to now, as the reckoning has it; what came home already stands at its beginning.
  const log = () => lines.reduce((so_far, line) => reckoning.after(so_far, line), reckoning.begin());

  function write(line) {
    lines.push(line);
    taken_back = [];
    keep();
  }
  function keep() {
    kept(KEY, JSON.stringify(lines));
    show();
  }

  function words(line) {
    if (line.what === "changed") {
      const said = [["inner", line.inner_m], ["outer", line.outer_m]].filter(([, m]) => m)
        .map(([wire, m]) => `${wire} wires ${signed(cm(m))} cm (${signed(inches(m))} in) each`);
      return turned(`Changed: ${said.join(", ") || "nothing"}.`);
    }
    const f = (mhz) => mhz === null ? "none seen" : `${mhz} MHz`;
    return `Lowest SWR: lower band ${f(line.low_mhz)}, upper band ${f(line.high_mhz)}.`;
  }

  function show() {
    let so_far = reckoning.begin();
    at("log").replaceChildren(...lines.map((line) => {
      so_far = reckoning.after(so_far, line);
      const item = document.createElement("li"), time = document.createElement("time");
      time.textContent = time.dateTime = line.date;
      item.append(time, words(line), ...(so_far.pending ? [document.createElement("br"), turned(so_far.pending.brief)] : []));
      return item;
    }));
    const said = so_far.pending;
    at("answer").hidden = !said;
    showWhetherBefore();
    at("answer").classList.toggle("stop", Boolean(said?.fault));
    const first = document.createElement("strong");
    first.textContent = turned(said?.brief ?? "");
    at("answer-text").replaceChildren(first, said ? turned(said.text.slice(said.brief.length)) : "");
    at("traps-how").hidden = !said?.measure_traps;
    at("because").textContent = said && !said.fault ? said.because.join(" ") : "";
    const asked = said && !said.fault && !said.done;
    at("change-asked").hidden = !asked;
    at("change-unasked").hidden = Boolean(asked);
    at("as-advised").hidden = !asked;
    wires.forEach(({ name, way, input }) => {
      const m = asked ? said[`${name}_m`] : 0;
      way.value = input.dataset.way = m > 0 ? "longer" : "shorter";
      input.dataset.metres = Math.abs(m);
    });
    at("empty").hidden = lines.length > 0;
    at("back").disabled = !lines.length;
    at("again").hidden = !taken_back.length;
    at("not-kept").hidden = keeps;
    at("home-text").value = text();
    at("file").href = `data:text/plain;charset=utf-8,${encodeURIComponent(text())}`;
    at("code").replaceChildren();
    showWires();
  }

  // Whoever types what is not taken must not read the advice that still stands as its answer.
  function showWhetherBefore() {
    at("answer").classList.toggle("before", refused);
    at("before").hidden = !refused;
  }

  function showWires() {
    question(null);
    const lengths = log().lengths_m;
    for (const [i, name] of ["inner-now", "outer-now"].entries()) at(name).textContent = length(lengths[i]);
    for (const { input, wrong } of wires) {
      const m = Number(input.dataset.metres ?? 0);
      [input.value, input.placeholder] = ["", m ? `advised ${by(m)}` : "0"];
      wrong.hidden = true;
      input.setAttribute("aria-invalid", "false");
    }
    for (const one of document.querySelectorAll(".by-unit")) one.textContent = inFeet() ? "in" : "cm";
  }

  // What goes home: antlab/antenna/lawn.py reads it.
  function text() {
    const f = (mhz) => mhz === null ? "none" : `${mhz} MHz`, m = (x) => `${x < 0 ? "-" : "+"}${Math.abs(x).toFixed(4)} m`;
    const said = lines.map((line) => line.what === "changed"
      ? `${line.date} changed each leg: inner ${m(line.inner_m)}, outer ${m(line.outer_m)}`
      : `${line.date} lowest SWR: low ${f(line.low_mhz)}, high ${f(line.high_mhz)}`);
    return [`antlab lawn log 1, antenna ${taken.mark}, ${taken.name}`, ...said,
      `end of ${said.length} line${said.length === 1 ? "" : "s"}`, ""].join("\n");
  }

  async function copy() {
    const area = at("home-text");
    area.focus();
    area.select();
    try {
      await navigator.clipboard.writeText(area.value);
    } catch {
      document.execCommand("copy"); // where a page from a file may not use the clipboard otherwise
    }
    at("copied").textContent = "Copied: paste it into a message to yourself.";
  }

  function back() {
    taken_back.push(lines.pop());
    keep();
  }
  function again() {
    lines.push(taken_back.pop());
    keep();
  }

  const sound = (line) => line && typeof line.date === "string" && (line.what === "changed"
    ? [line.inner_m, line.outer_m].every(Number.isFinite)
    : line.what === "read off" && [line.low_mhz, line.high_mhz].every((f) => f === null || (Number.isFinite(f) && f > 0)));
  try {
    lines = JSON.parse(kept(KEY) ?? "[]").filter((line) => sound(line) && !taken.known.includes(line.date));
  } catch {
    lines = []; // somebody else's, or damaged
  }
  at("ask").addEventListener("submit", ask);
  at("change").addEventListener("submit", change);
  at("change").addEventListener("input", () => question(null));
  at("as-advised").addEventListener("click", asAdvised);
  at("mend").addEventListener("click", () => {
    question(null);
    wires[0].input.focus();
  });
  at("log-it").addEventListener("click", () => writeChange(doubted));
  at("back").addEventListener("click", back);
  at("again").addEventListener("click", again);
  at("copy").addEventListener("click", copy);
  at("show-code").addEventListener("click", () => {
    at("code").innerHTML = qrCode(text());
    at("code").scrollIntoView({ block: "nearest" });
  });
  for (const { input, none } of bands) none.addEventListener("change", () => { input.disabled = none.checked; });
  for (const one of document.querySelectorAll("input[name=units]")) {
    one.addEventListener("change", () => {
      kept(UNITS, one.value);
      choose(one.value);
    });
  }
  document.documentElement.dataset.units = { m: "m", ft: "ft" }[kept(UNITS)] ?? (inFeet() ? "ft" : "m");
  choose(inFeet() ? "ft" : "m");
  kept(KEY, JSON.stringify(lines)); // tells whether it can be kept
  at("not-kept").hidden = keeps;
}
