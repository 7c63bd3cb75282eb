// Sets the marks in a photograph with a finger, a mouse or the arrow keys. The
// numbers below the picture stay what is sent.
const box = document.querySelector('[data-measure]');
const form = document.querySelector('main form[method=post]');
const scaleField = form.elements.scale;
const rootField = form.elements.root_marks;
const width = Number(box.dataset.width);
const height = Number(box.dataset.height);
const step = 4; // screen pixels that an arrow key moves

const places = (text) => {
  const n = text.split(/[\s,;]+/).filter(Boolean).map(Number);
  return Array.from({ length: Math.floor(n.length / 2) }, (_, i) => ({ x: n[2 * i], y: n[2 * i + 1] }));
};
const written = (list) => list.map((p) => `${p.x.toFixed(1)} ${p.y.toFixed(1)}`).join(', ');

const state = { on: 'scale', scale: places(scaleField.value).slice(0, 2), root: places(rootField.value), held: null, x: 0, y: 0, zoom: 1 };
const canvas = document.createElement('canvas');
canvas.tabIndex = 0;
canvas.setAttribute('role', 'application');
canvas.setAttribute('aria-label', 'Photograph to mark: arrow keys move the mark set last, Enter sets another, Delete takes it away');
const image = new Image();
image.src = box.dataset.src;
image.addEventListener('load', draw);
document.querySelector('.coordinates').open = false;

const tools = document.createElement('div');
tools.className = 'tools';
const tool = (name, act, pressed) => {
  const b = document.createElement('button');
  b.type = 'button';
  b.className = 'quiet';
  b.textContent = name;
  if (pressed !== undefined) b.setAttribute('aria-pressed', pressed);
  b.addEventListener('click', () => act(b));
  tools.append(b);
  return b;
};
const modes = {
  scale: tool('Scale', () => turnTo('scale'), 'true'),
  root: tool('Root', () => turnTo('root'), 'false'),
};
tool('Take the last mark away', () => { state[state.on].pop(); changed(); });
tool('Larger', () => zoomTo(state.zoom * 1.5));
tool('Smaller', () => zoomTo(state.zoom / 1.5));
box.replaceChildren(tools, canvas);

function turnTo(which) {
  state.on = which;
  for (const [name, b] of Object.entries(modes)) b.setAttribute('aria-pressed', String(name === which));
  draw();
}

// The view shows the picture from (x, y) on, enlarged zoom times from fitting in.
const fit = () => canvas.clientWidth / width;
const scaleNow = () => fit() * state.zoom;

function zoomTo(zoom) {
  const focus = state[state.on].at(-1) ?? { x: state.x + width / 2 / state.zoom, y: state.y + height / 2 / state.zoom };
  state.zoom = Math.min(12, Math.max(1, zoom));
  state.x = clamp(focus.x - width / 2 / state.zoom, width);
  state.y = clamp(focus.y - height / 2 / state.zoom, height);
  draw();
}

const clamp = (v, size) => Math.min(size - size / state.zoom, Math.max(0, v));

function changed() {
  scaleField.value = written(state.scale);
  rootField.value = written(state.root);
  form.elements.zoom.value = scaleNow().toFixed(4);
  draw();
}

function draw() {
  const ratio = devicePixelRatio || 1;
  canvas.width = canvas.clientWidth * ratio;
  canvas.height = canvas.clientWidth * ratio * height / width;
  const c = canvas.getContext('2d');
  const k = scaleNow() * ratio;
  c.setTransform(k, 0, 0, k, -state.x * k, -state.y * k);
  if (image.complete && image.naturalWidth) c.drawImage(image, 0, 0, width, height);
  c.setTransform(1, 0, 0, 1, 0, 0);
  const at = (p) => [(p.x - state.x) * k, (p.y - state.y) * k];
  for (const [name, colour] of [['scale', '#e0a060'], ['root', '#7fe0a0']]) {
    for (const [line, style] of [[5 * ratio, '#000'], [2.5 * ratio, colour]]) {
      c.lineWidth = line;
      c.strokeStyle = style;
      c.beginPath();
      state[name].forEach((p, i) => (i ? c.lineTo(...at(p)) : c.moveTo(...at(p))));
      c.stroke();
      for (const p of state[name]) {
        const [x, y] = at(p);
        const r = 9 * ratio;
        c.beginPath();
        c.moveTo(x - r, y); c.lineTo(x - r / 3, y); c.moveTo(x + r / 3, y); c.lineTo(x + r, y);
        c.moveTo(x, y - r); c.lineTo(x, y - r / 3); c.moveTo(x, y + r / 3); c.lineTo(x, y + r);
        c.stroke();
      }
    }
  }
}

const placeOf = (event) => {
  const b = canvas.getBoundingClientRect();
  return {
    x: Math.min(width, Math.max(0, state.x + (event.clientX - b.left) / scaleNow())),
    y: Math.min(height, Math.max(0, state.y + (event.clientY - b.top) / scaleNow())),
  };
};

function put(p) {
  const list = state[state.on];
  list.push(p);
  if (state.on === 'scale' && list.length > 2) list.shift();
  state.held = p;
  if (state.on === 'scale' && list.length === 2) turnTo('root');
}

canvas.addEventListener('pointerdown', (event) => {
  canvas.setPointerCapture(event.pointerId);
  const p = placeOf(event);
  const near = 22 / scaleNow();
  state.held = [...state.scale, ...state.root].find((q) => Math.hypot(q.x - p.x, q.y - p.y) < near) ?? null;
  if (!state.held) put(p);
  changed();
});
canvas.addEventListener('pointermove', (event) => {
  if (!state.held || !canvas.hasPointerCapture(event.pointerId)) return;
  Object.assign(state.held, placeOf(event));
  changed();
});
canvas.addEventListener('keydown', (event) => {
  const [dx, dy] = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] }[event.key] ?? [0, 0];
  const held = state.held ?? state[state.on].at(-1);
  if (event.key === 'Enter') put(held ? { ...held } : { x: width / 2, y: height / 2 });
  else if (event.key === 'Delete' || event.key === 'Backspace') state[state.on].pop();
  else if ((dx || dy) && held) {
    held.x = Math.min(width, Math.max(0, held.x + dx * step / scaleNow()));
    held.y = Math.min(height, Math.max(0, held.y + dy * step / scaleNow()));
  } else return;
  event.preventDefault();
  changed();
});
for (const field of [scaleField, rootField]) {
  field.addEventListener('change', () => {
    state.scale = places(scaleField.value).slice(0, 2);
    state.root = places(rootField.value);
    draw();
  });
}
addEventListener('resize', draw);
