// The few things every element of the screen needs: make a node, set what differs, keep nodes by key. Text only ever
// goes in as text.

const DRAWING = 'http://www.w3.org/2000/svg';

// What has no shape of its own or turns the text around it: control characters, marks of direction, what is invisible, half
// characters. Two joiners stay: some scripts are written with them.
const UNSEEN = /[\u0000-\u0008\u000b-\u001f\u007f-\u009f\u00ad\u034f\u061c\u115f\u1160\u17b4\u17b5\u180e\u200b\u200e\u200f\u2028-\u202e\u2060-\u206f\u3164\ufeff\uffa0\ufff9-\ufffb\u{e0000}-\u{e007f}\p{Cs}]/gu;
const codeOf = (sign) => `[U+${sign.codePointAt(0).toString(16).toUpperCase().padStart(4, '0')}]`;

/** A text as it may be shown: what cannot be seen is named, "[U+202E]". What is stored stays as it was written. */
export const plainly = (text) => String(text).replace(UNSEEN, codeOf);

const READ_OUT = new Set(['aria-label', 'title', 'alt', 'placeholder']);

const dressed = (node, props = {}, children = []) => {
  for (const [name, value] of Object.entries(props)) {
    if (name.startsWith('on')) node.addEventListener(name.slice(2), value);
    else set(node, name, value);
  }
  const shown = children.flat().filter((child) => child !== null && child !== undefined);
  node.append(...shown.map((child) => (child instanceof Node ? child : plainly(child))));
  return node;
};

/** make('button', {class: 'press', 'data-check': 'tick', onclick: f}, 'Done', child) -> element; null children are left out. */
export const make = (tag, props, ...children) => dressed(document.createElement(tag), props, children);

/** The same for a drawing: svg('circle', {r: 20}) -> element. */
export const svg = (tag, props, ...children) => dressed(document.createElementNS(DRAWING, tag), props, children);

/** Sets an attribute where it differs; true is an empty one, null, undefined and false take it away. */
export const set = (node, name, value) => {
  const text = value === true ? '' : READ_OUT.has(name) ? plainly(value) : String(value);
  if (value === null || value === undefined || value === false) node.removeAttribute(name);
  else if (node.getAttribute(name) !== text) node.setAttribute(name, text);
};

/** Shows whether an answer is kept: its id in data-kept, or in data-unkept while the store has not confirmed it. */
export const mark = (node, kept) => {
  set(node, 'data-kept', kept?.unkept ? null : kept);
  set(node, 'data-unkept', kept?.unkept);
};

/** Sets the text of a node where it differs. */
export const say = (node, text) => {
  const shown = plainly(text);
  if (node.textContent !== shown) node.textContent = shown;
};

/** Shows or hides; hidden text is empty text's natural state. */
export const show = (node, on) => {
  if (node.hasAttribute('hidden') === Boolean(on)) node.toggleAttribute('hidden', !on);
};

/** Says the text, and hides the node when there is none. */
export const sayOrHide = (node, text) => {
  say(node, text ?? '');
  show(node, Boolean(text));
};

export const flag = (node, name, on) => node.classList.toggle(name, Boolean(on));

/**
 * keyed(parent, create) -> update(items). items are [key, data]; create(key, data) gives {node, update(data)}.
 * A node lives as long as its key is listed, so focus and half-typed text survive a redraw.
 */
export const keyed = (parent, create) => {
  let held = new Map();
  return (items) => {
    const next = new Map();
    for (const [key, data] of items) {
      const element = held.get(key) ?? create(key, data);
      next.set(key, element);
      element.update(data);
    }
    for (const [key, { node }] of held) if (!next.has(key)) node.remove();
    [...next.values()].forEach(({ node }, at) => {
      if (parent.children.item(at) !== node) parent.insertBefore(node, parent.children.item(at) ?? null);
    });
    held = next;
  };
};

/** A <details> with a summary text; opens and closes natively. */
export const fold = (props, title, ...children) => {
  const summary = make('summary', {}, title);
  return make('details', props, summary, ...children);
};
