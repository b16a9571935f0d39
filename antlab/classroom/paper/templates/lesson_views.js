// After live.js, in the same module: the views of a lesson's page, whose films lie in the page (as a phone shows
// them) and in files beside it (for a wide window, and for each choice), which a script tag brings.

const arrived = {};
globalThis.antlabFilm = (file, text, message) => { arrived[file] = { text, message }; };

const fetched = new Map();
function fetchFilm(file) {
  if (!fetched.has(file)) fetched.set(file, new Promise((found, lost) => {
    const tag = document.createElement("script");
    tag.src = file;
    tag.onload = () => {
      const { text, message } = arrived[file] ?? {};
      if (message) found({ message });
      else if (text) found(unsqueezed(text));
      else lost();
    };
    tag.onerror = lost;
    document.head.append(tag);
  }).catch((error) => { fetched.delete(file); throw error; }));
  return fetched.get(file);
}

const broad = matchMedia("(min-width: 1000px)");

function lessonView(view) {
  const { at, wide, lists, words } = JSON.parse(view.dataset.about);
  const [choices, host] = view.children, inline = view.nextElementSibling.textContent;
  let asked = null; // what is answered at each place, of a view that asks
  const player = play(host, at, () => asked && player.setFrames(asked()));
  host.addEventListener("input", () => { view.dataset.tried = "yes"; });
  host.addEventListener("pointerdown", () => { view.dataset.tried = "yes"; });
  let own, chosen = { wide };
  const say = (message) => player.setFrames({ version: VERSION, message });
  const phone = () => own ??= unsqueezed(inline);
  async function show() {
    const wanted = chosen, fits = broad.matches;
    let film;
    try {
      film = await (fits || wanted.phone ? fetchFilm(fits ? wanted.wide : wanted.phone) : phone());
    } catch {
      if (wanted.phone) return say(words.lost);
      film = await phone(); // the page alone was copied: it has this one
    }
    if (wanted !== chosen || fits !== broad.matches) return; // the next was asked for meanwhile
    if (film.message) return say(film.message);
    asked = film.asked.length && (() => film.asked[film.still.sliders.reduce((row, { texts }, k) => row * texts.length + at[k], 0)]);
    player.setStill(film.still);
    player.setFrames(asked ? asked() : film.frames);
  }
  const selects = lists.map(({ name, options, begins, films }) => {
    const label = make("label", {}, choices), select = make("select", {}, label);
    label.prepend(name);
    make("span", { class: "back" }, label);
    options.forEach((option, i) => { make("option", { value: i }, select).textContent = option; });
    select.value = begins;
    select.addEventListener("change", () => {
      view.dataset.tried = "yes";
      selects.forEach((other, i) => {
        const back = other !== select && other.selectedIndex !== lists[i].begins;
        if (other !== select) other.value = lists[i].begins;
        other.nextElementSibling.textContent = back ? ` ${words.back}` : "";
      });
      chosen = films[select.value] ?? { wide };
      show();
    });
    return select;
  });
  broad.addEventListener("change", show);
  return show();
}

// An answer opens at the second press, unless the view before it was tried.
function answer(details) {
  const before = [...document.querySelectorAll(".antlab-view")]
    .filter((view) => view.compareDocumentPosition(details) & Node.DOCUMENT_POSITION_FOLLOWING).at(-1);
  const summary = details.firstElementChild, said = make("span", { role: "status" }, summary);
  let pressed = false;
  summary.addEventListener("click", (event) => {
    if (details.open || pressed || !before || before.dataset.tried) return void (said.textContent = "");
    event.preventDefault();
    pressed = true;
    said.textContent = JSON.parse(before.dataset.about).words.try;
  });
}

// Panels that stand side by side: on a phone one below the other, each a window on the same picture.
function stacked(figure) {
  const whole = figure.firstElementChild, many = Number(figure.dataset.panels);
  figure.classList.add("stacked");
  for (let i = 0; i < many; i++) {
    const panel = whole.cloneNode();
    if (i) panel.alt = "";
    panel.style.cssText = `width: ${100 * many}%; margin-left: ${-100 * i}%`;
    make("div", { class: "panel" }, figure).append(panel);
  }
}

// What is pushed sideways says so, until there is no more to the right.
function swiped(figure) {
  const tell = () => figure.classList.toggle("swiped", figure.scrollLeft + figure.clientWidth > figure.scrollWidth - 4);
  figure.addEventListener("scroll", tell, { passive: true });
  addEventListener("resize", tell);
}

document.querySelectorAll("details.answer").forEach(answer);
document.querySelectorAll("figure.broad[data-panels]").forEach(stacked);
document.querySelectorAll("figure:is(.tall, .broad)").forEach(swiped);
addEventListener("beforeprint", () => document.querySelectorAll("details:is(.code, .told):not([open])")
  .forEach((one) => { one.open = one.dataset.shut = true; }));
addEventListener("afterprint", () => document.querySelectorAll("details[data-shut]")
  .forEach((one) => { one.open = false; delete one.dataset.shut; }));
for (const view of document.querySelectorAll(".antlab-view")) {
  await lessonView(view);
  await new Promise((next) => setTimeout(next)); // the hand comes first
}
document.documentElement.dataset.ready = "yes";
