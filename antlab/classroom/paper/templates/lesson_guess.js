// After guess.js, in the same module: the guess of a lesson's page, kept in the browser, and at the end laid beside
// what is right.

const models = [];

function kept(key) {
  try {
    return JSON.parse(localStorage.getItem(key)) ?? {};
  } catch {
    return {}; // this browser keeps nothing for a file, or somebody else wrote there
  }
}

for (const place of document.querySelectorAll(".entered")) {
  const { key, about, none, chosen, kept: isKept, notKept } = JSON.parse(place.dataset.about), listeners = {};
  const there = kept(key), letter = there.letter in chosen ? there.letter : "";
  const drawn = Array.isArray(there.drawn) ? there.drawn.slice(0, about.places).map((one) => one >= 0 && one <= 100 ? one : null) : [];
  const state = { about, letter, drawn };
  const model = {
    get: (name) => name === "says" ? [...(chosen[state.letter] ?? none), ...(about.answer ? [] : [state.said])] : state[name],
    set: (name, value) => { state[name] = value; },
    on: (what, act) => { listeners[what] = act; },
    off: () => {},
    save_changes() {
      try {
        localStorage.setItem(key, JSON.stringify({ letter: state.letter, drawn: state.drawn }));
        state.said = isKept;
      } catch {
        state.said = notKept;
      }
      models.forEach((one) => one.changed(state));
    },
    changed(to) {
      state.letter = to.letter;
      state.drawn = to.drawn;
      listeners["change:says"]?.();
    },
  };
  models.push(model);
  render({ model, el: place });
}
