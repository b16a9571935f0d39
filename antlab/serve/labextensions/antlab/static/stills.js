// JupyterLab runs this when it opens, before any cell: a click on a lesson's still picture, which lies in figures/,
// shows it as large as the window, to be read; another one, or Escape, leads back.

(() => {
  const STYLE = `
.jp-RenderedMarkdown img[src*="/figures/"] { cursor: zoom-in; }
.antlab-large { inset: 0; width: 100vw; height: 100vh; max-width: none; max-height: none; margin: 0; padding: 0; border: 0; overflow: auto; background: #fff; }
.antlab-large img { display: block; width: 100%; cursor: zoom-out; }
.antlab-large.antlab-whole img { height: 100%; object-fit: contain; }
/* The number of a cell, up to [999]:, has room in the column that JupyterLab gives it. */
.jp-InputPrompt, .jp-OutputPrompt { padding-inline: 1px; font-size: min(var(--jp-code-font-size), 16px); line-height: calc(var(--jp-code-font-size) * var(--jp-code-line-height)); }`;

  function make(tag, attributes, parent) {
    const node = Object.assign(document.createElement(tag), attributes);
    parent.append(node);
    return node;
  }

  function enlarge(event) {
    const still = event.target.closest?.('.jp-RenderedMarkdown img[src*="/figures/"]');
    if (!still) return;
    const page = make("dialog", { className: "antlab-large" }, document.body);
    make("img", { src: still.src, alt: still.alt }, page);
    // All of it, unless it is so tall that this would make it smaller than it was: then it scrolls.
    const whole = still.naturalWidth / still.naturalHeight * innerHeight >= still.clientWidth;
    page.classList.toggle("antlab-whole", whole);
    page.addEventListener("click", () => page.close());
    page.addEventListener("close", () => page.remove());
    page.showModal();
  }

  function activate() {
    make("style", { textContent: STYLE }, document.head);
    document.addEventListener("click", enlarge);
  }

  // What JupyterLab asks of an extension that was built apart from it.
  (globalThis._JUPYTERLAB ??= {}).antlab = {
    init: () => {},
    get: async () => () => ({ __esModule: true, default: { id: "antlab:stills", autoStart: true, activate } }),
  };
})();
