import { forgetSent } from './drafts.js';

forgetSent();

// Tells the values of a picture where it is touched, pointed at, or reached with
// the arrow keys. Without this the table below says the same.
for (const picture of document.querySelectorAll('.drawn svg.picture')) {
  const said = [...picture.querySelectorAll('.said')];
  if (said.length === 0) continue;
  const words = said.map((area) => area.querySelector('title').textContent);
  for (const area of said) area.querySelector('title').remove(); // lest it is told twice

  const output = document.createElement('output');
  output.textContent = 'Touch the picture for its values.';
  picture.after(output);
  picture.setAttribute('tabindex', '0');
  let at = -1;

  const show = (i) => {
    if (i < 0 || i >= said.length) return;
    said[at]?.classList.remove('shown');
    at = i;
    said[at].classList.add('shown');
    output.textContent = words[at];
  };
  picture.addEventListener('pointerdown', (event) => show(said.indexOf(event.target)));
  picture.addEventListener('pointermove', (event) => {
    const under = document.elementFromPoint(event.clientX, event.clientY);
    show(said.indexOf(under));
  });
  picture.addEventListener('keydown', (event) => {
    const step = { ArrowLeft: -1, ArrowRight: 1 }[event.key];
    if (!step) return;
    event.preventDefault();
    show(Math.min(said.length - 1, Math.max(0, at + step)));
  });
}
