// What phone and teacher's page of a show of hands have in common.

const place = location.pathname.replace(/\/+$/, "");

function make(tag, parent, attributes = {}, words = "") {
  const node = document.createElement(tag);
  for (const [name, value] of Object.entries(attributes)) node.setAttribute(name, value);
  if (words) node.textContent = words;
  parent.append(node);
  return node;
}

// Words with the signs of Markdown that a guess has, as paragraphs; nothing in them can become a tag.
function say(parent, markdown, tag = "p") {
  for (const paragraph of markdown.split(/\n\n+/)) {
    const node = make(tag, parent);
    paragraph.split("**").forEach((part, i) => {
      make(i % 2 ? "strong" : "span", node, {}, part.replace(/[*`]/g, ""));
    });
  }
}

const plain = (markdown) => markdown.replace(/[*`]/g, "").replace(/,\s*$/, "");

// Ask the server; a wait of five seconds is no answer. The result has .status, and .told if that is 200.
async function ask(what, given = {}, method = "GET") {
  const stop = new AbortController(), late = setTimeout(() => stop.abort(), 5000);
  try {
    const answer = await fetch(`${place}/${what}?${new URLSearchParams(given)}`, { method, signal: stop.signal, cache: "no-store" });
    return { status: answer.status, told: answer.ok ? await answer.json() : null };
  } catch {
    return { status: 0, told: null };
  } finally {
    clearTimeout(late);
  }
}
