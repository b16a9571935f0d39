// The phone's page in a show of hands: a question, large buttons, and what became of the answer.

const [head, words, question, buttons] = ["head", "words", "question", "buttons"].map((id) => document.getElementById(id));
const KEPT = `antlab-hand ${place}`;

function token() {
  const fresh = () => [...crypto.getRandomValues(new Uint8Array(16))].map((byte) => byte.toString(16).padStart(2, "0")).join("");
  try {
    if (!localStorage.getItem(KEPT)) localStorage.setItem(KEPT, fresh());
    return localStorage.getItem(KEPT);
  } catch {
    return fresh(); // a browser that keeps nothing: it counts once as long as this page is open
  }
}

const who = token();
let now = { phase: "wait" }, shown = "", wanted = "", lost = false, over = false, sending = false, sent = 0, timer = 0;

function show() {
  const key = `${now.phase} ${now.round}`;
  if (key !== shown) {
    lay();
    shown = key;
  }
  for (const button of buttons.children) {
    const here = button.dataset.letter === (wanted || now.mine);
    button.setAttribute("aria-checked", here);
    button.tabIndex = here || (button === buttons.firstChild && !(wanted || now.mine)) ? 0 : -1;
  }
  const said = status();
  if (words.textContent !== said) words.textContent = said; // a screen reader is told changes alone
}

function status() {
  const [first, then] = [now.first, now.mine];
  const mine = !first && !then ? "You gave no answer." : !first || !then || first === then ? `You said ${then || first}.` : `You said ${first} first, then ${then}.`;
  if (over) return "This room is closed. Scan the code at the front again.";
  if (lost) return "No connection. I go on trying; stay in the room's network.";
  if (now.phase === "wait") return "The question comes here when it is opened. Leave this page open.";
  if (now.phase === "open" && wanted) return `Sending ${wanted} …`;
  if (now.phase === "open" && now.mine) return `${now.mine} is counted. You can change it until it is closed.`;
  if (now.phase === "open") return "Press one. You can change it until it is closed.";
  if (now.phase === "talking") return `${mine} Find somebody who said something else, and tell them why. Then you are asked again.`;
  if (now.phase === "told") return mine;
  return `${mine} Look to the front.`;
}

function lay() {
  const heads = { wait: "Show of hands", open: now.rounds > 1 ? "Once more: what do you think now?" : "What do you think?", closed: "Closed", talking: "Talk with your neighbour", told: now.right ? `It is ${now.right}` : "" };
  head.textContent = heads[now.phase];
  document.body.dataset.phase = now.phase;
  question.replaceChildren();
  buttons.replaceChildren();
  if (now.phase === "told") {
    for (const letter of new Set([now.right, now.mine, now.first].filter(Boolean))) {
      make("h2", question, {}, `${letter}: ${plain(now.options[letter])}`);
      say(question, now.sentences[letter]);
    }
  } else if (now.question) {
    say(question, now.question);
  }
  buttons.hidden = now.phase !== "open";
  if (buttons.hidden) return;
  for (const [letter, option] of Object.entries(now.options)) {
    const button = make("button", buttons, { type: "button", role: "radio", "data-letter": letter, "aria-checked": "false" });
    make("b", button, {}, letter);
    make("span", button, {}, plain(option));
    button.addEventListener("click", () => choose(letter));
  }
  scrollTo(0, 0);
}

function choose(letter) {
  wanted = letter;
  show();
  send();
}

// One answer is under way at a time; what was not heard is said again, and counts once all the same.
async function send() {
  if (sending) return;
  sending = true;
  sent += 1;
  const letter = wanted, round = now.round;
  const { status, told } = await ask("hand", { who, round, letter }, "POST");
  sending = false;
  lost = status === 0;
  if (now.round === round && told) {
    now.mine = told.mine;
    if (wanted === letter) wanted = "";
  }
  show();
  if (wanted && wanted !== letter) send();
  else if (status !== 200) turn(status === 429 ? 3000 : 500);
}

buttons.addEventListener("keydown", (event) => {
  const all = [...buttons.children], step = { ArrowRight: 1, ArrowDown: 1, ArrowLeft: -1, ArrowUp: -1 }[event.key];
  const next = step ? all[(all.indexOf(document.activeElement) + step + all.length) % all.length] : all.find((one) => one.dataset.letter === event.key.toUpperCase());
  if (!next || event.ctrlKey || event.metaKey || event.altKey) return;
  event.preventDefault();
  next.focus();
  choose(next.dataset.letter);
});

async function look() {
  const before = sent, { status, told } = await ask("now", { who });
  lost = !told;
  over = status === 404;
  if (told) {
    if (told.phase !== "open" || told.round !== now.round) wanted = ""; // that round is over
    const old = sending || sent !== before; // it was asked before the last answer was heard
    const mine = old && told.round === now.round ? now.mine : told.mine;
    now = { ...told, mine };
  }
  show();
  if (wanted && !sending && !lost) send();
  turn(900 + 300 * Math.random());
}

function turn(wait) {
  clearTimeout(timer);
  if (!document.hidden) timer = setTimeout(look, wait);
}

document.addEventListener("visibilitychange", () => turn(0)); // a phone that comes back asks at once
addEventListener("online", () => turn(0));
show();
look();
