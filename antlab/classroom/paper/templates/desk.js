// The teacher's page in a show of hands: what is asked next, how many have answered, and the bars of both rounds.

const [head, count, code, board, note, steps, choice, trouble] = ["head", "count", "code", "board", "note", "steps", "choice", "trouble"].map((id) => document.getElementById(id));
let now = null, shown = "", acting = false, acts = 0;

const STEPS = {
  open: { chosen: "Open it for answers", closed: "Ask again", talking: "Ask again" },
  close: { open: "Close it" },
  talk: { closed: "Let them talk" },
  bars: { closed: "Show the bars", talking: "Show the bars" },
  tell: { closed: "Show which is right", talking: "Show which is right" },
  afresh: { closed: "Ask it afresh", talking: "Ask it afresh" },
};

// Whether a step makes sense now; the server has the last word.
function offered(step) {
  if (!STEPS[step][now.phase]) return false;
  const again = now.hands.length < 2 && !now.told;
  return { open: again, close: true, talk: again, bars: !now.bars, tell: !now.told, afresh: now.told || now.hands.length > 1 }[step];
}

function lay() {
  head.textContent = now.title ?? "Show of hands";
  document.body.dataset.phase = now.phase;
  board.replaceChildren();
  if (now.phase === "rest") say(board, "Scan the code, or type the address. The question comes to your phone.");
  else if (now.counts) bars();
  else {
    if (now.phase === "talking") make("h2", board, {}, "Talk with a neighbour who said something else.");
    const asked = make("div", board, { class: "asked" });
    say(asked, now.question);
    const list = make("ul", board, { class: "options" });
    for (const [letter, option] of Object.entries(now.options)) {
      const item = make("li", list);
      make("b", item, {}, letter);
      make("span", item, {}, plain(option));
    }
  }
  note.textContent = now.advice && !now.told ? `For you: ${now.advice}` : "";
  steps.replaceChildren();
  const first = (step) => (step === now.next ? 0 : 1);
  for (const step of Object.keys(STEPS).filter((one) => now.phase !== "rest" && offered(one)).sort((a, b) => first(a) - first(b))) {
    make("button", steps, { type: "button", "data-step": step }, STEPS[step][now.phase]).addEventListener("click", () => act({ what: step }));
  }
  choice.hidden = now.phase === "open";
  if (!shown && now.lesson) choice.elements.lesson.value = now.lesson; // the page was loaded anew
  for (const option of choice.elements.lesson.options) {
    option.textContent = option.dataset.title + (now.asked.includes(option.value) ? " (asked)" : "");
  }
}

function bars() {
  const table = make("table", board), heads = make("tr", make("thead", table));
  const names = ["First", "After talking"].slice(0, now.counts.length);
  names.forEach((name, i) => make("th", heads, { scope: "col" }, now.counts.length > 1 ? `${name}: ${now.hands[i]} answers` : `${now.hands[i]} answers`));
  const body = make("tbody", table);
  for (const [letter, option] of Object.entries(now.options)) {
    const right = now.right === letter;
    const first = make("tr", body, { class: right ? "said right" : "said" });
    const named = make("th", first, { scope: "row", colspan: names.length });
    make("b", named, {}, letter);
    make("span", named, {}, plain(option) + (right ? "  ✓ right" : ""));
    if (now.sentences) say(named, now.sentences[letter], "small");
    const row = make("tr", body, { class: right ? "bars right" : "bars" });
    now.counts.forEach((counts, i) => {
      const hands = counts[letter] ?? 0, cell = make("div", make("td", row), { class: "bar" });
      const bar = make("i", cell, { class: i ? "after" : "before", "aria-hidden": "true" });
      bar.style.width = `${now.hands[i] ? (100 * hands) / now.hands[i] : 0}%`;
      bar.hidden = !hands;
      make("b", cell, {}, String(hands));
    });
  }
}

function show() {
  const { hands, here, seconds, ...rest } = now;
  const key = JSON.stringify(rest);
  if (key !== shown) {
    const step = document.activeElement?.dataset?.step;
    lay();
    shown = key;
    if (step) (steps.querySelector(`[data-step=${step}]`) ?? steps.firstChild)?.focus(); // who goes by keys goes on
  }
  const answered = hands?.at(-1);
  const phones = `${here} ${here === 1 ? "phone" : "phones"} here`;
  const clock = `${Math.floor(seconds / 60)}:${String(seconds % 60).padStart(2, "0")}`;
  const said = now.phase === "talking" ? clock : answered === undefined ? phones : `${answered} answered, ${phones}`;
  if (count.textContent !== said) count.textContent = said;
  trouble.textContent = now.trouble;
}

async function act(given) {
  if (acting) return; // a double click is one click
  acting = true;
  acts += 1;
  heard(await ask("do", given, "POST"));
  acting = false;
}

function heard({ status, told }) {
  if (told) {
    now = told;
    show();
  } else if (status !== 409) {
    trouble.textContent = "The server does not answer: look at its window, and start it again. Nothing is lost.";
  }
}

choice.addEventListener("submit", (event) => {
  event.preventDefault();
  act({ what: "choose", lesson: choice.elements.lesson.value });
});
document.getElementById("rest").addEventListener("click", () => act({ what: "rest" }));

async function turn() {
  if (!acting) {
    const before = acts, answer = await ask("now");
    if (acts === before) heard(answer); // what was asked before a step is old
  }
  setTimeout(turn, 1000);
}
turn();
