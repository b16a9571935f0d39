// One slide at a time: keys, touch, and the number in the address. What a slide says is set smaller where it
// is long, down to 28 pixels.
const SMALL = 28, WIDE = 1280, HIGH = 720;
const deck = document.getElementById("deck"), slides = [...deck.children];

for (const words of deck.querySelectorAll("header :is(h2, p), dl, ol")) {
  const room = words.closest("header, .body");
  for (let size = parseFloat(getComputedStyle(words).fontSize); size > SMALL; size--) {
    if (room.scrollHeight <= room.clientHeight) break;
    words.style.fontSize = `${size - 1}px`;
  }
}

let now = -1;

function show(index) {
  index = Math.min(Math.max(index, 0), slides.length - 1);
  if (index === now) return;
  slides[now]?.classList.remove("now");
  now = index;
  slides[now].classList.add("now");
  slides[now].focus({ preventScroll: true }); // a screen reader reads it
  history.replaceState(null, "", `#${now + 1}`);
}

function fill() {
  const scale = Math.min(innerWidth / WIDE, innerHeight / HIGH);
  const left = (innerWidth - scale * WIDE) / 2, top = (innerHeight - scale * HIGH) / 2;
  deck.style.transform = `translate(${left}px, ${top}px) scale(${scale})`;
  scrollTo(0, 0);
}

const KEYS = {
  ArrowRight: () => now + 1, ArrowDown: () => now + 1, PageDown: () => now + 1, Enter: () => now + 1,
  ArrowLeft: () => now - 1, ArrowUp: () => now - 1, PageUp: () => now - 1, Backspace: () => now - 1,
  Home: () => 0, End: () => slides.length - 1,
};
addEventListener("keydown", (event) => {
  if (event.ctrlKey || event.altKey || event.metaKey || (event.key === "Enter" && event.target.closest?.("a"))) return;
  const where = event.key === " " ? now + (event.shiftKey ? -1 : 1) : KEYS[event.key]?.();
  if (where === undefined) return;
  event.preventDefault();
  show(where);
});
addEventListener("click", (event) => {
  if (event.target.closest("a") || String(getSelection())) return;
  show(now + (event.clientX < innerWidth / 4 ? -1 : 1));
});
addEventListener("hashchange", () => show(Number(location.hash.slice(1)) - 1));
addEventListener("resize", fill);

document.documentElement.classList.add("live");
show((Number(location.hash.slice(1)) || 1) - 1);
fill();
